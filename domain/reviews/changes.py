"""What would mend a planting, the cheapest first, each with what it gains; or leave it, it is fine.

A cause of a complaint is acted on only where it is likely enough; causes that ask for the same work count together.
"""

from collections.abc import Mapping, Sequence
from typing import get_args

import numpy as np
from msgspec.structs import asdict

from domain.common.season_days import month_day
from domain.reviews.cause_facts import FIGURES as CAUSES
from domain.reviews.causes_told import Ails
from domain.reviews.cures import prescribed
from domain.reviews.orchard import Orchard
from domain.reviews.other_cultivars import best_partner, hopeless, in_its_place, instead_of_planned, into_the_gap
from domain.reviews.planned_trees import (
    in_doubt,
    is_planned,
    shaded_out,
    stocks_for_the_ground,
    stocks_that_stand_it,
    too_little_sun,
)
from domain.reviews.review_answer import (
    Change,
    ChangeKind,
    ChangeSentenceCode,
    ChangeTo,
    Gains,
    LikelyCause,
    ReviewedTreeAnswer,
)
from domain.reviews.review_figures import FIGURES
from domain.reviews.trees_judged import bears_by_pollen, complained, wants_pollen
from domain.reviews.whole import YearsTogether, unnamed, verdict
from domain.suitability.without_winter import driest_day
from domain.tables.words import Value, say
from domain.tree_year.leaf_stripping import stripping_day

COST = get_args(ChangeKind)
"""Cheapest first (common practice)."""

_OF_FORM = "pruned_wrongly"
"""The cause that another form cures."""
_OF_THE_CULTIVAR = frozenset({"too_little_chill", "too_late_for_the_season"})
"""Causes for which another cultivar is grafted on the same roots."""
_OF_A_TENDER_ONE = "winter_injury"
"""One hard winter hurts any tree; of a cultivar that winters hold back there it is the cultivar."""
ROOTS_GO_ON = frozenset({"winter_chill", "frost_at_bloom", "ripening_heat", "fruit_quality", "sound_fruit"})
"""What stops a cultivar and leaves its roots sound: another may be grafted on them."""


def changes(
    orchard: Orchard, trees: tuple[ReviewedTreeAnswer, ...], ails: Sequence[Ails], years: YearsTogether
) -> tuple[Change, ...]:
    """The changes of a planting, cheapest first, at most as many as asked. ails: what ails each tree. years:
    `whole.years_together`.
    """
    formed = {n for n, tree in enumerate(orchard.rooms.trees) if tree.form_unfit}
    found = [
        *_of_forms(orchard, formed),
        *_of_causes(orchard, ails, formed),
        *_of_labels(orchard, trees),
        *_of_pollen(orchard),
        *_of_site(orchard, trees),
        *_of_room(orchard),
        *_on_paper(orchard),
        *_of_plans(orchard),
    ]
    if not found:
        found = [_left(orchard, trees, years)]
    found.sort(key=lambda one: COST.index(one.change))
    return tuple(found[: orchard.planting.request.changes_at_most])


def _left(orchard: Orchard, trees: tuple[ReviewedTreeAnswer, ...], years: YearsTogether) -> Change:
    """That nothing is changed, and why."""
    if not complained(orchard) and verdict(trees, (), years) in ("sound", "not_known") and (names := unnamed(orchard)):
        return _change("leave_as_it_is", {"trees": names}, code="change_leave_unnamed")
    return _change("leave_as_it_is", code=_why_left(orchard, trees, years))


def _why_left(orchard: Orchard, trees: tuple[ReviewedTreeAnswer, ...], years: YearsTogether) -> ChangeSentenceCode:
    """Why nothing is changed: nothing ails, or what does is not sure yet, or no change of the planting mends it."""
    if not complained(orchard):
        return "change_leave_as_it_is" if verdict(trees, (), years) == "sound" else "change_none_known"
    sure = any(cause.probability >= FIGURES.prescribe_from for tree in trees for cause in tree.likely_causes)
    return "change_by_hand_alone" if sure else "change_find_out_first"


