"""The best lists on a plot, each laid out: where the layout cannot hold a list, the choice is made again for less.

Within a choice a tree takes its share of the ground, which is exact where all are of a size and near where they are
not. So a list is the best under that rule and under what the layout could hold. The bound is proven apart from the
rule and from any layout: the crowns, the air between them and the passages of any rows must fit by area alone, and no
more trees may stand than circles of the least spread fit the region.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from domain.planting_list.candidates import Candidates
from domain.planting_list.choice import list_worth, unserved
from domain.planting_list.diversity import BestLists, best_lists
from domain.planting_list.ground import Ground
from domain.planting_list.laid_trees import LaidTrees
from domain.planting_list.list_request import MOST_TREES
from domain.planting_list.reduction import ReducedChoice
from domain.planting_list.solver import Budget, relax
from domain.planting_list.tree_options import TreeOption

ROUNDS = 4
"""Choices made before what finds no place is left out."""


@dataclass(frozen=True)
class LaidLists:
    """Lists, best first, where the trees of each stand, and the bound in points; None where there is no list."""

    best: BestLists
    layouts: tuple[LaidTrees, ...]
    bound: float | None


def laid_lists(found: Candidates, ground: Ground, lists: int) -> LaidLists:
    """Choose and lay out. The candidates know the ground."""
    problem = found.problem
    assert problem.room is not None  # the candidates know the ground
    best = BestLists((), True)
    layouts: tuple[LaidTrees, ...] = ()
    budget = Budget()
    for attempt in range(ROUNDS):
        best = best_lists(problem, lists, budget)
        layouts = tuple(ground.lay(_options(found, one.choice.chosen)) for one in best.choices)
        used = [
            float(problem.room[list(one.choice.chosen)].sum()) - float(problem.room[list(one.choice.chosen)].min()) / 2
            for one, laid in zip(best.choices, layouts, strict=True)
            if not laid.placed.all()
        ]
        if not used or attempt == ROUNDS - 1:
            break
        problem = replace(problem, ground=min(used))
    full = problem.ground >= found.problem.ground  # what is best of less ground is proven of that alone
    choices = [one if full else replace(one, choice=replace(one.choice, proven=False)) for one in best.choices]
    kept = [_placed(found, one, laid) for one, laid in zip(choices, layouts, strict=True)]
    kept = sorted((one for one in kept if one[0].choice.chosen), key=lambda one: -one[0].choice.worth)
    if not kept:
        return LaidLists(BestLists((), best.every_tree_served), (), None)
    bound = _bound(found, ground, best.every_tree_served)
    bound = max(kept[0][0].choice.worth, bound if bound is not None else kept[0][0].choice.bound)
    return LaidLists(BestLists(tuple(one for one, _ in kept), best.every_tree_served), tuple(x for _, x in kept), bound)


def _options(found: Candidates, chosen: Sequence[int]) -> list[TreeOption]:
    return [option for one in chosen if (option := found.options[one]) is not None]


def _placed(found: Candidates, one: ReducedChoice, laid: LaidTrees) -> tuple[ReducedChoice, LaidTrees]:
    """A list without the trees that found no place."""
    if laid.placed.all():
        return one, laid
    stands = np.flatnonzero(laid.placed)
    chosen = tuple(one.choice.chosen[tree] for tree in stands)
    choice = replace(
        one.choice,
        chosen=chosen,
        unserved=tuple(unserved(found.problem, chosen)),
        worth=list_worth(found.problem, chosen) if chosen else 0.0,
        proven=False,
    )
    rows = tuple(laid.row[tree] for tree in stands)
    hours = None if laid.sun_hours is None else laid.sun_hours[stands]
    return replace(one, choice=choice), replace(laid, trees=laid.trees[stands], row=rows, sun_hours=hours)


def _bound(found: Candidates, ground: Ground, every_tree_served: bool) -> float | None:
    """Points that no list in rows is worth more than."""
    options = [one for one in found.options if one is not None]
    if len(options) < len(found.options):
        return None
    taken, at_most = ground.taken(options)
    problem = found.problem
    most = min(ground.most(options), found.wishes.most_trees, MOST_TREES)
    served = problem.must_be_served if every_tree_served else np.zeros(problem.size, dtype=np.bool_)
    widened = replace(
        problem,
        room=taken / at_most,
        ground=1.0,
        places=max(most, problem.places),
        empty_places=max(most, problem.places) - max(int(problem.fixed.sum()), 1),
        must_be_served=served,
    )
    relaxed = relax(widened)
    return None if relaxed is None else relaxed.bound
