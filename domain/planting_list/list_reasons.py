"""Why a list was chosen, and what is to be known of it."""

from collections.abc import Sequence

import msgspec
import numpy as np
from msgspec.structs import asdict

from domain.fruit.kinds import KINDS
from domain.ground.contour import along_terraces, contour_deg
from domain.planting_list.chosen_list import ChosenList
from domain.planting_list.crops import CropYears, crop_years
from domain.planting_list.list_answer import ListReason, ListReasonCode, Picking, StandingServed
from domain.planting_list.pollen_donors import for_pollen_alone
from domain.planting_list.pollen_in_words import PollenOfTrees
from domain.planting_list.tree_options import FIGURES as TREES
from domain.planting_list.tree_options import is_flat
from domain.planting_list.tree_worth import hardly_told
from domain.planting_list.trees_around import lone_among_none, lone_among_unknown
from domain.pollination.pairs import FIGURES as PAIRS
from domain.tables.parameters import figures
from domain.tables.words import Value, say
from domain.traits.fruit_wishes import wished


class ReasonFigures(msgspec.Struct, frozen=True):
    """When a list is said to bear in most years."""

    seldom_none: float


FIGURES = figures("planting_list", "list_reasons", ReasonFigures)


def reasons(
    chosen: ChosenList, pollen: PollenOfTrees, picking: Sequence[Picking], standing: Sequence[StandingServed]
) -> tuple[ListReason, ...]:
    """Every reason, in the order in which they are told. picking, standing: as they are answered."""
    verdict, years = chosen.verdict, chosen.years
    found = [_reason("least_bad")] if chosen.found.admission.least_bad else []
    if picking:
        start = picking[0].from_
        last = max((row.to for row in picking), key=lambda date: _days_from(date, start))
        kept = [row.use_until for row in picking if row.use_until is not None]
        until = max(kept, key=lambda date: _days_from(date, start), default=start)
        if _days_from(until, start) >= _days_from(last, start):
            found.append(_reason("picking_season", first=start, last=last, use_until=until))
        elif kept:
            found.append(_reason("picking_season_latest_unknown", first=start, last=last))
        else:
            found.append(_reason("picking_season_keeping_unknown", first=start, last=last))
    found.append(_reason("for_pollen_alone") if years is None else _why_crop(chosen, years))
    if verdict != "not_here":
        found += [*_why_pollen(chosen, pollen), *_why_standing(standing)]
    found += [*_why_trying(chosen), *_why_hardly_told(chosen)]
    if chosen.wishes.uses and verdict != "not_here":
        found.append(_why_uses(chosen))
    found += _why_wishes(chosen)
    free = any(option is not None and not is_flat(option) for option in chosen.laid.options)
    if chosen.laid.layout is not None and free and chosen.wishes.air_m > TREES.air_m:
        found.append(_reason("air_between_crowns", air_m=chosen.wishes.air_m))
    bearing = None if chosen.laid.layout is None else chosen.laid.layout.row_bearing_deg
    slope = None if chosen.wishes.trees.in_pot else chosen.wishes.slope
    if bearing is not None and slope is not None and contour_deg(slope) is not None:
        if along_terraces(slope, bearing):
            found.append(_reason("rows_along_terraces", bearing_deg=bearing))
        else:
            found.append(_reason("rows_along_the_contour", bearing_deg=bearing, percent=100.0 * slope.fall))
    each = chosen.wishes.trees_of_each
    if each > 1:
        found.append(_reason("cultivars_stand_in_groups", trees=each, cultivars=len(set(chosen.row))))
    elif len(set(chosen.row)) < len(chosen.row):
        few = chosen.found.problem.empty_places > 0 or chosen.wishes.room.plot is not None
        found.append(_reason("cultivars_stand_twice" if few else "good_cultivars_stand_twice"))
    return tuple(found)


def _why_crop(chosen: ChosenList, years: CropYears) -> ListReason:
    one = len(chosen.trees) == 1
    if years.none < FIGURES.seldom_none:
        return _reason("tree_bears_most_years" if one else "trees_bear_most_years", enough=years.enough)
    return _reason("tree_bears" if one else "trees_bear", enough=years.enough, none=years.none)


def _why_hardly_told(chosen: ChosenList) -> list[ListReason]:
    """Whom those pass over who speak of this part of the world, where nobody told what can be had."""
    if chosen.wishes.available is not None:
        return []
    free = [row for tree, row in zip(chosen.trees, chosen.row, strict=True) if tree not in chosen.fixed]
    told = [chosen.sited.cultivars[row] for row in dict.fromkeys(free) if hardly_told(chosen.sited, row)]
    if not told:
        return []
    names, ids = tuple(one.name for one in told), tuple(one.id for one in told)
    return [_reason("hardly_told_here", cultivars=names, ids=ids)]


