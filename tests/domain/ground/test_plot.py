"""Plots as callers draw them: what is forgiven, and what is refused with the place of the fault."""

import math
from typing import Any

import msgspec
import pytest

from domain.common.faults import ContentFault, ContentFaults
from domain.ground.layout_request import PlotLayoutRequest
from domain.ground.plot import Plot
from domain.ground.plot_layouts import lay_out, told_plot
from tests.domain.ground.drawing import L_SHAPE, asked, polygon, ring, thing


def faults_of(**body: object) -> tuple[ContentFault, ...]:
    with pytest.raises(ContentFaults) as refused:
        told_plot(asked(**{"spread_m": 3.0, **body}))
    return refused.value.faults


def plot_of(**body: object) -> Plot:
    return told_plot(asked(**{"spread_m": 3.0, **body}))


def test_area_of_an_l_shape() -> None:
    assert plot_of(plot=polygon(L_SHAPE)).area_m2 == pytest.approx(30 * 12 + 12 * 10, rel=1e-6)


def test_a_hole_is_taken_out_whatever_its_direction() -> None:
    hole = [(2.0, 2.0), (6.0, 2.0), (6.0, 5.0), (2.0, 5.0)]
    for drawn in (hole, hole[::-1]):
        assert plot_of(plot=polygon(L_SHAPE, drawn)).area_m2 == pytest.approx(480 - 12, rel=1e-6)


def test_feature_bbox_and_id_are_read_past() -> None:
    feature = {
        "type": "Feature",
        "geometry": {**polygon(L_SHAPE), "bbox": [9, 52, 10, 53]},
        "properties": {"owner": "x"},
        "id": 7,
    }
    assert plot_of(plot=feature).area_m2 == pytest.approx(480, rel=1e-6)


def test_a_collection_of_the_plot_alone_is_taken_as_the_plot() -> None:
    """RFC 7946, 3.3: what a map exports, were it one drawn outline only."""
    feature = {"type": "Feature", "geometry": polygon(L_SHAPE), "properties": None}
    drawn = {"type": "FeatureCollection", "features": [feature]}
    assert plot_of(plot=drawn).ground.equals(plot_of(plot=feature).ground)
    bow = [(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)]
    (fault,) = faults_of(plot=drawn | {"features": [feature | {"geometry": polygon(bow)}]})
    assert fault.pointer == "#/plot/features/0/geometry/coordinates/0"
    with pytest.raises(msgspec.ValidationError):
        plot_of(plot=drawn | {"features": [feature, feature]})


def test_crs_is_refused() -> None:
    (fault,) = faults_of(plot={**polygon(L_SHAPE), "crs": {"type": "name"}})
    assert fault.pointer == "#/plot/crs"


def test_crs_is_refused_wherever_a_map_writes_it_and_a_name_is_read_past() -> None:
    """Exports of maps put both beside the features."""
    feature = {"type": "Feature", "geometry": polygon(L_SHAPE)}
    named = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::3857"}}
    drawn = {"type": "FeatureCollection", "name": "orchard", "features": [feature]}
    assert plot_of(plot=drawn).area_m2 == pytest.approx(480, rel=1e-6)
    area = thing(polygon(L_SHAPE)) | {"crs": named}
    found = faults_of(plot=drawn | {"crs": named, "features": [feature | {"crs": named}]}, no_planting_areas=[area])
    assert [one.pointer for one in found] == [
        "#/plot/crs",
        "#/plot/features/0/crs",
        "#/no_planting_areas/0/crs",
    ]


def test_self_crossing_ring_is_refused_with_its_pointer_and_place() -> None:
    bow = [(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)]
    (fault,) = faults_of(plot=polygon(bow))
    assert fault.pointer == "#/plot/coordinates/0"
    assert "near longitude 9.1000" in fault.detail
    (fault,) = faults_of(plot=polygon(L_SHAPE), no_planting_areas=[polygon(L_SHAPE), thing(polygon(bow))])
    assert fault.pointer == "#/no_planting_areas/1/geometry/coordinates/0"


def test_hole_outside_is_refused() -> None:
    (fault,) = faults_of(plot=polygon(L_SHAPE, [(50.0, 50.0), (55.0, 50.0), (55.0, 55.0)]))
    assert fault.pointer == "#/plot/coordinates"
    assert "hole" in fault.detail


@pytest.mark.parametrize("position", [[52.3, 120.4], [-33.4, -151.2]])
def test_latitude_first_is_detected_where_it_cannot_be_a_longitude(position: list[float]) -> None:
    drawn = [[position[0] + dx, position[1] + dy] for dx, dy in ((0, 0), (1e-4, 0), (1e-4, 1e-4), (0, 0))]
    faults = faults_of(plot={"type": "Polygon", "coordinates": [drawn]})
    assert all("Latitude seems to come first" in fault.detail for fault in faults)
    assert faults[0].pointer == "#/plot/coordinates/0/0"


def test_latitude_first_is_detected_where_the_plot_would_lie_at_sea() -> None:
    swapped = [[latitude, longitude] for longitude, latitude in ring(L_SHAPE)]  # 52.3 E, 9.1 N: in the Arabian Sea
    (fault,) = faults_of(plot={"type": "Polygon", "coordinates": [swapped]})
    assert "lies at sea" in fault.detail


def test_a_plot_of_40_km_is_refused() -> None:
    wide = [[9.0, 52.0], [9.58, 52.0], [9.58, 52.1], [9.0, 52.1], [9.0, 52.0]]
    (fault,) = faults_of(plot={"type": "Polygon", "coordinates": [wide]})
    assert "km across" in fault.detail
    world = [[-170.0, -80.0], [170.0, -80.0], [170.0, 80.0], [-170.0, 80.0], [-170.0, -80.0]]
    (fault,) = faults_of(plot={"type": "Polygon", "coordinates": [world]})
    assert "1,000 km" in fault.detail


