"""Labels that can hardly be right: dates seen against what is possible there, and which cultivars they would fit."""

from domain.common.season_days import season_day
from domain.planting_list.list_answer import NamedCultivar
from domain.reviews.orchard import Orchard
from domain.reviews.review_answer import LabelDoubted
from domain.reviews.review_figures import FIGURES
from domain.reviews.review_request import Seen
from domain.reviews.worth import not_passed_over
from domain.suitability.suitability_answer import BloomWindow, HarvestWindow, Suitability


def labels_doubted(orchard: Orchard, one: Suitability, seen: list[Seen]) -> list[LabelDoubted]:
    """Dates seen that lie far outside what the cultivar of the label does here."""
    found = []
    for each in seen:
        window, expected = _expected(one, each)
        if window is None or expected is None:
            continue
        apart = _days_apart(each.date[5:], expected, orchard.sited.south)
        if abs(apart) > window.uncertainty_days + FIGURES.label_days:
            found.append(
                LabelDoubted(
                    event=each.event,
                    seen=each.date,
                    expected=expected,
                    days_apart=apart,
                    would_fit=_fitting(orchard, each),
                )
            )
    return found


def _expected(one: Suitability, seen: Seen) -> tuple[BloomWindow | HarvestWindow | None, str | None]:
    """The window of an event that was seen, and the day on which it is expected."""
    if seen.event == "full_bloom":
        return one.bloom, None if one.bloom is None else one.bloom.full
    if seen.event == "first_ripe":
        return one.harvest, None if one.harvest is None else one.harvest.first
    return None, None


def _fitting(orchard: Orchard, seen: Seen) -> tuple[NamedCultivar, ...]:
    """Cultivars whose day here a day seen fits: those of the planting first, since labels get changed over,
    then those whom those who speak of the place do not pass over.
    """
    heard = not_passed_over(orchard)
    standing = {tree.cultivar_id for tree in orchard.planting.trees}
    near = []
    for one in orchard.choice_told.values():
        window, expected = _expected(one, seen)
        if window is None or expected is None or one.verdict not in ("plant", "worth_trying"):
            continue
        apart = abs(_days_apart(seen.date[5:], expected, orchard.sited.south))
        if apart <= window.uncertainty_days:
            sited = orchard.choice.sited
            row = sited.row[one.id]
            recommended = sited.cultivars[row].recommended_by
            near.append((one.id not in standing, not heard[row], -recommended, apart, one.id, one))
    return tuple(NamedCultivar(cultivar=one.cultivar, id=one.id) for *_, one in sorted(near)[: FIGURES.most_fitting])


def _days_apart(seen: str, expected: str, south: bool) -> int:
    """Days from the day expected to the day seen, MM-DD both, the shorter way round the year."""
    apart = season_day(seen, south) - season_day(expected, south)
    return (apart + 182) % 365 - 182