def _why_trying(chosen: ChosenList) -> list[ListReason]:
    """Who is only worth a try, where others of the list are surer."""
    free = [row for tree, row in zip(chosen.trees, chosen.row, strict=True) if tree not in chosen.fixed]
    trying = [row for row in dict.fromkeys(free) if chosen.sited.verdict[row] == "worth_trying"]
    if not trying or not (chosen.found.admission.free & chosen.sited.has_verdict("plant")).any():
        return []
    cultivars = [chosen.sited.cultivars[row] for row in trying]
    names, ids = tuple(one.name for one in cultivars), tuple(one.id for one in cultivars)
    return [_reason("holds_worth_trying", cultivars=names, ids=ids)]


def _why_wishes(chosen: ChosenList) -> list[ListReason]:
    """Of whom it is not known whether it is as wished: told of each wish, and of uses too."""
    rows = [row for row in dict.fromkeys(chosen.row) if not for_pollen_alone(chosen.sited.cultivars[row])]
    met = chosen.found.admission.met
    found = []
    for wish in wished(chosen.wishes.fruit):
        unknown = [chosen.sited.cultivars[row] for row in rows if met[row][wish] == "not_known"]
        if unknown:
            names, ids = tuple(one.name for one in unknown), tuple(one.id for one in unknown)
            found.append(_reason("wish_not_known_of", wish=wish, cultivars=names, ids=ids))
    return found


def _why_uses(chosen: ChosenList) -> ListReason:
    served = chosen.uses_served
    missing = tuple(use for use in chosen.wishes.uses if use not in served)
    if not missing:
        return _reason("uses_served", served=served)
    if not served:
        return _reason("uses_not_served", missing=missing)
    return _reason("uses_served_in_part", served=served, missing=missing)


def _why_pollen(chosen: ChosenList, pollen: PollenOfTrees) -> list[ListReason]:
    suggested = chosen.suggested
    lonely = [
        chosen.table.cultivars[position]
        for position in dict.fromkeys(
            tree
            for one, tree in enumerate(chosen.trees)
            if chosen.pollinated[one] < PAIRS.effective_chance and not for_pollen_alone(chosen.table.cultivars[tree])
        )
    ]
    if not lonely:
        alone = [position for one, position in enumerate(chosen.trees) if pollen.served_if_neighbours(one)]
        return [] if alone else [_reason("every_tree_has_pollen")]
    names, ids = tuple(cultivar.name for cultivar in lonely), tuple(cultivar.id for cultivar in lonely)
    found = [_reason("pollination_at_risk", cultivars=names, ids=ids)]
    if suggested:
        found.append(_reason("source_that_would_serve", cultivar=suggested[0].cultivar, id=suggested[0].id))
        if lone_among_none(chosen.wishes):
            source = next(n for n, one in enumerate(chosen.table.cultivars) if one.id == suggested[0].id)
            served = chosen.table.chance[chosen.trees, source].astype(np.float64)
            years = crop_years(chosen.sited.crop_chance[chosen.row], served)
            found.append(_reason("bears_with_a_source", enough=years.enough))
    else:
        found.append(_reason("plant_a_source"))
    told = chosen.wishes.neighbourhood == "unknown" and not lone_among_unknown(chosen.wishes)
    return [*found, _reason("neighbours_may_serve")] if told else found


def _why_standing(standing: Sequence[StandingServed]) -> list[ListReason]:
    """What the list does for the trees that stand."""
    served = [one for one in standing if one.said.code == "standing_served_by_list"]
    short = [one for one in standing if one.said.code in ("standing_helped_by_list", "standing_not_served")]
    told: tuple[tuple[ListReasonCode, list[StandingServed]], ...]
    told = (("standing_trees_served", served), ("standing_trees_not_served", short))
    return [
        _reason(
            code,
            cultivars=tuple(one.cultivar or KINDS[one.kind].name for one in trees),
            ids=tuple(one.id or "" for one in trees),
        )
        for code, trees in told
        if trees
    ]


def _days_from(date: str, start: str) -> int:
    """Days from one MM-DD to the next such day of another, as a sorting key."""
    month, day = (int(part) for part in date.split("-"))
    first_month, first_day = (int(part) for part in start.split("-"))
    return ((month - first_month) * 31 + day - first_day) % 372


def _reason(code: ListReasonCode, **values: Value) -> ListReason:
    return ListReason(**asdict(say(code, **values)))
