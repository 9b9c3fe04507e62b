"""Which cultivar would serve a planting best: as a partner, on the roots or in the place of a tree, in a plan.

Chosen exactly: of all that may be had, the one that brings most; of near equals the one that is worth more of itself.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from domain.fruit.diseases import DISEASES
from domain.planting_list.tree_worth import uses_of
from domain.pollination.pairs import FIGURES as PAIRS
from domain.reviews.orchard import Orchard
from domain.reviews.planned_trees import in_doubt
from domain.reviews.review_figures import FIGURES
from domain.reviews.trees_judged import wants_pollen
from domain.reviews.whole import gaps_of, glut_of, shared_diseases, uses_missing
from domain.reviews.worth import best, heard_of, worth
from domain.suitability.factors import Verdict

Bools = NDArray[np.bool_]
TO_PLANT_OR_TRY: tuple[Verdict, ...] = ("plant", "worth_trying")


@dataclass(frozen=True)
class Partner:
    """A cultivar that serves trees short of pollen: its row of `choice`, the trees, and crops a year that it brings."""

    row: int
    serves: tuple[int, ...]
    crops: float


@dataclass(frozen=True)
class Instead:
    """A planned tree and the row of `choice` to plant in its place: for a use, for health, for a gap (season days), or
    else since most of the rest is ripe at once.
    """

    place: int
    row: int
    use: str | None = None
    disease: str | None = None
    gap: tuple[float, float] | None = None


def to_be_had(orchard: Orchard, *verdicts: Verdict) -> Bools:
    """(choice,) what may be had for fruit or pollen, with one of these verdicts, and does not stand yet."""
    may = _with_verdict(orchard, *verdicts) & orchard.offered & heard_of(orchard)
    may[list(orchard.standing_in_choice)] = False
    return may


def _with_verdict(orchard: Orchard, *verdicts: Verdict) -> Bools:
    """(choice,) what has one of these verdicts, its time of bloom known where that matters."""
    sited = orchard.choice.sited
    may = sited.has_verdict(*verdicts)
    return may if orchard.without_winter else may & sited.windows.known


def best_partner(orchard: Orchard) -> Partner | None:
    """The cultivar that brings the trees short of pollen most crops a year; None where none is short or none serves."""
    short = [n for n in range(len(orchard.planting.trees)) if wants_pollen(orchard, n) and not hopeless(orchard, n)]
    if not short:
        return None
    may = to_be_had(orchard, *TO_PLANT_OR_TRY)
    if not may.any():
        return None
    given = np.stack([(1.0 - orchard.pollinated(n)) * orchard.of_others.given(n) for n in short])
    gained = np.array([orchard.crops_of(n) * orchard.planting.trees[n].count for n in short]) @ given
    enough = may & (gained >= FIGURES.near_best_share * gained[may].max())
    row = int(np.argmax(np.where(enough, worth(orchard), -np.inf)))
    serves = tuple(n for n in short if float(orchard.of_others.given(n)[row]) >= PAIRS.effective_chance)
    return Partner(row, serves, float(gained[row])) if serves else None


def hopeless(orchard: Orchard, place: int) -> bool:
    """Whether the site lets a tree bear nothing, so that pollen would not mend it, or may, while it is on paper."""
    one = orchard.named(place)
    return one is not None and (one.verdict == "not_here" or in_doubt(orchard, place, one) is not None)


def in_its_place(orchard: Orchard, taken: set[int]) -> int | None:
    """Row of `choice` of the best to be had that does well here; what stands serves it with pollen, if it can any.

    Where none is to be had, one more of what stands and does well: it gives its own scions.
    """
    if orchard.without_winter:
        return _most_stripped(orchard)
    for verdict in TO_PLANT_OR_TRY:
        may = to_be_had(orchard, verdict) & orchard.choice.for_fruit
        may[list(taken)] = False
        if may.any():
            return best(orchard, may)
    stand = np.zeros(len(orchard.choice.sited.cultivars), np.bool_)
    stand[list(orchard.standing_in_choice)] = True
    stand &= _with_verdict(orchard, *TO_PLANT_OR_TRY) & orchard.choice.for_fruit
    return best(orchard, stand) if stand.any() else None


def _most_stripped(orchard: Orchard) -> int | None:
    """The best cultivar known to crop with its leaves stripped; one that stands already gives its own scions."""
    may, known = orchard.choice.stripped_rows, orchard.choice.sited.row
    stand = [known[tree.cultivar_id] for tree in orchard.planting.trees if tree.cultivar_id in known]
    stand = [row for row in stand if may[row]]
    if stand:
        return stand[0]
    if orchard.planting.available is not None:
        may = may & orchard.offered
    return int(np.argmax(np.where(may, worth(orchard), -np.inf))) if may.any() else None


def instead_of_planned(orchard: Orchard) -> Instead | None:
    """A planned tree that would better be another: for a use that is missing, where all is ripe at once, where nothing
    is for weeks, or where all ail alike.
    """
    request = orchard.planting.request
    planned = [n for n, tree in enumerate(request.trees) if tree.state == "planned"]
    if not planned:
        return None
    missing = uses_missing(orchard)
    glut = glut_of(orchard)
    if not missing and glut is None:
        return _instead_for_gap(orchard, planned) or _instead_for_health(orchard, planned)
    sited = orchard.choice.sited
    may = to_be_had(orchard, "plant") & orchard.choice.for_fruit
    if missing:
        may &= np.array([missing[0] in uses_of(one) for one in sited.cultivars])
        spare = _spare(orchard, planned)
    elif glut is not None:
        first = sited.harvest_first
        apart = (first < glut - FIGURES.fortnight_days) | (first >= glut + 2 * FIGURES.fortnight_days)
        may &= np.isfinite(first) & apart
        spare = [n for n in _spare(orchard, planned) if glut <= _picked(orchard, n) < glut + FIGURES.fortnight_days]
    if not spare or not may.any():
        return None
    keeps = may & (np.nan_to_num(sited.storage_weeks[:, 0]) >= FIGURES.keeper_weeks)
    if not missing and keeps.any():
        may = keeps  # what keeps fills the season best
    place = min(spare, key=lambda n: (orchard.planting.trees[n].count, _rank(orchard, n)))
    if not missing:
        may = _of_like_use(orchard, place, may)  # another season, the same use
    row = best(orchard, may)
    return Instead(place, row, missing[0] if missing else None)


def into_the_gap(orchard: Orchard) -> tuple[int, tuple[float, float]] | None:
    """Row of `choice` that fills the longest gap of picking best, by its worth and the days that it fills; that gap.

    None where there is no gap, or nothing to be had ripens in it.
    """
    gaps = gaps_of(orchard)
    if not gaps:
        return None
    begin, end = max(gaps, key=lambda gap: gap[1] - gap[0])
    sited = orchard.choice.sited
    may = to_be_had(orchard, "plant") & orchard.choice.for_fruit
    may &= (sited.harvest_first >= begin) & (sited.harvest_first < end)
    if not may.any():
        return None
    kept = sited.harvest_last + 7.0 * np.nan_to_num(sited.storage_weeks[:, 0])
    filled = np.minimum(kept, end) - sited.harvest_first
    return best(orchard, may, filled), (begin, end)


def _instead_for_gap(orchard: Orchard, planned: list[int]) -> Instead | None:
    """Where nothing is ripe for weeks: of the planned trees that are ripe together with another the least one."""
    if not gaps_of(orchard):
        return None
    picked = np.array([_picked(orchard, n) for n in range(len(orchard.rows))])
    days = np.sort(picked)
    until, after = (
        days.searchsorted(picked + FIGURES.fortnight_days),
        days.searchsorted(picked - FIGURES.fortnight_days, "right"),
    )
    spare = [n for n in _spare(orchard, planned) if until[n] - after[n] > 1]  # itself and another
    found = into_the_gap(orchard) if spare else None
    if found is None:
        return None
    row, gap = found
    return Instead(min(spare, key=lambda n: (orchard.planting.trees[n].count, _rank(orchard, n))), row, gap=gap)


def _instead_for_health(orchard: Orchard, planned: list[int]) -> Instead | None:
    """Where most take a disease that presses here: the planned tree that takes it most, and one that resists."""
    shared = shared_diseases(orchard)
    if not shared:
        return None
    disease, takes = shared[0]
    column = DISEASES.index(disease)
    spare = [n for n in _spare(orchard, planned) if n in takes]
    rated = orchard.choice.traits.susceptibility[:, column]
    may = (
        to_be_had(orchard, "plant") & orchard.choice.for_fruit & (np.nan_to_num(rated, nan=1.0) < FIGURES.resists_below)
    )
    if not spare or not may.any():
        return None
    own = orchard.traits.susceptibility[:, column]
    place = max(
        spare, key=lambda n: (float(own[row]) if (row := orchard.rows[n]) is not None else 0.0, -_rank(orchard, n))
    )
    may = _of_like_use(orchard, place, may)
    return Instead(place, best(orchard, may), disease=disease)


def _of_like_use(orchard: Orchard, place: int, may: Bools) -> Bools:
    """(choice,) those that share a use with a tree; all, where none does."""
    told = orchard.row(orchard.planting.trees[place])
    uses = frozenset() if told is None else uses_of(orchard.sited.cultivars[told])
    alike = may & np.array([bool(uses_of(one) & uses) for one in orchard.choice.sited.cultivars])
    return alike if alike.any() else may


def _spare(orchard: Orchard, planned: list[int]) -> list[int]:
    """Planned trees that can be spared: each use asked for is still served without them, and they are not replaced
    for what the site takes of them already.
    """
    trees = orchard.planting.trees
    rows = {n: row for n, tree in enumerate(trees) if (row := orchard.row(tree)) is not None}
    uses = {n: uses_of(orchard.sited.cultivars[row]) for n, row in rows.items()}
    wanted = set(orchard.planting.request.wanted.uses)
    served = {n: set().union(*(told for m, told in uses.items() if m != n)) for n in planned}
    return [n for n in planned if wanted & uses.get(n, frozenset()) <= served[n] and not hopeless(orchard, n)]


def _picked(orchard: Orchard, place: int) -> float:
    row = orchard.row(orchard.planting.trees[place])
    return np.inf if row is None else float(orchard.sited.harvest_first[row])


def _rank(orchard: Orchard, place: int) -> float:
    row = orchard.row(orchard.planting.trees[place])
    return -np.inf if row is None else float(orchard.sited.rank_value[row])