def test_too_many_vertices_are_refused() -> None:
    fine = [[9.1 + k * 1e-7, 52.3] for k in range(1500)] + [[9.1, 52.4], [9.1, 52.3]]
    with pytest.raises(ContentFaults, match="vertices in all"):
        told_plot(asked(spread_m=3, plot={"type": "Polygon", "coordinates": [fine, fine]}))
    with pytest.raises(msgspec.ValidationError, match="length <= 2000"):
        asked(spread_m=3, plot={"type": "Polygon", "coordinates": [[[9.1, 52.3]] * 10_000]})


def test_open_ring_and_numbers_that_are_none_are_refused_all_at_once() -> None:
    opened = ring(L_SHAPE)[:-1]
    broken = ring(L_SHAPE)
    broken[2] = [float("nan"), 52.3]
    faults = faults_of(plot={"type": "Polygon", "coordinates": [opened, broken]})
    assert [fault.pointer for fault in faults] == ["#/plot/coordinates/0/5", "#/plot/coordinates/1/2"]
    assert "closed ring" in faults[0].detail
    assert "finite" in faults[1].detail


def test_a_plot_without_an_area_is_refused() -> None:
    (fault,) = faults_of(plot=polygon([(0, 0), (10, 0), (5, 0)]))
    assert fault.pointer.startswith("#/plot")


def test_an_area_far_away_is_refused() -> None:
    far = {"type": "Point", "coordinates": [12.5, 41.9]}
    (fault,) = faults_of(plot=polygon(L_SHAPE), no_planting_areas=[far])
    assert fault.pointer == "#/no_planting_areas/0"


@pytest.mark.parametrize(
    ("body", "place"),
    [
        ({}, "#"),
        ({"rectangle_m": [3, 4], "plot": polygon(L_SHAPE)}, "#"),
        ({"rectangle_m": [3, 4], "no_planting_areas": [polygon(L_SHAPE)]}, "#"),
        ({"plot": polygon(L_SHAPE), "areas_m": [{"corners_m": [[0, 0]]}]}, "#"),
        ({"rectangle_m": [3, 4], "arrangement": "fence"}, "#/arrangement"),
        ({"rectangle_m": [30, 4], "spacing_in_row_m": 2.0}, "#/spacing_in_row_m"),
        ({"rectangle_m": [30, 4], "row_spacing_m": 2.0}, "#/row_spacing_m"),
        ({"rectangle_m": [30, 4], "areas_m": [{"corners_m": [[0, 0], [1, 1]]}]}, "#/areas_m/0"),
    ],
)
def test_what_cannot_be_meant_is_refused(body: dict[str, Any], place: str) -> None:
    assert [fault.pointer for fault in faults_of(**body)] == [place]


@pytest.mark.parametrize(
    "body",
    [
        {"rectangle_m": [9, 12], "spread_m": -1},
        {"rectangle_m": [9, 12], "spread_m": "3"},
        {"rectangle_m": [9, 12], "spread_m": 3, "edge_set_back_m": -2},
        {"rectangle_m": [9, 12], "spread_m": 3, "colour": "red"},
        {"rectangle_m": [9, -12], "spread_m": 3},
        {"plot": polygon(L_SHAPE), "spread_m": 3, "no_planting_areas": [thing(polygon(L_SHAPE), set_back_m=-1)]},
        {"plot": {"type": "Circle", "coordinates": []}, "spread_m": 3},
    ],
)
def test_what_has_the_wrong_shape_is_refused(body: dict[str, Any]) -> None:
    with pytest.raises(msgspec.ValidationError):
        msgspec.convert(body, PlotLayoutRequest)


def test_more_trees_than_are_laid_out_at_once_is_refused_in_words() -> None:
    field = polygon([(0, 0), (900, 0), (900, 900), (0, 900)])
    with pytest.raises(ContentFaults, match="at most 1500"):
        lay_out(asked(plot=field, spread_m=2.0))


def test_parts_of_a_plot_that_cross_often_are_refused_before_they_are_made_one(monkeypatch: pytest.MonkeyPatch) -> None:
    def comb(across: bool) -> list[tuple[float, float]]:
        teeth = [point for n in range(40) for point in ((n, 1.0), (n, 40.0), (n + 0.5, 40.0), (n + 0.5, 1.0))]
        ring = [(0.0, 0.0), *teeth, (40.0, 0.0)]
        return [(y, x) for x, y in ring] if across else ring

    monkeypatch.setattr("shapely.union_all", None)
    parts = [polygon(comb(across))["coordinates"] for across in (False, True)]
    with pytest.raises(ContentFaults, match="cross") as refused:
        lay_out(asked(plot={"type": "MultiPolygon", "coordinates": parts}, spread_m=2.0))
    assert [fault.pointer for fault in refused.value.faults] == ["#/plot"]


def test_crossings_by_the_last_edge_of_an_outline_count_too() -> None:
    def thin(turn: float) -> dict[str, object]:
        ends = [(turn, 9.0), (turn + 0.01, 9.0), (turn + math.pi, 9.0)]
        return {"corners_m": [[10 + far * math.cos(way), 10 + far * math.sin(way)] for way, far in ends]}

    areas = [thin(math.pi * n / 40) for n in range(40)]  # 780 crossings, and four times as many with the last edges
    (fault,) = faults_of(rectangle_m=[20, 20], areas_m=areas)
    assert fault.pointer == "#/areas_m"
    assert "cross" in fault.detail
