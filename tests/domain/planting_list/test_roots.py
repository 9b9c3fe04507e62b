"""Where the ground freezes deep, lists stand on hardy roots and say so; elsewhere nothing is assumed of roots."""

from functools import cache

import pytest
from msgspec.structs import replace

from domain.orchard_site.conditions import on_ground
from domain.planting_list.list_answer import PlantingLists
from domain.planting_list.list_request import PlantingListsRequest, Space
from domain.planting_list.planting_lists import planting_lists
from domain.site_climate.site import Ground, Site
from domain.tables.rootstocks import Rootstock, rootstock_names, rootstocks
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


def stocks_of(answer: PlantingLists) -> list[Rootstock]:
    """The rootstock of each tree of the first list."""
    names = [tree.rootstock for tree in answer.planting_lists[0].trees]
    assert names
    return [rootstocks()[rootstock_names().resolve(name or "") or ""] for name in names]


def test_the_prairie_gets_stocks_whose_roots_are_known() -> None:
    """Brandon: known hardy roots before a stock that one document calls hardy as a whole (G.969)."""
    for stock in stocks_of(lists(Site(latitude=49.85, longitude=-99.95))):
        assert stock.findings["hardiness_root"].value in {"hardy", "very_hardy"}


def test_woolly_aphid_moves_the_stock_where_it_lives_on_roots() -> None:
    for stock in stocks_of(lists(Site(latitude=-33.3, longitude=149.1))):
        assert stock.findings["woolly_apple_aphid"].value in {"resistant", "moderately_resistant"}


def test_an_old_orchard_gets_no_stock_that_fails_there_or_is_not_known() -> None:
    """Ghent, six metres square: not six trees on M.27, of which nobody says how it stands old ground."""
    site = Site(latitude=51.05, longitude=3.72, ground=Ground(old_orchard=True))
    request = PlantingListsRequest(site=site, space=Space(rectangle_m=(6, 6)), lists=1)
    answer = planting_lists(request, shared.catalogue(), shared.conditions(site))
    for stock in stocks_of(answer):
        assert stock.findings["replant"].value in {"tolerant", "moderate"}
    told = {one.code for tree in answer.planting_lists[0].trees for one in tree.training}
    assert told & {"stock_stands_hazards", "stock_stands_in_part"}


def on(ground: Ground) -> PlantingLists:
    """A list for the coast on some ground."""
    site = replace(COAST, ground=ground)
    request = PlantingListsRequest(site=site, space=Space(tree_count=4), lists=1)
    return planting_lists(request, shared.catalogue(), on_ground(shared.conditions(COAST), ground))


def test_slow_drainage_and_clay_ask_for_stocks_known_to_stand_them() -> None:
    assert any("wet_soil" not in stock.findings for stock in stocks_of(on(Ground(drainage="good"))))
    for ground in (Ground(drainage="moderate"), Ground(texture="clayey")):
        for stock in stocks_of(on(ground)):
            assert stock.findings["wet_soil"].value in {"tolerant", "moderate"}
            assert stock.findings["crown_rot"].value in {"resistant", "moderately_resistant"}


def test_gales_ask_for_stocks_that_stand_alone_and_for_stakes() -> None:
    answer = on(Ground(wind="exposed"))
    assert {stock.findings["staking"].value for stock in stocks_of(answer)} == {"not_needed"}
    for tree in answer.planting_lists[0].trees:
        assert tree.size is not None
        assert tree.size.support in ("stake", "permanent_stake")


def test_shallow_soil_makes_smaller_trees_than_deep() -> None:
    shallow, deep = (on(Ground(soil_depth_m=depth)).planting_lists[0].trees for depth in (0.4, 1.2))
    tallest = [max(tree.size.height_m.likely for tree in trees if tree.size is not None) for trees in (shallow, deep)]
    assert tallest[0] < tallest[1]


def test_hardiness_is_kept_apart_and_agrees_with_the_texts() -> None:
    """Bud.9 and G.41 are hardy as a whole; G.41 is tender in autumn; Antonovka 313 has roots as hardy as G.935."""
    told = {stock: {k: f.value for k, f in rootstocks()[stock].findings.items()} for stock in rootstocks()}
    assert told["bud-9"]["hardiness"] == told["g-41"]["hardiness"] == "hardy"
    assert told["g-41"]["hardiness_autumn"] == "tender"
    assert told["antonovka-313"]["hardiness_root"] == told["g-935"]["hardiness_root"] == "hardy"
    assert told["siberian-crab"]["hardiness_root"] == told["ranetka-seedling"]["hardiness_root"] == "very_hardy"
    assert {"size_percent"} <= rootstocks()["ranetka-seedling"].numbers.keys()
    assert told["g-41"]["union"] == "brittle"
    assert {"m-116", "merton-793", "jm7", "siberian-crab"} <= told.keys()
