"""The best lists one after another, each different from all before it, and each of a character of its own if it can.

The first is the best of all. Each further one is the best of those that keep a rule which the first does not: the best
list for keeping, the best of new cultivars. A character that cannot be had, or that costs more of the worth than is
asked, is passed over; where none is left the next best list is taken as it is. A further list is good
enough within a few thousandths of its worth: to prove more of it costs more than all else, and no grower would ask it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.planting_list.choice import ListProblem
from domain.planting_list.reduction import ReducedChoice, choose
from domain.planting_list.rules import Rule, unlike
from domain.planting_list.solver import Budget
from domain.tables.parameters import figures


@dataclass(frozen=True)
class Character:
    """What a list may be like: a rule on its freely chosen trees, and the least shares of the first list's worth."""

    code: str
    rule: Rule
    least_worth: float
    least_tree_worth: float = 0.0
    """Least worth of a freely chosen tree, as a share of that of the middle one of the first list."""
    among: NDArray[np.bool_] | None = None
    """(m,) of whom such a list is made; None for all."""


class DiversityFigures(msgspec.Struct, frozen=True):
    """See parameters/planting_list.csv, subject diversity."""

    fewer_of_the_first: int
    worth_kept: float
    strained_share: float
    strained_gain: float
    later_tolerance: float


FIGURES = figures("planting_list", "diversity", DiversityFigures)


@dataclass(frozen=True)
class BestLists:
    """Lists, best first, and the character by whose rule each was chosen; None where it was by none."""

    choices: tuple[ReducedChoice, ...]
    every_tree_served: bool
    """False where no list serves every tree with pollen, and the least unserved was chosen."""
    characters: tuple[Character | None, ...] = ()

    def in_order(self, order: Sequence[int]) -> "BestLists":
        """The same lists in another order."""
        return BestLists(
            tuple(self.choices[n] for n in order), self.every_tree_served, tuple(self.characters[n] for n in order)
        )


def best_lists(
    problem: ListProblem, lists: int, budget: Budget | None = None, characters: Sequence[Character] = ()
) -> BestLists:
    """Up to `lists` lists that differ pairwise in at least a third of the freely chosen trees, sports counted equal.

    budget: what the search for all of them may take. characters: in the order in which they are tried.
    """
    budget = Budget() if budget is None else budget
    strict = True
    tiers = len(problem.tiers)
    found, tier = _choose(problem, (), budget, tiers)
    if found is None or tier > 0:
        loose = _unbound(problem)
        other, other_tier = _choose(loose, (), budget, tiers)
        if found is None or (other is not None and _rather(problem, other, found)):
            strict, problem, found, tier = False, loose, other, other_tier
    elif (eased := _eased(problem, found, (), budget, tiers)) is not None:
        strict, (problem, found, tier) = False, eased
    if found is None or not found.choice.chosen:
        return BestLists((), strict)
    first = found
    later = replace(problem, tolerance=max(problem.tolerance, FIGURES.later_tolerance))
    choices: list[tuple[ReducedChoice, Character | None]] = [(found, None)]
    unlike_earlier: list[Rule] = []
    waiting = [one for one in characters if not one.rule.kept_by(first.choice.chosen, problem.fixed)]
    of_first = [problem.tree_worth[one] for one in first.choice.chosen if not problem.fixed[one]]
    middle = float(np.median(of_first)) if of_first else 0.0
    while len(choices) < lists and problem.free_places >= 1:
        chosen = np.zeros(problem.size, dtype=np.bool_)
        chosen[list(choices[-1][0].choice.chosen)] = True
        listed = np.isin(problem.group, problem.group[chosen & ~problem.fixed]) & ~problem.fixed
        unlike_earlier.append(unlike(listed))
        of: Character | None = None
        found = None
        while waiting and found is None and not budget.spent:
            of = waiting.pop(0)
            good_enough = problem.tree_worth >= of.least_tree_worth * middle
            good = Rule(good_enough if of.among is None else good_enough & of.among, 1, 1)
            found, _ = _choose(later, [*unlike_earlier, of.rule, good], budget, tier)
            if found is not None and (
                found.choice.worth < of.least_worth * first.choice.worth
                or len(found.choice.chosen) < len(first.choice.chosen)
            ):
                found = None
        if found is None:
            of = None
            found, _ = _choose(later, unlike_earlier, budget, tiers)
            if found is not None and (eased := _eased(later, found, unlike_earlier, budget, tiers)) is not None:
                found = eased[1]
        if found is None or not found.choice.chosen:
            break
        choices.append((found, of))
    choices[1:] = sorted(choices[1:], key=lambda one: -one[0].choice.worth)
    return BestLists(tuple(one for one, _ in choices), strict, tuple(of for _, of in choices))


