"""A planting as a whole: who lacks pollen, gaps and gluts of picking, uses missing, weaknesses shared, years."""

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import month_day
from domain.fruit.diseases import DISEASE_BY_ID, DISEASES
from domain.fruit.kinds import KINDS
from domain.planting_list.crops import CropYears, crop_years
from domain.planting_list.list_verdict import FIGURES as LISTS
from domain.planting_list.tree_worth import uses_of
from domain.reviews.orchard import Orchard
from domain.reviews.review_answer import (
    Change,
    PickingSpan,
    ReviewedTreeAnswer,
    ReviewVerdict,
    SharedWeakness,
    Whole,
)
from domain.reviews.review_figures import FIGURES
from domain.reviews.trees_judged import wants_pollen

NOTHING_TO_MEND = frozenset({"leave_as_it_is", "wait"})


def whole(orchard: Orchard, trees: tuple[ReviewedTreeAnswer, ...], years: CropYears | None) -> Whole:
    """What the trees are together; years: of the trees that are known."""
    return Whole(
        unpollinated=tuple(orchard.names[n] for n in range(len(trees)) if wants_pollen(orchard, n)),
        picking_gaps=tuple(_gaps(orchard)),
        picking_gluts=tuple(_gluts(orchard)),
        uses_missing=uses_missing(orchard),
        shared_weakness=_shared(orchard, trees),
        years_with_no_crop_in_ten=None if years is None else round(years.none, 1),
        years_with_enough_in_ten=None if years is None else round(years.enough, 1),
    )


def unnamed(orchard: Orchard) -> tuple[str, ...]:
    """The trees whose cultivar is not known, though their kind is planted for its fruit."""
    known = zip(orchard.planting.trees, orchard.rows, orchard.names, strict=True)
    return tuple([name for tree, row, name in known if row is None and KINDS[tree.kind].planted_for_fruit])


@dataclass(frozen=True)
class YearsTogether:
    """Years without and with enough fruit: on the trees whose cultivar is known, None where none is; and if all others
    bore whenever they get pollen.
    """

    known: CropYears | None
    at_best: CropYears | None


def years_together(orchard: Orchard) -> YearsTogether:
    """The years of the trees that are planted for their fruit, as many as are told of each.

    A tree that the place does not let ripen counts too: it bears nothing.
    """
    here, sited = orchard.own.here, orchard.sited
    known: dict[int, list[tuple[int, float]]] = {}
    others: list[tuple[int, float]] = []
    for tree, row, pollinated in zip(orchard.planting.trees, orchard.rows, orchard.pollen.each, strict=True):
        if row is None:
            if KINDS[tree.kind].planted_for_fruit:
                others.append((tree.count, pollinated))
        elif here.picked[row] is not None or (here.for_fruit[row] and sited.verdict[row] == "not_here"):
            known.setdefault(row, []).append((tree.count, pollinated))
    if not known:
        return YearsTogether(None, None)
    chance, alike = sited.crop_chance[list(known)], list(known.values())
    found = _years(chance, alike)
    if not others:
        return YearsTogether(found, found)
    surely = np.ones((len(others), chance.shape[1]), dtype=chance.dtype)
    return YearsTogether(found, _years(np.vstack([chance, surely]), [*alike, *([one] for one in others)]))


def _years(crop_chance: NDArray[np.float32], alike: list[list[tuple[int, float]]]) -> CropYears:
    """alike: the trees of each cultivar by their number and chance of pollen."""
    trees = np.array([sum(count for count, _ in each) for each in alike], dtype=np.intp)
    served = np.array([sum(count * chance for count, chance in each) for each in alike]) / trees
    return crop_years(crop_chance, served, trees)


def verdict(trees: tuple[ReviewedTreeAnswer, ...], found: tuple[Change, ...], years: YearsTogether) -> ReviewVerdict:
    """A verdict on the planting: what it bears together decides, then whether anything of it is to be changed.

    Where no tree is known by its cultivar nobody can tell; nor where the trees that are known bear too little, and
    those that are not could make up for it.
    """
    if all(tree.id is None for tree in trees):
        return "not_known"
    if years.known is not None and years.at_best is not None:
        if years.at_best.none >= LISTS.barren_years:
            return "will_not_crop"
        if years.at_best.enough < FIGURES.weak_years:
            return "weak"
        if years.known.none >= LISTS.barren_years or years.known.enough < FIGURES.weak_years:
            return "not_known"
    asked = any(tree.judgement == "change" for tree in trees) or any(one.change not in NOTHING_TO_MEND for one in found)
    return "sound_with_changes" if asked else "sound"


