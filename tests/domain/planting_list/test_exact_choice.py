"""The choice is exact: equal to the search over all candidates, to trying every list, and provably bounded."""

from dataclasses import replace
from itertools import combinations

import highspy
import numpy as np
import pytest

from domain.planting_list.choice import POINTS, ListProblem, list_worth, unserved, with_tie_steps
from domain.planting_list.diversity import FIGURES as LATER
from domain.planting_list.diversity import best_lists
from domain.planting_list.reduction import choose
from domain.planting_list.rules import Rule, unlike
from domain.planting_list.solver import relax, solve


def problem(rng: np.random.Generator, size: int, places: int, *, fixed: int = 0, strict: bool = True) -> ListProblem:
    """A random choice with sports, triploids, shared alleles, bloom, seasons and uses."""
    bloom, alleles, sterile = rng.normal(0, 3.5, size), rng.integers(0, 10, size), rng.random(size) < 0.15
    group = np.where(rng.random(size) < 0.85, np.arange(size), rng.integers(0, size, size))
    serves = (np.abs(bloom[:, None] - bloom) < 6) & ~sterile[None, :] & (group[:, None] != group)
    serves &= (alleles[:, None] != alleles) | (alleles[:, None] > 2)
    slots, uses = int(rng.integers(3, 9)), int(rng.integers(0, 3))
    ripe = rng.uniform(0, slots - 1, size)
    slot = np.arange(slots)
    season = (slot >= np.floor(ripe)[:, None]) & (slot <= (ripe + 1 + rng.gamma(1.2, 2.5, size))[:, None])
    is_fixed = np.zeros(size, dtype=np.bool_)
    is_fixed[rng.choice(size, fixed, replace=False)] = True
    a_tree = 0.6 * POINTS / places
    whole = ListProblem(
        tree_worth=with_tie_steps(a_tree * rng.uniform(0.3, 0.95, size), places),
        group=group,
        fixed=is_fixed,
        serves=serves,
        pollen=np.where(
            serves, 1.0, np.where(group[:, None] == group, 0.0, rng.uniform(0, 0.7, (size, size)).round(2))
        ),
        shortfall=np.where(rng.random(size) < 0.2, 0.0, np.rint(a_tree * rng.uniform(0.3, 1, size))),
        must_be_served=np.full(size, strict) & ~is_fixed,
        season=season,
        gains=rng.random((size, uses)) < 0.5,
        places=places,
        slot_worth=(float(round(0.3 * POINTS / slots * 0.75)), float(round(0.3 * POINTS / slots * 0.25))),
        gain_worth=np.full(uses, float(round(0.1 * POINTS / max(uses, 1)))),
    )
    return whole.take(np.flatnonzero(is_fixed | ~np.isin(group, group[is_fixed])))


def asked(seed: int) -> tuple[ListProblem, list[Rule]]:
    """A random request: a problem, and sometimes an earlier list from which to differ, or half of a character."""
    rng = np.random.default_rng(seed)
    places = int(rng.integers(1, 9))
    made = problem(
        rng, int(rng.integers(15, 60)), places, fixed=int(rng.integers(0, min(places, 3))), strict=seed % 3 > 0
    )
    if rng.random() < 0.5 or made.free_places < 1:
        return made, []
    listed = np.isin(made.group, rng.choice(made.group, places)) & ~made.fixed
    character = [Rule(rng.random(made.size) < 0.4, 1, 2)] if rng.random() < 0.5 else []
    return made, [unlike(listed), *character]


@pytest.mark.parametrize("seed", range(50))
def test_reduced_choice_equals_the_whole_one(seed: int) -> None:
    made, earlier = asked(seed)
    reduced, whole = choose(made, earlier), solve(made, earlier)
    assert (reduced is None) == (whole is None)
    if reduced is not None and whole is not None:
        assert reduced.choice.worth == pytest.approx(whole.worth, abs=1e-6)
        assert reduced.choice.bound == pytest.approx(whole.bound, abs=1e-6)
        assert reduced.choice.unserved == tuple(unserved(made, reduced.choice.chosen))


def test_most_of_the_fifty_requests_can_be_had() -> None:
    assert sum(choose(*asked(seed)) is not None for seed in range(50)) > 35


