"""Requests of planting lists: space, names, contradictions and dates."""

from typing import Any

import msgspec
import pytest

from domain.common.faults import ContentFaults
from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.wishes import Standing, Wishes, wishes
from tests import shared

SQUARE = [[10.0, 50.0], [10.001, 50.0], [10.001, 50.001], [10.0, 50.001], [10.0, 50.0]]


def asked(**body: Any) -> Wishes:
    request = msgspec.convert({"site": {"latitude": 50.0}, "space": {"tree_count": 3}} | body, PlantingListsRequest)
    return wishes(request, shared.tables())


def faults(**body: Any) -> list[str]:
    with pytest.raises(ContentFaults) as refused:
        asked(**body)
    return [fault.pointer for fault in refused.value.faults]


def test_tree_count_is_taken_as_told() -> None:
    assert asked().places == 3
    assert asked().room.assumptions == ()


@pytest.mark.parametrize(
    ("wanted", "trees", "assumed"),
    [({}, 12, True), ({"persons": 3}, 6, True), ({"persons": 1}, 4, True), ({"most_trees": 25}, 25, False)],
)
def test_a_plot_is_planted_for_those_who_eat_of_it(wanted: dict[str, int], trees: int, assumed: bool) -> None:
    found = asked(space={"rectangle_m": [60, 90]}, wanted=wanted)
    assert found.places == trees
    assert [one.assumed for one in found.room.assumptions] == [trees] * assumed


def test_a_number_of_trees_is_bounded_by_those_wanted() -> None:
    assert asked(space={"tree_count": 5}, wanted={"most_trees": 3}).places == 3


def test_areas_and_established_trees_stand_on_the_plot() -> None:
    area = {"type": "Feature", "geometry": {"type": "Polygon", "coordinates": [SQUARE]}, "properties": {"kind": "path"}}
    tree = {"cultivar": "Golden Delicious", "at": [10.0005, 50.0005], "spread_m": 5}
    plot = asked(
        space={"plot": {"type": "Polygon", "coordinates": [SQUARE]}, "no_planting_areas": [area]}, established=[tree]
    ).room.plot
    assert plot is not None
    assert [one.kind for one in plot.obstacles] == ["path", "existing_tree"]
    assert plot.obstacles[1].spread_m == 5
    assert plot.ground.contains(plot.obstacles[1].shape)
    in_metres = asked(
        space={"rectangle_m": [6, 9]}, established=[{"cultivar": "Golden Delicious", "at_m": [3, 4]}]
    ).room.plot
    assert in_metres is not None
    assert [one.kind for one in in_metres.obstacles] == ["existing_tree"]


def test_a_faulty_place_of_an_established_tree_is_told_where_it_stands() -> None:
    plot = {"type": "Polygon", "coordinates": [SQUARE]}
    far = {"cultivar": "Golden Delicious", "at": [50.0, 10.0]}
    assert faults(space={"plot": plot}, established=[far]) == ["#/established/0/at"]
    assert faults(established=[{"cultivar": "Golden Delicious", "at": [10, 50]}]) == ["#/established/0/at"]
    assert faults(established=[{"cultivar": "Golden Delicious", "at_m": [1, 2]}]) == ["#/established/0/at_m"]


def test_rootstocks_may_stand_among_what_can_be_had() -> None:
    both = asked(available=["Golden Delicious", "M.26", "Malling 9"])
    assert both.available == frozenset({"golden-delicious"})
    assert both.rootstocks == frozenset({"m-26", "m-9"})
    assert asked(available=["MM106"]).available is None
    assert asked(available=["MM106"]).rootstocks == frozenset({"mm-106"})
    assert faults(available=["Nobody"]) == ["#/available/0"]


def test_what_is_commonly_sold_depends_on_the_part_of_the_world() -> None:
    def sold(**site: float) -> frozenset[str] | None:
        return asked(site=site).rootstocks

    america, europe, unknown = (
        sold(latitude=43.0, longitude=-76.0), sold(latitude=48.0, longitude=11.0), sold(latitude=48.0)
    )  # fmt: skip
    assert america is not None
    assert europe is not None
    assert unknown is not None
    assert "g-41" in america - europe
    assert "m-27" in europe - america
    assert {"m-9", "m-26", "mm-106"} <= unknown <= america & europe


