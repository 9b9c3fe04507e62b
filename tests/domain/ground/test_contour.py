"""Rows on a slope: along the contour where the ground falls by more than rows may, and never against what is asked."""

import itertools
from typing import Any

import msgspec
import numpy as np
import pytest

from domain.ground.contour import FIGURES, contour_deg, row_fall
from domain.ground.layout_request import PlotLayoutRequest
from domain.ground.plot_layouts import lay_out
from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.planting_lists import planting_lists
from domain.site_climate.site import Slope
from tests import shared

PLACE = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40}


def laid(**told: Any) -> Any:
    asked = {"rectangle_m": [30, 20], "latitude": 51.3, "spread_m": 3.0, **told}
    return lay_out(msgspec.convert(asked, PlotLayoutRequest))


@pytest.mark.parametrize(("faces_deg", "bearing"), [(0.0, 90.0), (90.0, 0.0), (180.0, 90.0), (225.0, 135.0)])
@pytest.mark.parametrize("count", [None, 8])
def test_rows_on_a_steep_slope_lie_level(faces_deg: float, bearing: float, count: int | None) -> None:
    slope = {"steepness_deg": 9.0, "faces_deg": faces_deg}
    found = laid(slope=slope, tree_count=count)
    assert found.row_bearing_deg == pytest.approx(bearing)
    assert "rows_along_the_contour" in [one.code for one in found.why]
    downhill = np.array([np.sin(np.radians(faces_deg)), np.cos(np.radians(faces_deg))])
    by_row = itertools.groupby(found.trees, key=lambda tree: tree.row)
    for _, trees in by_row:
        heights = [float(np.dot(downhill, (tree.x_m, tree.y_m))) for tree in trees]
        assert max(heights) - min(heights) < 1e-3


def test_rows_on_a_terraced_slope_follow_its_bank() -> None:
    """A bank along the second side parts the ground into two terraces, though the hill as a whole faces south-east."""
    bank = {"kind": "bank", "corners_m": [[0, 5], [26, 5], [26, 7], [0, 7]]}
    slope = {"steepness_deg": 20.0, "faces_deg": 135.0}
    found = laid(rectangle_m=[26, 12], slope=slope, areas_m=[bank], tree_count=8)
    assert found.row_bearing_deg == pytest.approx(90.0)
    assert "rows_along_terraces" in [one.code for one in found.why]
    assert len({tree.y_m for tree in found.trees}) == 2
    heap = {"kind": "bank", "corners_m": [[10, 5], [12, 5], [12, 7], [10, 7]]}  # no terrace
    assert laid(rectangle_m=[26, 12], slope=slope, areas_m=[heap], tree_count=4).row_bearing_deg == pytest.approx(45.0)
    down = {"kind": "bank", "corners_m": [[0, 0], [2, 0], [2, 12], [0, 12]]}  # at the western side, straight down
    aside = laid(rectangle_m=[26, 12], slope=slope | {"faces_deg": 180.0}, areas_m=[down], tree_count=8)
    assert aside.row_bearing_deg == pytest.approx(90.0)
    told = {one.code for one in aside.why}
    assert "rows_along_the_contour" in told
    assert not told & {"rows_along_terraces", "rows_fall_steeply"}
    level = laid(rectangle_m=[26, 12], areas_m=[bank], tree_count=8)
    assert "rows_along_terraces" not in [one.code for one in level.why]


def test_gentle_slopes_and_none_leave_rows_as_they_are() -> None:
    level, gentle = laid(), laid(slope={"steepness_deg": 4.0, "faces_deg": 180.0})
    assert [(tree.x_m, tree.y_m) for tree in gentle.trees] == [(tree.x_m, tree.y_m) for tree in level.trees]
    assert contour_deg(None) is None


def test_rows_may_fall_by_half_of_the_ground_and_no_more() -> None:
    slope = {"steepness_deg": 9.0, "faces_deg": 0.0}  # the ground falls by 15.8 %, so that rows may by 7.9
    told = {bearing: {one.code for one in laid(slope=slope, row_bearing_deg=bearing).why} for bearing in (57.0, 62.0)}
    assert "rows_fall_steeply" in told[57.0]
    assert "rows_fall_steeply" not in told[62.0]


def test_rows_asked_down_a_slope_are_laid_and_warned_of() -> None:
    found = laid(slope={"steepness_deg": 12.0, "faces_deg": 180.0}, row_bearing_deg=0.0)
    assert found.row_bearing_deg == pytest.approx(0.0)
    assert "rows_fall_steeply" in [one.code for one in found.why]
    across = laid(slope={"steepness_deg": 12.0, "faces_deg": 180.0}, row_bearing_deg=90.0)
    assert "rows_fall_steeply" not in [one.code for one in across.why]


def test_the_limit_is_that_of_the_standard() -> None:
    """NRCS Conservation Practice Standard 331 (California, 1996): a row falls by 10 % at the most."""
    assert FIGURES.most_row_fall == 0.10
    assert contour_deg(Slope(steepness_deg=5.7, faces_deg=30.0)) is None
    steep = Slope(steepness_deg=5.8, faces_deg=30.0)
    bearing = contour_deg(steep)
    assert bearing == pytest.approx(120.0)
    assert row_fall(steep, 120.0) == pytest.approx(0.0, abs=1e-9)
    assert row_fall(steep, 30.0) > 0.10


@pytest.mark.parametrize("trees", [6, 30])
def test_lists_on_a_slope_stand_along_its_contour(trees: int) -> None:
    ground = {"slope": {"steepness_deg": 10.0, "faces_deg": 180.0}}
    asked = {
        "site": PLACE | {"ground": ground},
        "space": {"rectangle_m": [24, 36]},
        "wanted": {"most_trees": trees},
        "lists": 1,
    }
    request = msgspec.convert(asked, PlantingListsRequest)
    (found,) = planting_lists(request, shared.catalogue(), shared.conditions(request.site)).planting_lists
    assert found.layout is not None
    assert found.layout.row_bearing_deg == pytest.approx(90.0)
    assert "rows_along_the_contour" in [one.code for one in found.why]
    rows: dict[int, set[float]] = {}
    for tree in found.trees:
        assert tree.place is not None
        assert tree.place.at_m is not None
        rows.setdefault(tree.place.row, set()).add(round(tree.place.at_m[1], 2))
    assert len(rows) > 1
    assert all(len(levels) == 1 for levels in rows.values())
