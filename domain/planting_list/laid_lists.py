"""The best lists on a plot, each laid out: where the layout cannot hold a list, the choice is made again for less.

Within a choice a tree takes its share of the ground, which is exact where all are of a size and near where they are
not. So a list is the best under that rule and under what the layout could hold. The bound is proven apart from the
rule and from any layout: the crowns, the air between them and the passages of any rows must fit by area alone, and no
more trees may stand than rows hold of the narrowest. Where cultivars stand in groups it is of lists of such groups.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from domain.planting_list.candidates import Candidates
from domain.planting_list.choice import list_worth, unserved
from domain.planting_list.diversity import BestLists, Character, best_lists
from domain.planting_list.ground import Ground
from domain.planting_list.laid_trees import LaidTrees
from domain.planting_list.reduction import ReducedChoice
from domain.planting_list.solver import Budget, relax
from domain.planting_list.tree_options import TreeOption

ROUNDS = 3
"""Choices made before what finds no place is left out."""
TOLERANCE_OF_LESS = 0.02
"""Of the worth, within which a choice for less ground than there is may fall short: it is proven of that ground alone,
so that searching on would prove nothing of the list."""


@dataclass(frozen=True)
class LaidLists:
    """Lists, best first, where the trees of each stand, and the bound in points; None where there is no list."""

    best: BestLists
    layouts: tuple[LaidTrees, ...]
    trees: tuple[tuple[int, ...], ...]
    """Of each list its trees in the order of the layout, as candidates of the problem."""
    bound: float | None


def laid_lists(
    found: Candidates, ground: Ground, lists: int, budget: Budget, characters: Sequence[Character] = ()
) -> LaidLists:
    """Choose and lay out. The candidates know the ground. characters: what lists after the first may be like."""
    problem = found.problem
    assert problem.room is not None  # the candidates know the ground
    best = BestLists((), True)
    stands: list[tuple[int, ...]] = []
    layouts: tuple[LaidTrees, ...] = ()
    wanted = lists
    for attempt in range(ROUNDS):
        half = budget.take_half()
        best = best_lists(problem, wanted, half, characters)
        budget.take_back(half)
        stands = [trees_of(found, one.choice.chosen) for one in best.choices]
        layouts = tuple(ground.lay(_options(found, trees)) for trees in stands)
        used = [
            float(problem.room[list(one.choice.chosen)].sum()) - float(problem.room[list(one.choice.chosen)].min()) / 4
            for one, laid in zip(best.choices, layouts, strict=True)
            if not laid.placed.all()
        ]
        if wanted == lists and (not used or attempt > 0):
            break
        # One list alone is laid out to find for how much ground to choose; the others are chosen when that is known.
        wanted = lists if not used or attempt == ROUNDS - 2 else 1
        if not used:
            continue
        problem = replace(problem, ground=min(used), tolerance=max(problem.tolerance, TOLERANCE_OF_LESS))
    full = problem.ground >= found.problem.ground  # what is best of less ground is proven of that alone
    choices = [one if full else replace(one, choice=replace(one.choice, proven=False)) for one in best.choices]
    sunny = [ground.with_sun(laid, _options(found, trees)) for trees, laid in zip(stands, layouts, strict=True)]
    placed = [_placed(found, one, trees, laid) for one, trees, laid in zip(choices, stands, sunny, strict=True)]
    of = {id(one[0]): character for one, character in zip(placed, best.characters, strict=True)}
    kept = sorted((one for one in placed if one[0].choice.chosen), key=lambda one: -one[0].choice.worth)
    if not kept:
        return LaidLists(BestLists((), best.every_tree_served), (), (), None)
    bound = _bound(found, ground, best.every_tree_served)
    bound = max(kept[0][0].choice.worth, bound if bound is not None else kept[0][0].choice.bound)
    told = BestLists(tuple(one for one, _, _ in kept), best.every_tree_served, tuple(of[id(one)] for one, *_ in kept))
    return LaidLists(told, tuple(laid for _, _, laid in kept), tuple(trees for _, trees, _ in kept), bound)


def trees_of(found: Candidates, chosen: Sequence[int]) -> tuple[int, ...]:
    """The trees of a choice, as candidates: each once, or its group; what is over goes to those worth most.

    Of a told stock no more than there are: two groups of a cultivar may be taken from the same trees.
    """
    each = found.wishes.trees_of_each
    over = found.wishes.room.tree_count - each * found.wishes.places if len(chosen) == found.wishes.places else 0
    taken = {one: (int(found.planted[one]), found.in_stock[one]) for one in chosen}
    left = {
        (planted, items): math.inf if items is None or items.count is None else float(items.count)
        for planted, items in taken.values()
    }
    for one in chosen:
        left[taken[one]] -= each
    more: set[int] = set()
    for one in sorted(chosen, key=lambda one: (-float(found.problem.tree_worth[one]), one)):
        if len(more) < over and left[taken[one]] >= 1:
            more.add(one)
            left[taken[one]] -= 1
    return tuple(one for one in chosen for _ in range(each + (one in more)))


def _options(found: Candidates, trees: Sequence[int]) -> list[TreeOption]:
    return [option for one in trees if (option := found.options[one]) is not None]


def _placed(
    found: Candidates, one: ReducedChoice, trees: tuple[int, ...], laid: LaidTrees
) -> tuple[ReducedChoice, tuple[int, ...], LaidTrees]:
    """A list without the trees that found no place; a group of fewer is worth so much less."""
    if laid.placed.all():
        return one, trees, laid
    stands = np.flatnonzero(laid.placed)
    standing = tuple(trees[tree] for tree in stands)
    chosen = tuple(candidate for candidate in one.choice.chosen if candidate in standing)
    each = found.wishes.trees_of_each
    missing = sum(
        max(1.0 - standing.count(candidate) / each, 0.0) * float(found.problem.tree_worth[candidate])
        for candidate in chosen
    )
    choice = replace(
        one.choice,
        chosen=chosen,
        unserved=tuple(unserved(found.problem, chosen)),
        worth=list_worth(found.problem, chosen) - missing if chosen else 0.0,
        proven=False,
    )
    rows = tuple(laid.row[tree] for tree in stands)
    hours = None if laid.sun_hours is None else laid.sun_hours[stands]
    return replace(one, choice=choice), standing, replace(laid, trees=laid.trees[stands], row=rows, sun_hours=hours)


def _bound(found: Candidates, ground: Ground, every_tree_served: bool) -> float | None:
    """Points that no list in rows is worth more than."""
    options = [one for one in found.options if one is not None]
    if len(options) < len(found.options):
        return None
    taken, at_most = ground.taken(options)
    problem = found.problem
    each = found.wishes.trees_of_each
    most = math.ceil(min(ground.most(options), found.wishes.most_trees) / each)
    served = problem.must_be_served if every_tree_served else np.zeros(problem.size, dtype=np.bool_)
    widened = replace(
        problem,
        room=each * taken / at_most,
        ground=1.0,
        places=max(most, problem.places),
        empty_places=max(most, problem.places) - max(int(problem.fixed.sum()), 1),
        must_be_served=served,
    )
    relaxed = relax(widened)
    return None if relaxed is None else relaxed.bound