def test_every_fault_is_found_at_once() -> None:
    found = faults(
        space={"tree_count": 3, "rectangle_m": [3, 3]},
        wanted={"must_include": ["Golden Delicous", "Pink Lady"], "first_ripe": "02-30"},
        excluded=["Cripps Pink"],
        established=[{"cultivar": "Nobody"}],
        nearby_pollen=[{"cultivar": "No One", "distance_m": 3}],
    )
    assert found == [
        "#/space",
        "#/wanted/must_include/0",
        "#/established/0/cultivar",
        "#/nearby_pollen/0/cultivar",
        "#/wanted/first_ripe",
    ]


def test_must_include_that_is_excluded_is_refused() -> None:
    assert faults(wanted={"must_include": ["Pink Lady"]}, excluded=["Cripps Pink"]) == ["#/wanted/must_include/0"]


@pytest.mark.parametrize(
    "space",
    [
        {},
        {"tree_count": 2, "no_planting_areas": [{"type": "Polygon", "coordinates": [SQUARE]}]},
        {"tree_count": 2, "areas_m": [{"corners_m": [[0, 0]]}]},
        {"rectangle_m": [6, 9], "stand": "fence"},
    ],
)
def test_space_told_in_no_clear_way_is_refused(space: dict[str, Any]) -> None:
    assert faults(space=space)[0].startswith("#/space")


@pytest.mark.parametrize(
    "ring",
    [SQUARE[:-1], [[10.0, 50.0]] * 4, [[50.0, 110.0], [50.1, 110.0], [50.1, 110.1], [50.0, 110.0]]],
)
def test_open_flat_and_swapped_rings_are_refused(ring: list[list[float]]) -> None:
    assert faults(space={"plot": {"type": "Polygon", "coordinates": [ring]}})


def test_established_may_be_two_of_one() -> None:
    assert asked(established=[{"cultivar": "Golden Delicious"}] * 2).standing == (Standing("golden-delicious"),) * 2


def test_empty_stock_is_nothing_and_no_stock_is_everything() -> None:
    assert asked(available=[]).available == frozenset()
    assert asked().available is None


def test_a_tree_that_stands_keeps_the_room_to_which_it_grows() -> None:
    """One on a seedling's roots is told as it is and grows on; one on M.9 hardly does, an old one no more."""

    def room(**told: Any) -> tuple[float, float]:
        tree = {"cultivar": "Golden Delicious", "at_m": [10, 10]} | told
        site = {"latitude": 50.0, "as_of": "2026-11-29"}
        plot = asked(site=site, space={"rectangle_m": [20, 20]}, established=[tree]).room.plot
        assert plot is not None
        (stands,) = plot.obstacles
        assert stands.height_m is not None
        assert stands.spread_m is not None
        return stands.height_m, stands.spread_m

    seen = {"height_m": 2.0, "spread_m": 1.5}
    assert room(**seen) == (2.0, 1.5)
    assert room(**seen, rootstock="seedling") == (2.0, 1.5)  # its age is not told
    assert room(**seen, rootstock="seedling", year_planted=1976) == pytest.approx((2.0, 1.5), abs=0.1)
    strong, weak = (
        room(**seen, rootstock="seedling", year_planted=2024),
        room(**seen, rootstock="M.9", year_planted=2024),
    )
    assert strong[0] > weak[0] > 2.0
    assert strong[1] > weak[1] > 1.5
    assert room(rootstock="seedling") > room(rootstock="M.9") > room(rootstock="M.9", tree_form="stepover")
    assert room(rootstock="M.9", year_planted=2024) == room(rootstock="M.9")


def test_faults_of_what_stands_are_told_at_their_place() -> None:
    trees = [
        {"cultivar": None, "rootstock": "M.9000"},
        {"cultivar": None, "tree_form": "no such form"},
        {"cultivar": None, "year_planted": 2019},
    ]
    assert faults(established=trees) == [
        "#/established/0/rootstock",
        "#/established/1/tree_form",
        "#/established/2/year_planted",
    ]
    later = [{"cultivar": "Cripps Pink", "year_planted": 2027}]
    assert faults(site={"latitude": 50.0, "as_of": "2026-11-29"}, established=later) == ["#/established/0/year_planted"]
