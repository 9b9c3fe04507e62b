"""Every crown lies inside its limits and apart from the others, proved by shapely in the caller's own coordinates."""

import itertools
from typing import Any

import msgspec
import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from domain.common.faults import ContentFaults
from domain.ground.layout_answer import RectangleLayout
from domain.ground.plot_layouts import lay_out
from domain.ground.projection import Floats, LocalPlane
from domain.ground.set_backs import set_back
from tests.domain.ground.drawing import HERE, L_SHAPE, Corners, asked, ground, laid, polygon, ring, star, thing, trunks

MILLIMETRE = 1e-3
HOUSE = [(3, 2), (12, 2), (12, 9), (3, 9)]
HOLE = [(4.0, 4.0), (9.0, 4.0), (9.0, 9.0), (4.0, 9.0)]


def hold(trees: Floats, inside: BaseGeometry, spread: float) -> None:
    """Crowns inside the ground, and no two trunks nearer than the spread."""
    points = shapely.points(trees)
    assert bool(shapely.contains(inside, points).all())
    assert float(shapely.distance(points, inside.boundary).min()) >= spread / 2 - MILLIMETRE
    if len(trees) > 1:
        _, apart = shapely.STRtree(points).query_nearest(points, exclusive=True, return_distance=True)
        assert float(apart.min()) >= spread - MILLIMETRE


@pytest.mark.parametrize("arrangement", ["rows", "free", "pots"])
@pytest.mark.parametrize(
    ("rings", "spread"), [((L_SHAPE,), 2.5), ((star(25),), 3.9), ((star(25), HOLE), 5.0), ((star(8, 17),), 1.3)]
)
def test_crowns_stay_inside_and_apart(rings: tuple[Any, ...], spread: float, arrangement: str) -> None:
    answer = laid(plot=polygon(*rings), spread_m=spread, arrangement=arrangement)
    assert answer.count == len(answer.features) > 5
    assert answer.count <= answer.most_that_fit
    hold(trunks(answer), ground(*rings), spread)


@pytest.mark.parametrize("arrangement", ["rows", "free"])
def test_set_backs_are_kept(arrangement: str) -> None:
    line = {"type": "LineString", "coordinates": ring([(20, 0), (22, 22)])[:2]}
    septic = [(24.0, 1.0), (29.0, 1.0), (29.0, 5.0)]
    old_tree = {"type": "Point", "coordinates": ring([(26, 18)])[0]}
    answer = laid(
        plot=polygon(L_SHAPE),
        no_planting_areas=[
            thing(polygon(HOUSE), kind="house", height_m=7),
            thing(line, kind="buried_line"),
            thing(polygon(septic), kind="septic_field"),
            thing(old_tree, kind="existing_tree", spread_m=5.0),
        ],
        spread_m=2.0,
        height_m=2.5,
        arrangement=arrangement,
    )
    points = shapely.points(trunks(answer))
    hold(trunks(answer), ground(L_SHAPE), 2.0)
    limits = [
        (shapely.Polygon(HOUSE), 3.0),  # for small and medium trees
        (shapely.LineString([(20, 0), (22, 22)]), 1.5),
        (shapely.Polygon(septic), 2.5),  # the height of the tree
        (shapely.Point(26, 18), 3.5),  # the crowns just meet
    ]
    for shape, least in limits:
        assert float(shapely.distance(points, shape).min()) >= least - MILLIMETRE
    assert [round(back.trunk_distance_m, 2) for back in answer.set_backs] == [3.0, 1.5, 2.5, 3.5]
    assert {caution.code for caution in answer.cautions} >= {"digging", "ask_locally", "septic_field"}


def test_own_set_back_takes_the_place_of_the_figure_but_the_crown_stays_out() -> None:
    near = set_back("house", 3.0, 3.0, told_m=0.5)
    assert near.trunk_distance_m == 1.5
    assert near.basis == "told"
    assert set_back("house", 3.0, 3.0, told_m=8.0).trunk_distance_m == 8.0
    assert set_back("house", 3.0, 13.0).trunk_distance_m == 4.6
    assert set_back("path", 1.0, 5.0).trunk_distance_m == 2.7


@pytest.mark.parametrize(("longitude", "latitude"), [(179.99995, -16.8), (-120.0, 84.0), (20.0, 69.6), (0.0, 0.0)])
def test_far_north_and_across_the_antimeridian(longitude: float, latitude: float) -> None:
    plane = LocalPlane(longitude, latitude)
    drawn = polygon(L_SHAPE, plane=plane)
    answer = laid(plot=drawn, spread_m=3.0, arrangement="free")
    hold(trunks(answer, plane), ground(L_SHAPE), 3.0)
    same = laid(plot=polygon(L_SHAPE), spread_m=3.0, arrangement="free")
    assert abs(answer.count - same.count) <= 1
    assert all(-180 <= feature.geometry.coordinates[0] <= 180 for feature in answer.features)


