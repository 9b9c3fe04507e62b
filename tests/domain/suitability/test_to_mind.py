"""What must be said where trees are chosen: insects of the region, frost of the site, what a cultivar is prone to.

The ranges are published: plum curculio and apple maggot live in eastern North America and not in England (D. Alston and
L. Stark 2000; Oregon State University, apple maggot), as the rows of fruits/apple/insects.csv cite.
"""

import msgspec
import pytest

from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.planting_lists import planting_lists
from domain.site_climate.site import Ground
from domain.suitability.suitabilities import suitabilities
from domain.suitability.suitability_request import SuitabilityRequest
from domain.suitability.to_mind import of_cultivars, of_each, of_the_site
from tests import shared

KENT = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40}
KENTUCKY = {"latitude": 38.0, "longitude": -84.5}


def insects(site: dict[str, float]) -> set[object]:
    conditions = shared.conditions(shared.site(**site))
    told = of_the_site(conditions, 1.0)
    assert all(one.by_hand for one in told if one.code == "to_mind_insect")
    return {one.values["insect"] for one in told if one.code == "to_mind_insect"}


def test_insects_are_those_of_the_region_and_each_has_what_can_be_done_by_hand() -> None:
    assert {"plum_curculio", "apple_maggot", "codling_moth"} <= insects(KENTUCKY)
    assert insects(KENT) == {"codling_moth", "apple_sawfly"}


def test_frost_that_is_the_sites_is_told_with_what_gains_more() -> None:
    conditions = shared.conditions(shared.site(**KENTUCKY))
    (hollow,) = [one for one in of_the_site(conditions, 0.6) if one.code.startswith("to_mind_site_frost")]
    assert (hollow.code, hollow.values["years"]) == ("to_mind_site_frost", 4)
    assert "20 m higher" in hollow.words
    slope = of_the_site(conditions, 0.6, Ground(lie="slope"))
    assert "to_mind_site_frost_high" in {one.code for one in slope}
    assert not [one for one in of_the_site(conditions, 0.95) if one.code.startswith("to_mind_site_frost")]


def test_wind_is_told_on_a_hilltop_alone() -> None:
    conditions = shared.conditions(shared.site(**KENT))
    assert [one.code for one in of_the_site(conditions, 1.0, Ground(lie="hilltop"))][-1] == "to_mind_wind"
    assert "to_mind_wind" not in {one.code for one in of_the_site(conditions, 1.0, Ground(lie="level"))}


def test_what_a_cultivar_is_prone_to_is_told_only_where_a_source_says_it() -> None:
    conditions, by_id = shared.conditions(shared.site(**KENTUCKY)), shared.catalogue().tables.by_id
    told = of_cultivars(conditions, [by_id["granny-smith"], by_id["lodi"], by_id["granny-smith"]])
    by_code = {(one.code, one.values.get("disease")): one.values["ids"] for one in told}
    assert by_code["to_mind_bitter_pit", None] == ("granny-smith",)
    assert "lodi" in by_code["to_mind_disease", "fire_blight"]  # type: ignore[operator]  # a list of names
    assert of_cultivars(conditions, []) == ()


@pytest.mark.parametrize("site", [KENT, KENTUCKY])
def test_each_cultivar_of_a_table_is_told_what_it_is_told_alone(site: dict[str, float]) -> None:
    conditions, traits = shared.conditions(shared.site(**site)), shared.catalogue().advised
    told = of_each(conditions, traits)
    assert told == [of_cultivars(conditions, [cultivar]) for cultivar in traits.cultivars]
    assert len({tuple(one.code for one in of_one) for of_one in told}) > 3
    assert of_each(conditions, shared.catalogue().choose([])) == []


@pytest.mark.parametrize("site", [KENT, KENTUCKY])
def test_lists_and_suitabilities_say_the_same_of_the_place(site: dict[str, float]) -> None:
    conditions, catalogue = shared.conditions(shared.site(**site)), shared.catalogue()
    body = {"site": site, "space": {"tree_count": 3}, "lists": 1}
    lists = planting_lists(msgspec.convert(body, PlantingListsRequest), catalogue, conditions)
    judged = suitabilities(msgspec.convert({"site": site}, SuitabilityRequest), catalogue, conditions)
    assert lists.to_mind == judged.to_mind
    assert {one.code for one in lists.to_mind} >= {"to_mind_insect"}
    on_list = {cultivar for one in lists.planting_lists[0].to_mind for cultivar in one.values["ids"]}  # type: ignore[union-attr]  # ids are a list
    assert on_list <= {tree.id for tree in lists.planting_lists[0].trees}