def _of_pollen(orchard: Orchard) -> list[Change]:
    partner = best_partner(orchard)
    if partner is None:
        return []
    request = orchard.planting.request
    cultivar = orchard.choice.sited.cultivars[partner.row]
    gains = Gains(crops_a_year=round(partner.crops, 2), pollinated=tuple(orchard.names[n] for n in partner.serves))
    standing = [n for n in partner.serves if request.trees[n].state == "standing"]
    values: dict[str, Value] = {"cultivar": cultivar.name, "id": cultivar.id}
    there = ChangeTo(cultivar=cultivar.name, id=cultivar.id)
    found = []
    if standing:
        onto = orchard.names[max(standing, key=lambda n: (request.trees[n].height_m or 0.0, -n))]
        to = ChangeTo(cultivar=cultivar.name, id=cultivar.id, onto=onto)
        found.append(_change("bring_blossom", values, gains=gains))
        found.append(_change("add_scion", {**values, "onto": onto}, of=onto, to=to, gains=gains))
    if request.room_for_trees > 0 or any(tree.state == "planned" for tree in request.trees):
        found.append(_change("add_tree", values, to=there, gains=gains))
    return found


def _of_forms(orchard: Orchard, formed: set[int]) -> list[Change]:
    """Trees in a form whose cuts take what they bear: the same tree, let grow in another."""
    found = []
    for n in sorted(formed):
        form = orchard.rooms.trees[n].form
        if form is not None:
            name = orchard.names[n]
            values: dict[str, Value] = {"tree": name, "form": form.name}
            found.append(_change("prune", values, of=name, code="change_other_form"))
    return found


def _of_causes(orchard: Orchard, ails: Sequence[Ails], formed: set[int]) -> list[Change]:
    """What the likeliest causes of complaints ask for, where together they are likely enough to act on.

    formed: places of trees that are told already to grow in another form, which is the cure of their cuts.
    """
    return [
        Change(**asdict(cause.by_hand), change=kind, of=orchard.names[n], to=None, gains=None)
        for n, each in enumerate(ails)
        for kind, cause in (_but_for_the_form(each) if n in formed else each.work).items()
    ]


def _but_for_the_form(ails: Ails) -> Mapping[ChangeKind, LikelyCause]:
    """The work that what ails a tree asks for, its cuts left out."""
    others = [cause for cause in ails.causes if cause.cause != _OF_FORM]
    return prescribed(others, FIGURES.prescribe_from, bool(ails.label_doubted))


def _of_labels(orchard: Orchard, trees: Sequence[ReviewedTreeAnswer]) -> list[Change]:
    """Trees that can hardly be what their labels say."""
    found = []
    for n, tree in enumerate(trees):
        if not tree.label_doubted:
            continue
        name = orchard.names[n]
        likely = tuple(one.cultivar for one in tree.label_doubted[0].would_fit)
        code = "change_identify" if likely else "change_identify_unlike"
        values: dict[str, Value] = {"tree": name, "cultivars": likely} if likely else {"tree": name}
        found.append(_change("identify", values, of=name, code=code))
    return found