def test_plot_split_at_the_antimeridian_is_one_plot() -> None:
    plane = LocalPlane(180.0, -16.8)
    west = ring([(-12, 0), (0, 0), (0, 15), (-12, 15)], plane)
    east = ring([(0, 0), (12, 0), (12, 15), (0, 15)], plane)
    for position in east:
        position[0] = -180.0 if abs(position[0]) > 179.9999999 else position[0]
    split = laid(plot={"type": "MultiPolygon", "coordinates": [[west], [east]]}, spread_m=3.0, row_bearing_deg=0)
    whole = laid(plot=polygon([(-12, 0), (12, 0), (12, 15), (-12, 15)], plane=plane), spread_m=3.0, row_bearing_deg=0)
    assert split.count == whole.count > 20
    hold(trunks(split, plane), ground([(-12, 0), (12, 0), (12, 15), (-12, 15)]), 3.0)


def test_clockwise_rings_are_taken_as_they_come() -> None:
    assert laid(plot=polygon(L_SHAPE), spread_m=3.0) == laid(plot=polygon(L_SHAPE[::-1]), spread_m=3.0)


def test_turning_a_rectangle_turns_nothing_in_its_own_metres() -> None:
    layouts = [
        lay_out(asked(rectangle_m=[9, 12], bearing_deg=bearing, spread_m=2.9, row_bearing_deg=bearing))
        for bearing in (0, 20, 250)
    ]
    places = []
    for layout in layouts:
        assert isinstance(layout, RectangleLayout)
        places.append(sorted((round(tree.x_m, 3), round(tree.y_m, 3)) for tree in layout.trees))
        assert layout.trees[0].sun_hours is None  # no latitude, no sun
        hold(np.array(places[-1]), shapely.box(0, 0, 9, 12), 2.9)
    assert places[0] == places[1]
    assert len(places[2]) == len(places[0]) == 8


def test_three_by_three_where_nine_just_fit() -> None:
    for arrangement in ("rows", "free"):
        layout = lay_out(asked(rectangle_m=[9, 9], spread_m=3.0, row_spacing_m=3.0, arrangement=arrangement))
        assert layout.count == 9


def test_rows_are_straight_and_leave_room_to_pass() -> None:
    answer = laid(plot=polygon([(0, 0), (24, 0), (24, 30), (0, 30)]), spread_m=2.5)
    assert answer.row_bearing_deg == 0.0
    by_row: dict[int | None, list[float]] = {}
    for feature, place in zip(answer.features, trunks(answer), strict=True):
        by_row.setdefault(feature.properties.row, []).append(float(place[0]))
    easts = sorted(float(np.mean(row)) for row in by_row.values())
    assert all(max(row) - min(row) < 0.01 for row in by_row.values())
    assert all(b - a >= 2.5 + 1.2 - MILLIMETRE for a, b in itertools.pairwise(easts))
    assert len(easts) == 6


def test_rows_turn_where_that_holds_clearly_more() -> None:
    narrow = laid(plot=polygon([(0, 0), (40, 0), (40, 3.2), (0, 3.2)]), spread_m=3.0)
    assert narrow.row_bearing_deg == 90.0
    assert narrow.count == 13
    assert any("clearly more" in reason.words for reason in narrow.why)
    told = laid(plot=polygon([(0, 0), (40, 0), (40, 3.2), (0, 3.2)]), spread_m=3.0, row_bearing_deg=0)
    assert told.count == 9


def test_as_many_as_asked_and_no_more() -> None:
    for arrangement in ("rows", "free"):
        answer = laid(plot=polygon(star(25)), spread_m=3.0, arrangement=arrangement, tree_count=12)
        assert answer.count == 12
        assert "asked for" in answer.limits[0].words


def test_along_a_fence_crowns_do_not_meet_at_the_corner() -> None:
    fence = [(0.0, 12.0), (18.0, 12.0), (18.0, 22.0)]
    line = {"type": "LineString", "coordinates": ring(fence)[:-1]}
    answer = laid(plot=polygon(L_SHAPE), fence=line, arrangement="fence", spread_m=0.8, height_m=1.9)
    trees = trunks(answer)
    off = shapely.distance(shapely.points(trees), shapely.LineString(fence))
    assert answer.count >= 30
    assert off == pytest.approx(np.full(len(trees), 0.35), abs=1e-3)
    crowns = []
    for x, y in trees:
        along, across = (0.4, 0.25) if x < 17.5 else (0.25, 0.4)
        crowns.append(shapely.box(x - along, y - across, x + along, y + across))
    overlap = max(a.intersection(b).area for a, b in itertools.combinations(crowns, 2))
    assert overlap < 1e-3
    assert {"wires", "digging"} <= {caution.code for caution in answer.cautions}


