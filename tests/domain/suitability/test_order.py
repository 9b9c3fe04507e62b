"""The order of an answer, one of each tree where only some are asked for, and what is known there."""

import msgspec
import pytest

from domain.suitability.order import of_one_tree, one_of_each
from domain.suitability.suitabilities import suitabilities
from domain.suitability.suitability_answer import Suitability
from domain.suitability.suitability_request import SuitabilityRequest
from tests.shared import catalogue, conditions, site

LENSWOOD = site(latitude=-34.9, longitude=138.8, elevation_m=450)
BY_FIGURES = site(latitude=-34.9, winter_chill={"measure": "chill_portions", "mean": 60})


def asked(**more: object) -> tuple[Suitability, ...]:
    request = SuitabilityRequest(site=LENSWOOD, **more)  # type: ignore[arg-type]  # members of the request, as told
    by_c = request.warmer_by_c
    warmer = None if by_c is None else conditions(msgspec.structs.replace(LENSWOOD, warming_c=by_c))
    return suitabilities(request, catalogue(), conditions(LENSWOOD), warmer).suitabilities


def test_one_of_each_tree_and_verdict_stands_for_its_sports() -> None:
    order = ["royal", "gala", "braeburn", "mondial", "galaxy", "fuji"]
    kinds = [("plant", 1), ("plant", 1), ("plant", 2), ("plant", 1), ("not_here", 1), ("not_here", 3)]
    found = one_of_each(order, kinds)  # type: ignore[arg-type]  # words of verdicts
    assert found == {"royal": ["gala", "mondial"], "braeburn": [], "galaxy": [], "fuji": []}
    assert list(found) == ["royal", "braeburn", "galaxy", "fuji"]


@pytest.mark.parametrize("warmer_by_c", [None, 1.0])
@pytest.mark.parametrize("limit", [1, 25, 60])
def test_a_limit_gives_the_best_of_so_many_trees(limit: int, warmer_by_c: float | None) -> None:
    trees = of_one_tree(catalogue().advised)
    whole = asked(warmer_by_c=warmer_by_c)
    heads = list(dict.fromkeys((one.verdict, trees[one.id]) for one in whole))[:limit]
    found = asked(limit=limit, warmer_by_c=warmer_by_c)
    assert [(one.verdict, trees[one.id]) for one in found] == heads
    first = {(one.verdict, trees[one.id]): one for one in reversed(whole)}
    for one in found:
        kind = one.verdict, trees[one.id]
        assert msgspec.structs.replace(one, sports_beside=()) == first[kind]
        alike = [other.id for other in whole if (other.verdict, trees[other.id]) == kind]
        assert [sport.id for sport in one.sports_beside] == alike[1:]


def test_the_whole_is_in_the_order_of_its_ranks() -> None:
    ranks = [one.rank_value or 0.0 for one in asked() if one.verdict == "plant"]
    assert ranks == sorted(ranks, reverse=True)
    assert not any(one.sports_beside for one in asked())


def test_what_is_asked_by_name_is_in_the_order_of_its_worth_alone() -> None:
    found = asked(cultivars=["Royal Gala", "Gala", "Galaxy", "Grenadier"], limit=4)
    assert len(found) == 4
    assert not any(one.sports_beside for one in found)


def test_nobody_is_known_where_the_place_is_not() -> None:
    found = suitabilities(SuitabilityRequest(site=BY_FIGURES), catalogue(), conditions(BY_FIGURES)).suitabilities
    assert not any(one.known_here for one in found)