@pytest.mark.parametrize("seed", range(12))
def test_choice_is_best_of_every_list_tried(seed: int) -> None:
    made = problem(np.random.default_rng(seed), 13, 4, strict=seed % 2 == 0)
    tried = [
        list_worth(made, rows)
        for rows in combinations(range(made.size), made.places)
        if np.unique(made.group[list(rows)]).size == made.places
        and not any(made.must_be_served[row] for row in unserved(made, rows))
    ]
    found = choose(made)
    assert (found is None) == (not tried)
    if found is not None:
        assert found.choice.worth == pytest.approx(max(tried), abs=1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_choice_on_a_plot_is_best_of_every_list_that_fits_it(seed: int) -> None:
    """Trees of several sizes, at most five of them, places left empty where the ground is full."""
    made = problem(np.random.default_rng(seed), 11, 5, strict=seed % 2 == 0)
    room = 1.0 / np.random.default_rng(seed).integers(2, 8, made.size)
    made = replace(made, room=room, empty_places=5)
    tried = [
        list_worth(made, rows)
        for count in range(6)
        for rows in combinations(range(made.size), count)
        if np.unique(made.group[list(rows)]).size == count
        and not any(made.must_be_served[row] for row in unserved(made, rows))
        and room[list(rows)].sum() <= 1 + 1e-9
    ]
    found = choose(made)
    assert found is not None
    assert found.choice.worth == pytest.approx(max(tried), abs=1e-6)
    assert room[list(found.choice.chosen)].sum() <= 1 + 1e-6


@pytest.mark.parametrize("seed", range(10))
def test_relaxation_bounds_every_list_that_holds_a_candidate(seed: int) -> None:
    """The proof of the reduction: bound plus price is never below the best list that holds the candidate."""
    made = problem(np.random.default_rng(seed), 25, 4)
    relaxed = relax(made)
    assert relaxed is not None
    for row in range(made.size):
        fixed = made.fixed.copy()
        fixed[row] = True
        holding = solve(replace(made, fixed=fixed))
        if holding is not None:
            assert holding.worth <= relaxed.bound + max(min(relaxed.price[row], 0.0), -1e9) + 1e-3


def test_many_candidates_are_reduced_to_few() -> None:
    found = choose(problem(np.random.default_rng(4), 500, 12))
    assert found is not None
    assert found.choice.proven
    assert found.kept < 60


def test_lists_differ_pairwise_in_a_third_counting_sports_equal() -> None:
    for seed in range(6):
        made = problem(np.random.default_rng(seed), 60, 7)
        found = best_lists(made, 3)
        groups = [set(made.group[list(one.choice.chosen)].tolist()) for one in found.choices]
        assert len(groups) == 3
        for one, other in combinations(groups, 2):
            assert len(one & other) <= 7 - 3
        worths = [one.choice.worth for one in found.choices]
        assert worths == sorted(worths, reverse=True)


@pytest.mark.parametrize(("places", "shared"), [(1, 0), (2, 1), (3, 2), (4, 2), (6, 4), (8, 5)])
def test_third_of_the_trees_is_rounded_up(places: int, shared: int) -> None:
    made = problem(np.random.default_rng(places), 40, places, strict=False)
    first, second = (one.choice.chosen for one in best_lists(made, 2).choices)
    assert len(set(made.group[list(first)]) & set(made.group[list(second)])) <= shared


def test_ties_go_to_the_earlier_row() -> None:
    size = 6
    made = ListProblem(
        tree_worth=with_tie_steps(np.full(size, 10_000.0), 2),
        group=np.arange(size),
        fixed=np.zeros(size, dtype=np.bool_),
        serves=~np.eye(size, dtype=np.bool_),
        pollen=1.0 - np.eye(size),
        shortfall=np.full(size, 100.0),
        must_be_served=np.ones(size, dtype=np.bool_),
        season=np.ones((size, 1), dtype=np.bool_),
        gains=np.ones((size, 0), dtype=np.bool_),
        places=2,
        slot_worth=(100.0, 50.0),
        gain_worth=np.zeros(0),
    )
    found = choose(made)
    assert found is not None
    assert found.choice.chosen == (0, 1)


def test_the_best_trees_stand_without_sure_pollen_where_that_is_worth_clearly_more() -> None:
    """Two that are best and serve each other in most years; two worth far less, alike, serve each other surely."""
    surely = np.zeros((4, 4), dtype=np.bool_)
    surely[2, 3] = surely[3, 2] = True
    made = ListProblem(
        tree_worth=with_tie_steps(np.array([20_000.0, 20_000.0, 13_000.0, 13_000.0]), 2),
        group=np.arange(4),
        fixed=np.zeros(4, dtype=np.bool_),
        serves=surely,
        pollen=np.where(surely, 1.0, 0.7) * (1.0 - np.eye(4)),
        shortfall=np.full(4, 10_000.0),
        must_be_served=np.ones(4, dtype=np.bool_),
        season=np.ones((4, 1), dtype=np.bool_),
        gains=np.ones((4, 0), dtype=np.bool_),
        places=2,
        slot_worth=(100.0, 50.0),
        gain_worth=np.zeros(0),
    )
    assert best_lists(made, 1).choices[0].choice.chosen == (0, 1)
    nearly = replace(made, tree_worth=with_tie_steps(np.array([15_000.0, 15_000.0, 13_000.0, 13_000.0]), 2))
    assert best_lists(nearly, 1).choices[0].choice.chosen == (2, 3)


def test_equal_problems_get_equal_choices() -> None:
    first, second = (best_lists(problem(np.random.default_rng(9), 200, 8), 3) for _ in range(2))
    assert first == second


def test_no_list_where_none_can_be_served() -> None:
    made = problem(np.random.default_rng(2), 20, 3)
    barren = replace(
        made, serves=np.zeros_like(made.serves), pollen=np.zeros_like(made.pollen), shortfall=np.full(made.size, 50.0)
    )
    assert choose(barren) is None
    assert solve(barren) is None
    soft = best_lists(barren, 1)
    assert not soft.every_tree_served
    assert len(soft.choices[0].choice.unserved) == 3


def test_the_solver_says_nothing_of_itself(capfd: pytest.CaptureFixture[str]) -> None:
    loud = highspy.Highs()  # type: ignore[no-untyped-call]  # untyped library
    loud.setOptionValue("threads", 1)  # all solvers of a process share one scheduler
    loud.run()
    assert "HiGHS" in capfd.readouterr().out, "what the solver writes is not seen here"
    made = problem(np.random.default_rng(1), 30, 4)
    assert solve(made) is not None
    assert relax(made) is not None
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("seed", range(6))
def test_a_later_list_is_nearly_the_best_unlike_the_first_and_its_bound_holds(seed: int) -> None:
    made = problem(np.random.default_rng(700 + seed), 120, 9)
    first, later = best_lists(made, 2).choices
    listed = np.isin(made.group, made.group[list(first.choice.chosen)])
    exact = choose(made, [unlike(listed)])
    assert exact is not None
    assert exact.choice.proven
    assert later.choice.bound >= exact.choice.worth
    assert exact.choice.worth * (1 - LATER.later_tolerance) <= later.choice.worth <= exact.choice.worth
