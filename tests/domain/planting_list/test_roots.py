"""Where the ground freezes deep, lists stand on hardy roots and say so; elsewhere nothing is assumed of roots."""

from functools import cache

import pytest

from domain.planting_list.list_answer import PlantingLists
from domain.planting_list.list_request import PlantingListsRequest, Space
from domain.planting_list.planting_lists import planting_lists
from domain.site_climate.site import Site
from domain.tables.rootstocks import rootstock_names, rootstocks
from tests import shared

PRAIRIE = Site(latitude=52.1, longitude=-106.7, elevation_m=480)
COAST = Site(latitude=51.2, longitude=0.6, elevation_m=60)


@cache
def lists(site: Site) -> PlantingLists:
    request = PlantingListsRequest(site=site, space=Space(tree_count=4), lists=1)
    return planting_lists(request, shared.catalogue(), shared.conditions(site))


def test_cold_ground_asks_for_hardy_roots() -> None:
    answer = lists(PRAIRIE)
    assert any(one.field == "available" and "tender roots" in one.why for one in answer.assumptions)
    by_id = rootstocks()
    for tree in answer.planting_lists[0].trees:
        stock = by_id[rootstock_names().resolve(tree.rootstock or "") or ""]
        assert {stock.findings[trait].value for trait in ("hardiness", "hardiness_root")} <= {"hardy", "very_hardy"}
        assert any(one.code == "stock_stands_hazards" and "cold in the ground" in one.words for one in tree.training)


@pytest.mark.parametrize("site", [COAST])
def test_mild_ground_takes_nothing_for_granted(site: Site) -> None:
    assert not any(one.field == "available" for one in lists(site).assumptions)