def _spans(orchard: Orchard) -> list[tuple[float, float, float, int]]:
    """First and last picking day, last day in store, and number of trees, of each tree whose dates are known."""
    picked = orchard.own.here.picked
    trees = zip(orchard.planting.trees, orchard.rows, strict=True)
    return sorted((*span, tree.count) for tree, row in trees if row is not None and (span := picked[row]) is not None)


def gaps_of(orchard: Orchard) -> list[tuple[float, float]]:
    """Season days between the first and the last picking from and to which there is no fruit, fresh or stored."""
    gaps, until = [], None
    for first, _, kept, _ in _spans(orchard):
        if until is not None and first - until > FIGURES.gap_days:
            gaps.append((until, first))
        until = kept if until is None else max(until, kept)
    return gaps


def _gaps(orchard: Orchard) -> list[PickingSpan]:
    south = orchard.sited.south
    return [PickingSpan(from_=month_day(begin, south), to=month_day(end, south)) for begin, end in gaps_of(orchard)]


def glut_of(orchard: Orchard) -> float | None:
    """Season day on which a fortnight begins in which most of the trees ripen; None where none is so full."""
    spans = _spans(orchard)
    trees = sum(count for *_, count in spans)
    if trees < FIGURES.least_trees:
        return None
    for first, *_ in spans:
        together = sum(count for begin, *_, count in spans if first <= begin < first + FIGURES.fortnight_days)
        if together >= max(FIGURES.glut_share * trees, FIGURES.least_trees):
            return first
    return None


def _gluts(orchard: Orchard) -> list[PickingSpan]:
    """Fortnights in which most of the trees begin to be picked."""
    first = glut_of(orchard)
    if first is None:
        return []
    south = orchard.sited.south
    return [PickingSpan(from_=month_day(first, south), to=month_day(first + FIGURES.fortnight_days, south))]


def uses_missing(orchard: Orchard) -> tuple[str, ...]:
    """Uses asked for that no tree serves."""
    if not orchard.planting.request.wanted.uses:
        return ()
    rows = [row for row in orchard.rows if row is not None]
    served = set().union(*(uses_of(orchard.sited.cultivars[row]) for row in rows)) if rows else set()
    return tuple(use for use in orchard.planting.request.wanted.uses if use not in served)


def shared_diseases(orchard: Orchard) -> tuple[tuple[str, tuple[int, ...]], ...]:
    """Diseases that press here and that most of the trees are known to take, with those trees, the worst first."""
    if len(orchard.rows) < FIGURES.least_trees:
        return ()
    least, rated = FIGURES.shared_share * len(orchard.rows), orchard.traits.susceptibility
    found = []
    for column, disease in enumerate(DISEASES):
        pressure = float(orchard.conditions.pressure[disease])
        if pressure < FIGURES.shared_pressure:
            continue
        takes = [
            n
            for n, row in enumerate(orchard.rows)
            if row is not None and float(rated[row, column]) >= FIGURES.shared_susceptibility
        ]
        if len(takes) >= least:
            weight = pressure * sum(float(rated[orchard.rows[n], column]) for n in takes)
            found.append((-weight, disease, tuple(takes)))
    return tuple((disease, takes) for _, disease, takes in sorted(found))


def _shared(orchard: Orchard, trees: tuple[ReviewedTreeAnswer, ...]) -> tuple[SharedWeakness, ...]:
    """Factors that hold back most of the trees that are not simply to be planted here, and diseases that most take."""
    by_factor = defaultdict(list)
    for n, tree in enumerate(trees):
        if tree.limiting is not None and tree.verdict != "plant":
            by_factor[tree.limiting].append(orchard.names[n])
    if len(trees) < FIGURES.least_trees:
        return ()
    least = FIGURES.shared_share * len(trees)
    factors = (
        SharedWeakness(factor=code, trees=tuple(names)) for code, names in by_factor.items() if len(names) >= least
    )
    diseases = (
        SharedWeakness(
            factor="tree_disease" if DISEASE_BY_ID[disease].runs_in_wood else "sound_fruit",
            disease=disease,
            trees=tuple(orchard.names[n] for n in takes),
        )
        for disease, takes in shared_diseases(orchard)
    )
    return (*factors, *diseases)