def _unbound(problem: ListProblem) -> ListProblem:
    """The same choice where no tree must be served."""
    return replace(problem, must_be_served=np.zeros(problem.size, dtype=np.bool_))


def _eased(
    problem: ListProblem, found: ReducedChoice, rules: Sequence[Rule], budget: Budget, deepest: int
) -> tuple[ListProblem, ReducedChoice, int] | None:
    """For a strained list the choice where no tree must be served, if that is worth clearly more, and its tier."""
    if not _strained(problem, found, rules) or budget.spent:
        return None
    loose = _unbound(problem)
    other, tier = _choose(loose, rules, budget, deepest)
    if other is None or other.choice.worth <= FIGURES.strained_gain * found.choice.worth:
        return None
    return loose, other, tier


def _strained(problem: ListProblem, found: ReducedChoice, rules: Sequence[Rule]) -> bool:
    """Whether a list holds a tree worth far less than its others, as one does that was taken for its pollen alone.

    Without rules, far less than the best that might stand there: that may be left out for want of sure pollen itself.
    """
    free = [float(problem.tree_worth[one]) for one in found.choice.chosen if not problem.fixed[one]]
    if len(free) < 2 or not problem.must_be_served.any():
        return False
    best = max(free) if rules else float(problem.tree_worth[first_tier(problem)].max(initial=max(free)))
    return min(free) < FIGURES.strained_share * best


def first_tier(problem: ListProblem) -> NDArray[np.bool_]:
    """(m,) who may be chosen freely of the first tier."""
    return ~problem.fixed & problem.tiers[0] if problem.tiers else ~problem.fixed


def _rather(problem: ListProblem, loose: ReducedChoice, found: ReducedChoice) -> bool:
    """Whether a list with a tree or two short of sure pollen is better: more to be planted here, and worth as much."""

    def of_first(one: ReducedChoice) -> int:
        return sum(bool(problem.tiers[0][candidate]) for candidate in one.choice.chosen)

    return of_first(loose) > of_first(found) and loose.choice.worth >= FIGURES.worth_kept * found.choice.worth


def _choose(
    problem: ListProblem, rules: Sequence[Rule], budget: Budget, deepest: int
) -> tuple[ReducedChoice | None, int]:
    """The best list of the candidates of the first tier that are enough for one, and the place of that tier.

    Enough: a sport group for each free place, and a third of them again for each earlier list. All candidates stand at
    the end of the tiers. In later tiers those of the first are chosen before others, as many as can stand together.
    deepest: the last tier that is looked at.
    """
    only = [rule.members for rule in rules if rule.least == rule.out_of]
    allowed = np.logical_and.reduce(only) if only else np.ones(problem.size, dtype=np.bool_)
    needed = problem.free_places * (1.0 + sum(rule.least < rule.out_of for rule in rules) / 3)
    kept_rules = [rule for rule in rules if rule.least < rule.out_of]
    for tier in range(min(deepest, len(problem.tiers)) + 1):
        last = tier == len(problem.tiers)
        members = allowed if last else problem.tiers[tier] & allowed
        rows = np.flatnonzero(members | problem.fixed)
        of_each = 1 if problem.empty_places else problem.trees_of_a_group
        offered = np.unique(problem.group[members & ~problem.fixed], return_counts=True)[1]
        if not last and np.minimum(offered, of_each).sum() < needed:
            continue
        if last and not only:
            found = _first_before_others(problem, kept_rules, budget)
        else:
            taken = [rule.take(rows) for rule in kept_rules]
            found = _first_before_others(problem.take(rows), taken, budget, later=tier > 0)
            if found is not None:
                chosen = tuple(rows[list(found.choice.chosen)].tolist())
                unserved = tuple(rows[list(found.choice.unserved)].tolist())
                found = replace(found, choice=replace(found.choice, chosen=chosen, unserved=unserved))
        if found is not None:
            return found, tier
    return None, len(problem.tiers)


def _first_before_others(
    problem: ListProblem, rules: Sequence[Rule], budget: Budget, *, later: bool = True
) -> ReducedChoice | None:
    """The best list with as many of the first tier as can be had together, or nearly as many.

    later: whether the candidates are those of a later tier; else all are of the first. Lists after the first are asked
    to differ, and nothing more.
    """
    if later and problem.tiers and not rules:
        first = problem.tiers[0] & ~problem.fixed
        most = min(np.unique(problem.group[first]).size, problem.free_places)
        for least in range(most, max(most - FIGURES.fewer_of_the_first, 1) - 1, -1):
            found = choose(problem, [Rule(first, least, problem.free_places)], budget)
            if found is not None and found.choice.chosen:
                return found
    return choose(problem, list(rules), budget)
