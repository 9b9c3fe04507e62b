"""A list that is to be planted, sought where the best lists are worth a try: its choice made surer step by step.

What a list is worth adds up over its trees. Whether it is to be planted turns on the years in which half of them bear,
which no sum tells: the pollen that several sources give a tree together, and years that are bad for all. So what every
tree bears, and what it loses for want of pollen, is weighed more in each step, until the list found is to be planted.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import among
from domain.planting_list.candidates import Candidates
from domain.planting_list.choice import ListProblem, with_tie_steps
from domain.planting_list.diversity import BestLists, first_tier
from domain.planting_list.rules import unlike
from domain.planting_list.solver import relax
from domain.pollination.pairs import FIGURES as PAIRS

STEPS = (0.0, 1.0, 8.0)
"""How much what a tree bears counts beside what it is worth. The first finds most of such lists; a method's steps."""
LEAST_MISSED = 1e-6
"""The chance that pollen fails, below which it is not told apart from none."""

Bools = NDArray[np.bool_]


def may_be_sure(found: Candidates) -> Bools | None:
    """(m,) of whom a list to be planted may be made; None where there are too few of them for a list."""
    problem = found.problem
    planted = found.sited.has_verdict("plant")[found.pool[found.planted]]
    if not planted[problem.fixed].all():
        return None
    sure = planted & (problem.fixed | first_tier(problem))
    each = np.unique(problem.group[sure & ~problem.fixed], return_counts=True)[1]
    enough = np.minimum(each, problem.trees_of_a_group).sum() >= problem.free_places - problem.empty_places
    return sure if enough and problem.places else None


def surer_choices(found: Candidates, sure: Bools, *, laid: bool) -> Iterator[Candidates]:
    """The same choice among those that may be sure, each surer than the one before; one alone where each is laid out,
    which takes longer than the search.
    """
    problem, rows = found.problem, found.pool[found.planted]
    bears = found.sited.crop_chance[rows].mean(axis=1).astype(np.float64)
    outside = found.outside.chance[found.planted]
    pollen = _together(found, outside)
    a_tree = float(problem.tree_worth.max(initial=0.0))
    for step in STEPS[:1] if laid else STEPS:
        surer = replace(
            problem,
            tree_worth=with_tie_steps(problem.tree_worth + step * a_tree * bears, problem.places),
            pollen=pollen,
            shortfall=np.where(problem.shortfall > 0, np.rint((1.0 + step) * a_tree * (1.0 - outside)), 0.0),
            must_be_served=np.zeros(problem.size, dtype=np.bool_),
            tiers=(sure,),
        )
        yield replace(found, problem=surer)


def bound_of_sure(problem: ListProblem, sure: Bools) -> float:
    """Points that no list of those that may be sure is worth more than, whatever its pollen."""
    rows = np.flatnonzero(sure | problem.fixed)
    loose = replace(problem.take(rows), must_be_served=np.zeros(rows.size, dtype=np.bool_))
    relaxed = relax(loose)
    return 0.0 if relaxed is None else relaxed.bound


def lacks_what(problem: ListProblem, chosen: tuple[int, ...], other: tuple[int, ...]) -> bool:
    """Whether a list lacks a wished use, or pollen for a tree that stands, that another brings."""
    of_one, of_other = (problem.gains[list(trees)].any(axis=0) for trees in (chosen, other))
    return bool((of_other & ~of_one).any())


def beside(problem: ListProblem, best: BestLists, chosen: tuple[int, ...]) -> list[int]:
    """Places of the lists that differ from another one in a third of the freely chosen trees, sports counted equal."""
    listed = np.zeros(problem.size, dtype=np.bool_)
    listed[list(chosen)] = True
    alike = np.isin(problem.group, problem.group[listed & ~problem.fixed]) & ~problem.fixed
    rule = unlike(alike)
    return [n for n, one in enumerate(best.choices) if rule.kept_by(one.choice.chosen, problem.fixed)]


def _together(found: Candidates, outside: NDArray[np.float64]) -> NDArray[np.floating]:
    """(m, m) shares of the pollen that a tree wants: those that make it surely served together add up to 1.

    Chances that a source fails multiply, so their logarithms add up.
    """
    chance = among(found.table.chance, found.planted).astype(np.float64)
    chance[among(found.table.fits.same_genotype, found.planted)] = 0.0
    wanted = np.log(np.maximum(1.0 - outside, LEAST_MISSED)) - np.log(1.0 - PAIRS.effective_chance)
    given = -np.log(np.maximum(1.0 - chance, LEAST_MISSED))
    share = np.minimum(given / np.maximum(wanted, LEAST_MISSED)[:, None], 1.0)
    return np.asarray(share)