def test_nothing_fits_and_the_answer_says_why() -> None:
    small = laid(plot=polygon([(0, 0), (2, 0), (2, 2), (0, 2)]), spread_m=3.0)
    assert (small.count, small.most_that_fit, small.features) == (0, 0, ())
    assert "from its edge" in small.limits[0].words
    covered = laid(
        plot=polygon(L_SHAPE), no_planting_areas=[polygon([(-1, -1), (40, -1), (40, 40), (-1, 40)])], spread_m=3.0
    )
    assert covered.count == 0
    assert "cover the whole plot" in covered.limits[0].words
    short = {"type": "LineString", "coordinates": ring([(0, 0), (2, 0)])[:2]}
    long_trees = laid(plot=polygon(L_SHAPE), fence=short, arrangement="fence", spread_m=4)
    assert long_trees.count == 0
    assert "along the fence" in long_trees.limits[0].words


def test_equal_requests_give_equal_bytes() -> None:
    request = asked(plot=polygon(star(8)), spread_m=2.0, arrangement="free")
    assert msgspec.json.encode(lay_out(request)) == msgspec.json.encode(lay_out(request))


@pytest.mark.parametrize(("latitude", "north_of"), [(50.0, False), (-43.0, True)])
def test_a_house_takes_sun_from_the_tree_behind_it(latitude: float, north_of: bool) -> None:
    south = [[0, -3.5], [20, -3.5], [20, -1.5], [0, -1.5]]
    north = [[x, 3 - y] for x, y in south]
    hours = []
    for house in (north, south) if north_of else (south, north):
        area = {"corners_m": house, "kind": "house", "height_m": 6, "set_back_m": 0}
        layout = lay_out(asked(rectangle_m=[20, 3], latitude=latitude, spread_m=2.0, tree_count=1, areas_m=[area]))
        assert isinstance(layout, RectangleLayout)
        assert layout.trees[0].sun_hours is not None
        hours.append(layout.trees[0].sun_hours)
    towards_the_noon_sun, away_from_it = hours
    assert towards_the_noon_sun < away_from_it - 1


def test_here_is_where_the_plots_are() -> None:
    assert np.abs(HERE.to_plane([(HERE.longitude, HERE.latitude)])).max() < 1e-9


def test_a_path_costs_no_more_trees_than_its_own_ground() -> None:
    """On each side of a path down the middle of 40 by 60 m as many trees stand as on that side alone."""
    path = {"corners_m": [[19, 0], [21, 0], [21, 60], [19, 60]], "kind": "path"}
    whole = lay_out(asked(rectangle_m=[40, 60], spread_m=5.0, areas_m=[path]))
    side = lay_out(asked(rectangle_m=[19, 60], spread_m=5.0))
    assert whole.count == 2 * side.count == 72
    assert whole.count <= whole.most_that_fit < 1.25 * whole.count


@pytest.mark.parametrize("arrangement", ["rows", "pots"])
def test_a_few_trees_take_the_room_there_is(arrangement: str) -> None:
    pond = {"corners_m": [[15, 8], [20, 8], [20, 13], [15, 13]], "kind": "pond"}
    oak = {"corners_m": [[5, 14]], "kind": "existing_tree", "spread_m": 7, "height_m": 9}
    layout = lay_out(
        asked(rectangle_m=[25, 18], spread_m=2.4, tree_count=8, areas_m=[pond, oak], arrangement=arrangement)
    )
    assert isinstance(layout, RectangleLayout)
    places = np.array([(tree.x_m, tree.y_m) for tree in layout.trees])
    assert layout.count == 8
    hold(places, shapely.box(0, 0, 25, 18), 2.4)
    assert min(tree.nearest_tree_m or 0.0 for tree in layout.trees) > 3.0
    assert float(np.ptp(places[:, 0])) > 25 / 3
    assert float(shapely.distance(shapely.points(places), shapely.box(15, 8, 20, 13)).min()) >= 1.5


def test_outlines_finer_than_is_worked_with_are_told() -> None:
    turns = np.linspace(0, 2 * np.pi, 1900, endpoint=False)
    reach = 12 * np.where(np.arange(1900) % 2, 1.0, 0.05)
    spikes = [(float(x), float(y)) for x, y in np.column_stack([reach * np.cos(turns), reach * np.sin(turns)])]
    answer = laid(plot=polygon(spikes), spread_m=1.0, tree_count=1)
    assert [one.code for one in answer.warnings] == ["outlines_simplified"]
    assert answer.count == 1
    assert answer.plot_area_m2 == pytest.approx(ground(spikes).area, rel=1e-3)
    assert laid(plot=polygon(star(14)), spread_m=3.5).warnings == ()


def test_outlines_drawn_over_each_other_without_end_are_refused() -> None:
    teeth = [(0.2 * n + 0.1 * side, 20.0 * top) for n in range(100) for side, top in ((0, 0), (0, 1), (1, 1), (1, 0))]
    comb: Corners = [(-1.0, -1.0), *teeth, (21.0, -1.0)]
    across: Corners = [(y, x) for x, y in comb]
    crossed = {"type": "MultiPolygon", "coordinates": [[ring(comb)], [ring(across)]]}
    with pytest.raises(ContentFaults, match="cross") as refused:
        lay_out(asked(plot=crossed, spread_m=1.0))
    assert refused.value.faults[0].pointer == "#/plot"