def _of_site(orchard: Orchard, trees: Sequence[ReviewedTreeAnswer]) -> list[Change]:
    """Trees that the site does not let bear: another cultivar on their roots, or in their place.

    Not those whose label is doubted: what was judged is hardly what stands there.
    """
    found = []
    taken: set[int] = set()
    for n, tree in enumerate(trees):
        name = orchard.names[n]
        if orchard.without_winter and orchard.may_be_stripped(n):
            found += _stripped(orchard, n)
            continue
        likely = {cause.cause for cause in tree.likely_causes if cause.probability >= FIGURES.prescribe_from}
        of_it = _OF_THE_CULTIVAR | ({_OF_A_TENDER_ONE} if _may_be_tender(orchard, n, tree) else set())
        sure = bool(likely & of_it)
        doubt = in_doubt(orchard, n, orchard.named(n))
        fails = tree.verdict == "not_here" or (sure and tree.verdict != "plant") or doubt is not None
        if tree.label_doubted or not fails:
            continue
        row = in_its_place(orchard, taken)
        if row is None:
            continue
        taken.add(row)
        cultivar = orchard.choice.sited.cultivars[row]
        standing = orchard.planting.request.trees[n].state == "standing"
        sound_roots = tree.limiting in ROOTS_GO_ON or (tree.limiting is None and bool(likely & _OF_THE_CULTIVAR))
        kind: ChangeKind = "regraft" if standing and sound_roots else "replace"
        reckoned = not orchard.without_winter and tree.verdict != "not_known"  # else what it bears there is not known
        gains = _gains_of_other(orchard, n, row, tree) if reckoned else None
        values: dict[str, Value] = {"cultivar": cultivar.name, "id": cultivar.id, "tree": name}
        if doubt is not None:
            values["limiting"] = doubt
        found.append(
            _change(
                kind,
                values,
                code=None if doubt is None else "change_replace_in_doubt",
                of=name,
                to=ChangeTo(cultivar=cultivar.name, id=cultivar.id),
                gains=gains,
            )
        )
    return found


def _may_be_tender(orchard: Orchard, n: int, tree: ReviewedTreeAnswer) -> bool:
    """Whether winters hold a tree's cultivar back there, or nobody tells whether it stands them."""
    one = orchard.named(n)
    unknown = one is not None and one.verdict == "not_known" and one.values.get("limiting") == "winter_cold"
    return unknown or tree.limiting == "winter_cold"


def _gains_of_other(orchard: Orchard, n: int, row: int, tree: ReviewedTreeAnswer) -> Gains:
    """What another cultivar in the place of a tree brings, served by what stands."""
    gained = float(np.mean(orchard.choice.sited.crop_chance[row])) * float(orchard.of_others.served[row])
    gained -= orchard.crops_of(n) * tree.pollination.pollinated
    return Gains(crops_a_year=round(gained * tree.count, 2), pollinated=())


def _stripped(orchard: Orchard, n: int) -> list[Change]:
    """Strip a tree where there is no winter, unless that is done."""
    if orchard.conditions.years.leaf_stripping:
        return []
    name = orchard.names[n]
    values: dict[str, Value] = {"tree": name, "stripped_on": stripping_day(driest_day(orchard.conditions.years))}
    return [_change("strip_leaves", values, of=name)]


def _of_room(orchard: Orchard) -> list[Change]:
    """Trees too near each other: the one that crowds most others is moved while it can be, or taken out."""
    if not orchard.planting.places.known:
        return []
    rooms = orchard.rooms
    worst = rooms.most_in_the_way()
    if worst is None:
        return []
    others = rooms.crowding[worst].nonzero()[0].tolist()
    name = orchard.names[worst]
    values: dict[str, Value] = {"tree": name, "others": tuple(orchard.names[n] for n in others)}
    tree = rooms.trees[worst]
    if not tree.movable:
        code = "change_remove_but_graft" if _is_wanted_for_its_pollen(orchard, worst) else "change_remove"
        return [_change("remove", values, of=name, code=code)]
    values["apart_m"] = float(max(rooms.wanted_apart_m[worst, n] for n in others))
    code = "change_plant_wider" if tree.told.state == "planned" else "change_move"
    return [_change("move", values, of=name, code=code)]


def _is_wanted_for_its_pollen(orchard: Orchard, place: int) -> bool:
    """Whether some other tree is served well with a tree, and would not be without it."""
    others = [n for n in range(len(orchard.rows)) if n != place]
    left = zip(others, orchard.pollen.without(place).each, strict=True)
    short = [n for n, chance in left if chance < FIGURES.well_served]
    return any(bears_by_pollen(orchard, n) and not wants_pollen(orchard, n) for n in short)


