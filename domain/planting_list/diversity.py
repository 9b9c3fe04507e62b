"""The best lists one after another, each different from all before it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from domain.planting_list.choice import ListProblem
from domain.planting_list.reduction import ReducedChoice, choose
from domain.planting_list.solver import Budget, Listed


@dataclass(frozen=True)
class BestLists:
    """Lists, best first."""

    choices: tuple[ReducedChoice, ...]
    every_tree_served: bool
    """False where no list serves every tree with pollen, and the least unserved was chosen."""


def best_lists(problem: ListProblem, lists: int, budget: Budget | None = None) -> BestLists:
    """Up to `lists` lists that differ pairwise in at least a third of the freely chosen trees, sports counted equal.

    budget: what the search for all of them may take.
    """
    budget = Budget() if budget is None else budget
    strict = True
    found = _choose(problem, (), budget)
    if found is None:
        strict = False
        problem = replace(problem, must_be_served=np.zeros(problem.size, dtype=np.bool_))
        found = _choose(problem, (), budget)
    choices: list[ReducedChoice] = []
    earlier: list[Listed] = []
    while found is not None and found.choice.chosen:
        choices.append(found)
        if len(choices) == lists or problem.free_places < 1:
            break
        chosen = np.zeros(problem.size, dtype=np.bool_)
        chosen[list(found.choice.chosen)] = True
        earlier.append(np.isin(problem.group, problem.group[chosen & ~problem.fixed]) & ~problem.fixed)
        found = _choose(problem, earlier, budget)
    return BestLists(tuple(choices), strict)


def _choose(problem: ListProblem, earlier: Sequence[Listed], budget: Budget) -> ReducedChoice | None:
    """The best list of the candidates of the first choice where they are enough for one, else of all.

    Enough: a sport group for each free place, and a third of them again for each earlier list.
    """
    if problem.first_choice is not None:
        rows = np.flatnonzero(problem.first_choice | problem.fixed)
        free = problem.group[problem.first_choice & ~problem.fixed]
        needed = problem.free_places * (1.0 + len(earlier) / 3)
        if rows.size < problem.size and np.unique(free).size >= needed:
            found = choose(problem.take(rows), [one[rows] for one in earlier], budget)
            if found is not None:
                chosen = tuple(rows[list(found.choice.chosen)].tolist())
                unserved = tuple(rows[list(found.choice.unserved)].tolist())
                return replace(found, choice=replace(found.choice, chosen=chosen, unserved=unserved))
    return choose(problem, earlier, budget)
