"""The search of a whole request has an end, and ends in a list that keeps its rules, with a bound that holds."""

from dataclasses import replace
from typing import Any

import msgspec
import numpy as np
import pytest

from domain.planting_list import reduction
from domain.planting_list.choice import ListProblem, list_worth, with_tie_steps
from domain.planting_list.diversity import BestLists, best_lists
from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.planting_lists import planting_lists
from domain.planting_list.reduction import MOST_SEARCHED, choose
from domain.planting_list.rules import Rule
from domain.planting_list.solver import MOST_NODES, Budget, Choice, solve
from tests import shared
from tests.domain.planting_list.test_exact_choice import problem


def tied(size: int, places: int) -> ListProblem:
    """Candidates that are all worth the same, so that no proof leaves any of them out."""
    made = problem(np.random.default_rng(5), size, places, strict=False)
    return replace(
        made,
        tree_worth=with_tie_steps(np.full(made.size, 100.0), places),
        season=np.ones_like(made.season),
        gains=np.ones_like(made.gains),
        shortfall=np.zeros(made.size),
    )


def of_all_sizes(size: int, places: int) -> ListProblem:
    """Candidates that take different shares of the ground, so that the best list is not the first thing found."""
    rng = np.random.default_rng(3)
    made = problem(rng, size, places)
    return replace(made, room=rng.uniform(0.1, 0.35, size), empty_places=places - 1)


def test_no_search_takes_more_candidates_than_the_most(monkeypatch: pytest.MonkeyPatch) -> None:
    sizes: list[int] = []

    def counted(asked: ListProblem, earlier: list[Rule], budget: Budget, rows: list[int]) -> Choice | None:
        sizes.append(asked.size)
        return solve(asked, earlier, budget, rows)

    monkeypatch.setattr(reduction, "solve", counted)
    monkeypatch.setattr(reduction, "as_choice", lambda *_: None)  # the relaxation of these is a list already
    made = tied(430, 8)
    found = choose(made)
    assert found is not None
    assert found.kept > MOST_SEARCHED == max(sizes)
    assert found.choice.proven
    assert found.choice.worth <= found.choice.bound < found.choice.worth + reduction.MARGIN_POINTS


def test_one_budget_holds_for_all_lists() -> None:
    budget = Budget()
    made = of_all_sizes(60, 6)
    found = best_lists(made, 5, budget)
    used = MOST_NODES - budget.nodes
    assert len(found.choices) == 5
    assert used >= 5
    again = Budget(nodes=used)
    assert [one.choice.chosen for one in best_lists(made, 5, again).choices] == [
        one.choice.chosen for one in found.choices
    ]
    assert again.nodes <= 0


@pytest.mark.parametrize("seed", range(12))
def test_a_spent_budget_ends_in_a_list_with_a_bound_that_holds(seed: int) -> None:
    made = problem(np.random.default_rng(seed), 80, 7)
    best, quick = choose(made), choose(made, budget=Budget(nodes=0, iterations=0))
    assert best is not None
    assert quick is not None
    assert quick.choice.worth == list_worth(made, quick.choice.chosen)
    assert quick.choice.worth <= best.choice.worth + 1 <= quick.choice.bound + 2
    assert quick.choice.worth >= 0.9 * best.choice.worth
    assert quick.choice.unserved == ()


@pytest.mark.parametrize("nodes", [MOST_NODES, 0])
def test_all_searches_of_a_request_share_one_budget(nodes: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where none is to be planted the choice is made again; a spent budget leaves one look for such a list.

    At Santa Barbara three trees alone are searched for once, as the usual number of lists, and step by step.
    """
    shares: list[Budget] = []

    def counted(asked: ListProblem, lists: int, budget: Budget, offered: Any) -> BestLists:
        shares.append(budget)
        return best_lists(asked, lists, budget, offered)

    monkeypatch.setattr("domain.planting_list.lists.best_lists", counted)
    monkeypatch.setattr("domain.planting_list.lists.Budget", lambda: Budget(nodes=nodes))
    site = {"latitude": 34.4, "longitude": -119.7, "elevation_m": 50}
    body = {"site": site, "space": {"tree_count": 3}, "lists": 1, "neighbourhood": "isolated"}
    asked = msgspec.convert(body, PlantingListsRequest)
    answer = planting_lists(asked, shared.catalogue(), shared.conditions(asked.site))
    assert answer.planting_lists
    assert all(one is shares[0] for one in shares)
    assert shares[0].nodes < nodes
    assert len(shares) > 3 if nodes else len(shares) == 3
