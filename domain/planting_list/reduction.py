"""The exact choice among hundreds of candidates, made among a few dozen by proof.

1. The relaxation (trees in fractions, which can only be worth more) gives a bound on the worth of every list, and for
   each candidate a price: a list that holds it is worth at most bound + price (linear programming duality).
2. The candidates with the best prices give a list, by an exact search among them alone.
3. A candidate whose bound + price falls short of that list is in no better list, and is left out. What is kept is
   searched exactly, unless it was searched already.

So the best list of what is kept is the best of all, and the bound in the answer holds over all candidates.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from domain.planting_list.model import Choice, EarlierList, relax, solve
from domain.planting_list.problem import ListProblem, unserved

FIRST_LOOK = 20
"""Candidates beside twice the places among which a first list is sought; changes the speed only."""

MARGIN_POINTS = 1.0
"""Candidates are kept this far below the first list, above the accuracy of the solver and all tie steps."""


@dataclass(frozen=True)
class ReducedChoice:
    """The best list of all candidates (rows of the whole problem), and how many of them the search had to look at."""

    choice: Choice
    kept: int


def choose(problem: ListProblem, earlier: Sequence[EarlierList] = ()) -> ReducedChoice | None:
    """The best list of the problem, proven over all its candidates; None if no list keeps its rules."""
    told, problem = problem, _settled(problem)
    relaxation = relax(problem, earlier)
    if relaxation is None:
        return None
    price = np.where(problem.fixed, np.inf, relaxation.price)
    looked = np.sort(np.argsort(-price, kind="stable")[: 2 * problem.places + FIRST_LOOK])
    first = _solve_among(problem, looked, earlier)
    if first is None:
        kept = np.arange(problem.size)
    else:
        kept = np.flatnonzero(relaxation.bound + price >= first.worth - MARGIN_POINTS)
        if np.isin(kept, looked).all() and first.proven:
            return ReducedChoice(_restated(told, first), int(kept.size))
    best = _solve_among(problem, kept, earlier)
    return None if best is None else ReducedChoice(_restated(told, best), int(kept.size))


def _settled(problem: ListProblem) -> ListProblem:
    """With one free place, only the fixed trees can serve what is put there: its shortfall is certain beforehand."""
    if problem.free_places != 1:
        return problem
    served = problem.serves[:, problem.fixed].any(axis=1)
    needs = ~problem.fixed & (problem.shortfall > 0)
    lone = needs & ~served & ~problem.must_be_served
    barred = needs & ~served & problem.must_be_served
    return replace(
        problem,
        tree_worth=problem.tree_worth - np.where(lone, problem.shortfall, 0.0),
        shortfall=np.where((needs & served) | lone, 0.0, problem.shortfall),
        serves=problem.serves & ~barred[:, None],
    )


def _restated(problem: ListProblem, choice: Choice) -> Choice:
    """The choice with the trees that stand unserved by the problem as it was told."""
    return replace(choice, unserved=tuple(unserved(problem, choice.chosen)))


def _solve_among(problem: ListProblem, rows: NDArray[np.intp], earlier: Sequence[EarlierList]) -> Choice | None:
    found = solve(problem.take(rows), [one.take(rows) for one in earlier])
    if found is None:
        return None
    chosen = tuple(int(rows[k]) for k in found.chosen)
    return Choice(chosen, tuple(int(rows[k]) for k in found.unserved), found.worth, found.bound, found.proven)
