"""The exact choice among hundreds of candidates, made among a few dozen by proof.

1. The relaxation (trees in fractions, which can only be worth more) gives a bound on the worth of every list, and for
   each candidate a price: a list that holds it is worth at most bound + price (linear programming duality). Where all
   its trees stand whole, as they do of most ordinary lists, it is the best list, and nothing is searched.
2. The candidates with the best prices give a list, by an exact search among them alone.
3. A candidate whose bound + price falls short of that list is in no better list, and is left out. What is kept is
   searched exactly, unless it was searched already.

So the best list of what is kept is the best of all, and the bound in the answer holds over all candidates. Where the
problem has a tolerance, candidates that could better the first list by no more than that are left out too.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from domain.planting_list.choice import ListProblem, unserved
from domain.planting_list.rules import Rule
from domain.planting_list.solver import Budget, Choice, Relaxation, as_choice, relax, solve

FIRST_LOOK = 20
"""Candidates beside twice the places among which a first list is sought; changes the speed only."""

MOST_SEARCHED = 160
"""Candidates of one exact search, those of the best prices; its cost grows faster than their number."""

MARGIN_POINTS = 1.0
"""Candidates are kept this far below the first list, above the accuracy of the solver and all tie steps."""


@dataclass(frozen=True)
class ReducedChoice:
    """The best list of all candidates (rows of the whole problem), and how many of them the search had to look at."""

    choice: Choice
    kept: int


def choose(problem: ListProblem, rules: Sequence[Rule] = (), budget: Budget | None = None) -> ReducedChoice | None:
    """The best list of the problem, proven over all its candidates; None if no list that keeps its rules is found.

    Where more candidates could be part of a best list than one search takes, or the budget ends, the list is the best
    found, and it is proven if the relaxation proves that none is worth a point more.
    """
    budget = Budget() if budget is None else budget
    possible = np.flatnonzero(~_hopeless(problem))
    settled = _settled(problem.take(possible))
    kept_rules = [rule.take(possible) for rule in rules]
    relaxation = relax(settled, kept_rules)
    if relaxation is None:
        return None
    price = np.where(settled.fixed, np.inf, relaxation.price)
    looked = np.sort(np.argsort(-price, kind="stable")[: 2 * settled.places + FIRST_LOOK])
    found = as_choice(settled, relaxation)
    whole = found is not None
    if found is None:
        found = _solve_among(settled, looked, kept_rules, budget, relaxation)
    kept = np.arange(settled.size)
    if found is not None:
        enough = found.worth - MARGIN_POINTS + settled.tolerance * abs(found.worth)
        kept = np.flatnonzero(relaxation.bound + price >= enough)
        if found.proven and relaxation.bound <= enough:
            kept = looked
    if not whole and (found is None or not found.proven or not np.isin(kept, looked).all()):
        found = _searched_further(settled, kept, kept_rules, budget, first=found, relaxation=relaxation)
    if found is None:
        return None
    chosen = tuple(possible[list(found.chosen)].tolist())
    # What the tolerance left out is worth no more than it lets, nor than the relaxation.
    left_out = min(relaxation.bound, found.worth + settled.tolerance * abs(found.worth))
    bound = max(found.bound, left_out) if settled.tolerance else found.bound
    told = replace(found, chosen=chosen, unserved=tuple(unserved(problem, chosen)), bound=bound)
    return ReducedChoice(told, int(kept.size))


def _hopeless(problem: ListProblem) -> NDArray[np.bool_]:
    """(m,) free candidates that must be served by the list, and that nothing which may stand on it can serve."""
    able = problem.serves[:, problem.fixed] if problem.free_places == 1 else problem.serves
    return ~problem.fixed & problem.must_be_served & (problem.shortfall > 0) & ~able.any(axis=1)


def _settled(problem: ListProblem) -> ListProblem:
    """With one free place only the fixed trees can serve what is put there: its shortfall is certain beforehand."""
    if problem.free_places != 1 or problem.empty_places:
        return problem
    missing = np.maximum(1.0 - problem.pollen[:, problem.fixed].astype(np.float64).sum(axis=1), 0.0)
    lost = np.where(problem.fixed | problem.must_be_served, 0.0, problem.shortfall * missing)
    return replace(
        problem,
        tree_worth=problem.tree_worth - lost,
        shortfall=np.where(problem.fixed, problem.shortfall, 0.0),
    )


def _searched_further(
    problem: ListProblem,
    kept: NDArray[np.intp],
    rules: Sequence[Rule],
    budget: Budget,
    *,
    first: Choice | None,
    relaxation: Relaxation,
) -> Choice | None:
    """The best list of the candidates kept, or of the best priced of them where they are too many for one search."""
    searched = kept
    if kept.size > MOST_SEARCHED:
        price = np.where(problem.fixed, np.inf, relaxation.price)[kept]
        searched = np.sort(kept[np.argsort(-price, kind="stable")[:MOST_SEARCHED]])
    found = first if first is not None and budget.spent else _solve_among(problem, searched, rules, budget, relaxation)
    if found is None or (first is not None and first.worth > found.worth):
        found = first
    if found is None or (searched is kept and found is not first):
        return found
    # What was left out is held by the relaxation alone: nothing is worth more than its bound.
    bound = max(relaxation.bound, found.worth)
    enough = found.worth + MARGIN_POINTS + problem.tolerance * abs(found.worth)
    return replace(found, bound=bound, proven=bound < enough)


def _solve_among(
    problem: ListProblem, rows: NDArray[np.intp], rules: Sequence[Rule], budget: Budget, relaxation: Relaxation
) -> Choice | None:
    likely = np.flatnonzero(np.isin(rows, relaxation.pollen_rows)).tolist()
    found = solve(problem.take(rows), [rule.take(rows) for rule in rules], budget, likely)
    return None if found is None else replace(found, chosen=tuple(rows[list(found.chosen)].tolist()))