def _on_paper(orchard: Orchard) -> list[Change]:
    """Planned trees that keep their cultivar, and want another stock or a sunnier place."""
    found = _on_which_stocks(orchard)
    for n in range(len(orchard.planting.trees)):
        if _gives_way(orchard, n):
            continue
        name = orchard.names[n]
        other = stocks_that_stand_it(orchard, n)
        if other is not None:
            stock, suffers, stand = other
            stocks: dict[str, Value] = {"tree": name, "rootstock": stock.name, "hazards": suffers, "rootstocks": stand}
            found.append(_change("other_stock", stocks, of=name))
        hours = too_little_sun(orchard, n)
        if hours is not None:
            sun: dict[str, Value] = {"tree": name, "sun_hours": hours, "least_h": CAUSES.least_sun_h}
            found.append(_change("move", sun, of=name, code="change_sunnier_place"))
    return found


def _on_which_stocks(orchard: Orchard) -> list[Change]:
    """Planned trees whose stock is not told, where the ground asks for one that stands it."""
    trees = tuple(
        orchard.names[n]
        for n, tree in enumerate(orchard.rooms.trees)
        if is_planned(orchard, n) and tree.stock is None and not _gives_way(orchard, n)
    )
    asked = stocks_for_the_ground(orchard) if trees else None
    if asked is None:
        return []
    hazards, stand = asked
    values: dict[str, Value] = {"trees": trees, "hazards": hazards, "rootstocks": stand}
    of = trees[0] if len(trees) == 1 else None
    return [_change("other_stock", values, of=of, code="change_order_on_stock")]


def _gives_way(orchard: Orchard, place: int) -> bool:
    """Whether another cultivar is wanted in the place of a tree, so that nothing else is to be told of it."""
    return hopeless(orchard, place) and not shaded_out(orchard, place) and not orchard.without_winter


def _of_plans(orchard: Orchard) -> list[Change]:
    """Planned trees that would better be another, for a use that is missing or a season that has no fruit; where there
    is room, a tree more for that season.
    """
    request = orchard.planting.request
    found = instead_of_planned(orchard)
    if found is None:
        fills = into_the_gap(orchard) if request.room_for_trees > 0 else None
        if fills is None:
            return []
        cultivar = orchard.choice.sited.cultivars[fills[0]]
        filled: dict[str, Value] = {"cultivar": cultivar.name, "id": cultivar.id, **_span(orchard, fills[1])}
        there = ChangeTo(cultivar=cultivar.name, id=cultivar.id)
        return [_change("add_tree", filled, to=there, code="change_add_tree_for_season")]
    cultivar = orchard.choice.sited.cultivars[found.row]
    name = orchard.names[found.place]
    values: dict[str, Value] = {"cultivar": cultivar.name, "id": cultivar.id, "tree": name}
    code = "change_replace_for_season"
    if found.use is not None:
        several = orchard.planting.trees[found.place].count > 1
        code, values["use"] = "change_replace_one_for_use" if several else "change_replace_for_use", found.use
    elif found.disease is not None:
        code, values["disease"] = "change_replace_for_health", found.disease
    elif found.gap is not None:
        code, values = "change_replace_for_gap", values | _span(orchard, found.gap)
    to = ChangeTo(cultivar=cultivar.name, id=cultivar.id)
    return [_change("replace", values, of=name, to=to, code=code)]


def _span(orchard: Orchard, gap: tuple[float, float]) -> dict[str, Value]:
    south = orchard.sited.south
    return {"begin": month_day(gap[0], south), "end": month_day(gap[1], south)}


def _change(
    kind: ChangeKind,
    values: Mapping[str, Value] | None = None,
    *,
    of: str | None = None,
    to: ChangeTo | None = None,
    gains: Gains | None = None,
    code: str | None = None,
) -> Change:
    said = say(code or f"change_{kind}", **(values or {}))
    return Change(**asdict(said), change=kind, of=of, to=to, gains=gains)
