"""Requests of planting lists: space, names, contradictions and dates."""

import math
from typing import Any

import msgspec
import pytest

from domain.names import NameIndex
from domain.planting_list.request import MOST_TREES, PlantingListsRequest, PlotPolygon
from domain.planting_list.space import polygon_area_m2
from domain.planting_list.wishes import Wishes, wishes
from domain.problems import ContentFaults

NAMES = NameIndex(
    {"golden-delicious": "Golden Delicious", "cripps-pink": "Cripps Pink"}, [("cripps-pink", "Pink Lady")]
)
SQUARE = [[10.0, 50.0], [10.001, 50.0], [10.001, 50.001], [10.0, 50.001], [10.0, 50.0]]


def asked(**body: Any) -> Wishes:
    request = msgspec.convert({"site": {"latitude": 50.0}, "space": {"tree_count": 3}, **body}, PlantingListsRequest)
    return wishes(request, NAMES)


def faults(**body: Any) -> list[str]:
    with pytest.raises(ContentFaults) as refused:
        asked(**body)
    return [fault.pointer for fault in refused.value.faults]


def test_tree_count_is_taken_as_told() -> None:
    assert asked().places == 3
    assert asked().room.assumptions == ()


@pytest.mark.parametrize(
    ("sides", "height", "trees"), [([6, 9], None, 3), ([6, 9], 2.5, 6), ([6, 9], 5, 1), ([1, 1], None, 1)]
)
def test_rectangle_becomes_trees_by_spacing(sides: list[float], height: float | None, trees: int) -> None:
    wanted = {} if height is None else {"keep_height_m": height}
    found = asked(space={"rectangle_m": sides}, wanted=wanted)
    assert found.places == trees
    assert found.room.assumptions[0].assumed == trees


def test_large_space_is_bounded_and_told() -> None:
    found = asked(space={"rectangle_m": [200, 200]})
    assert found.places == MOST_TREES
    assert "several lists" in found.room.assumptions[0].why


def test_area_of_a_small_polygon() -> None:
    """A thousandth of a degree each way at 50 N: 111.2 m by 111.2 m times the cosine of the latitude."""
    truth = (6_371_008.8 * math.radians(0.001)) ** 2 * math.cos(math.radians(50.0005))
    assert polygon_area_m2(PlotPolygon(type="Polygon", coordinates=[SQUARE])) == pytest.approx(truth, rel=1e-4)


def test_area_across_the_antimeridian() -> None:
    shifted = [[(x + 169.9995 + 180) % 360 - 180, y] for x, y in SQUARE]
    east = polygon_area_m2(PlotPolygon(type="Polygon", coordinates=[shifted]))
    assert east == pytest.approx(polygon_area_m2(PlotPolygon(type="Polygon", coordinates=[SQUARE])), rel=1e-6)


def test_areas_to_keep_free_are_taken_off() -> None:
    plot = {
        "type": "Polygon",
        "coordinates": [[[10.0, 50.0], [10.0002, 50.0], [10.0002, 50.0001], [10.0, 50.0001], [10.0, 50.0]]],
    }
    half = {
        "type": "Polygon",
        "coordinates": [[[10.0, 50.0], [10.0001, 50.0], [10.0001, 50.0001], [10.0, 50.0001], [10.0, 50.0]]],
    }
    whole, left = asked(space={"plot": plot}), asked(space={"plot": plot, "no_planting_areas": [half]})
    assert left.places == pytest.approx(whole.places / 2, abs=1)


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
    "space", [{}, {"tree_count": 2, "no_planting_areas": [{"type": "Polygon", "coordinates": [SQUARE]}]}]
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
    assert asked(established=[{"cultivar": "Golden Delicious"}] * 2).established == ("golden-delicious",) * 2


def test_empty_stock_is_nothing_and_no_stock_is_everything() -> None:
    assert asked(available=[]).available == frozenset()
    assert asked().available is None
