"""The order of an answer: one of each tree, and what is known in that part of the world before what is not."""

from itertools import pairwise

import pytest

from domain.suitability.order import one_of_each, place
from domain.suitability.suitabilities import suitabilities
from domain.suitability.suitability_answer import Suitability
from domain.suitability.suitability_request import SuitabilityRequest, Weights
from tests.shared import catalogue, conditions, site

LENSWOOD = site(latitude=-34.9, longitude=138.8, elevation_m=450)
BY_FIGURES = site(latitude=-34.9, winter_chill={"measure": "chill_portions", "mean": 60})


def asked(**more: object) -> tuple[Suitability, ...]:
    request = SuitabilityRequest(site=LENSWOOD, **more)  # type: ignore[arg-type]  # members of the request, as told
    return suitabilities(request, catalogue(), conditions(LENSWOOD)).suitabilities


def test_one_of_each_tree_stands_in_its_place_and_its_sports_behind_their_verdict() -> None:
    order = ["royal", "gala", "braeburn", "mondial", "galaxy", "fuji"]
    kinds = [("plant", 1), ("plant", 1), ("plant", 2), ("plant", 1), ("not_here", 1), ("not_here", 3)]
    found, beside = one_of_each(order, kinds)  # type: ignore[arg-type]  # words of verdicts
    assert found == ["royal", "braeburn", "gala", "mondial", "galaxy", "fuji"]
    assert beside == {"royal": ["gala", "mondial"]}


def test_what_is_known_there_goes_before_a_higher_rank_and_not_before_a_better_verdict() -> None:
    best_first = [
        place("plant", True, 0.5, "b"),
        place("plant", False, 0.9, "a"),
        place("worth_trying", True, 1.0, "c"),
    ]
    assert all(one < other for one, other in pairwise(best_first))


def test_the_first_names_are_of_as_many_trees_and_known_there() -> None:
    first = asked(limit=10)
    assert all(one.known_here for one in first)
    trees = {catalogue().tables.by_id[one.id].sport_of or one.id for one in first}
    assert len(trees) == len(first)
    gala = next(one for one in first if "gala" in {one.id, *(sport.id for sport in one.sports_beside)})
    assert {"galaxy", "gala"} & {sport.id for sport in gala.sports_beside}


@pytest.mark.parametrize("limit", [1, 25, 60])
def test_a_limit_gives_the_head_of_the_whole(limit: int) -> None:
    assert asked(limit=limit) == asked()[:limit]


def test_what_is_asked_by_name_is_in_the_order_of_its_worth_alone() -> None:
    found = asked(cultivars=["Royal Gala", "Gala", "Galaxy", "Grenadier"])
    assert not any(one.sports_beside for one in found)
    assert [one.known_here for one in found] == sorted((one.known_here for one in found), reverse=True)


def test_what_is_proven_moves_no_order_where_nobody_asks_for_it() -> None:
    found = asked(weights=Weights(proven_in_like_climates=0.0))
    beside = {sport.id for one in found for sport in one.sports_beside}
    ranks = [one.rank_value or 0.0 for one in found if one.verdict == "plant" and one.id not in beside]
    assert ranks == sorted(ranks, reverse=True)


def test_nobody_is_known_where_the_place_is_not() -> None:
    found = suitabilities(SuitabilityRequest(site=BY_FIGURES), catalogue(), conditions(BY_FIGURES)).suitabilities
    assert not any(one.known_here for one in found)
