"""What is done with edges and parts in bulk gives what shapely gives for each of them."""

import itertools
import math

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from domain.ground.crossings import crossings
from domain.ground.layout_rows import groups_of_parts, pieces_of
from domain.ground.row_frame import frame_of
from domain.ground.simpler_outlines import FAR_SHARE, moved_far


def blobs(seed: int, count: int = 12) -> BaseGeometry:
    """Discs over each other and apart, some with holes."""
    rng = np.random.default_rng(seed)
    discs = shapely.buffer(shapely.points(rng.uniform(0, 30, (count, 2))), rng.uniform(0.5, 5, count), quad_segs=4)
    holes = shapely.buffer(shapely.points(rng.uniform(0, 30, (count, 2))), rng.uniform(0.2, 2, count), quad_segs=3)
    return shapely.union_all(discs).difference(shapely.union_all(holes))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("bearing", [0.0, 37.0, 90.0])
def test_the_area_in_a_window_is_that_of_the_intersection(seed: int, bearing: float) -> None:
    region, frame = blobs(seed), frame_of(bearing, south=False)
    lines = frame.turned(region)
    rng = np.random.default_rng(seed)
    for _ in range(20):
        middle, side = rng.uniform(0, 30, 2), rng.uniform(0.5, 40)
        a, b = frame.along * side / 2, frame.across * side / 2
        window = shapely.Polygon([middle - a - b, middle - a + b, middle + a + b, middle + a - b])
        u, v = float(middle @ frame.across), float(middle @ frame.along)
        found = lines.area_within((u - side / 2, v - side / 2), (u + side / 2, v + side / 2))
        assert found == pytest.approx(region.intersection(window).area, abs=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_pieces_of_lines_are_what_the_region_cuts_of_them(seed: int) -> None:
    region = blobs(seed)
    lines = frame_of(90.0, south=True).turned(region)  # rows run east to west, one north of the other or south of it
    at = np.random.default_rng(seed).uniform(lines.low, lines.high, 25)
    together = pieces_of(at, lines.u, lines.v)
    for number, line in enumerate(at):
        alone = pieces_of(np.array([line]), lines.u, lines.v)
        here = together[0] == number
        assert np.array_equal(together[1][here], alone[1])
        assert np.array_equal(together[2][here], alone[2])
    frame = frame_of(90.0, south=True)
    for number, line in enumerate(at):
        ends = np.outer([-100.0, 100.0], frame.along) + line * frame.across
        cut = region.intersection(shapely.LineString(ends))
        assert together[2][together[0] == number].sum() == pytest.approx(cut.length, abs=1e-6)


@pytest.mark.parametrize("apart", [0.0, 0.5, 2.0, 6.0])
def test_parts_nearer_than_a_distance_stay_together(apart: float) -> None:
    region = blobs(3, 25)
    groups = groups_of_parts(region, apart)
    assert sum(group.area for group in groups) == pytest.approx(region.area)
    assert [group.area for group in groups] == sorted((group.area for group in groups), reverse=True)
    for one, other in itertools.combinations(groups, 2):
        assert one.distance(other) > apart
    for group in groups:
        parts = list(shapely.get_parts(group))
        reached = [parts.pop()]
        while near := [part for part in parts if any(part.dwithin(one, apart) for one in reached)]:
            reached += near
            parts = [part for part in parts if not any(part is one for one in near)]
        assert not parts, "a part of a group is reached from the others within the distance"


@pytest.mark.parametrize("out_m", [-3.0, -0.7, 0.7, 3.0, 9.0])
def test_what_is_moved_far_in_stages_is_moved_so_far_and_a_hundredth_more_at_most(out_m: float) -> None:
    turns = np.linspace(0, 2 * math.pi, 900, endpoint=False)
    reach = 14 + 0.3 * (np.arange(900) % 2)
    shape = shapely.Polygon(np.column_stack([reach * np.cos(turns), reach * np.sin(turns)]))
    moved = moved_far(shape, out_m, 8)
    fine, farther = shape.buffer(out_m, quad_segs=64), shape.buffer(out_m * (1 + FAR_SHARE), quad_segs=64)
    arc = abs(out_m) * (1 - math.cos(math.pi / 32)) + 1e-6  # arcs of eight segments reach so much less far
    inner, outer = (farther, fine) if out_m < 0 else (fine, farther)
    assert moved.buffer(arc).covers(inner)
    assert outer.buffer(arc).covers(moved)


def test_crossings_are_those_of_every_two_edges() -> None:
    rng = np.random.default_rng(5)
    outlines = [rng.uniform(0, 10, (9, 2)) for _ in range(12)]
    edges = [shapely.LineString(pair) for outline in outlines for pair in itertools.pairwise(outline)]
    assert crossings(outlines) == sum(one.crosses(other) for one, other in itertools.combinations(edges, 2)) > 100
    square = np.array([(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)], dtype=float)
    assert crossings([square, square + 1.0, square + np.array([1.0, 0.0]), square[:1]]) == 0, (
        "what touches does not cross"
    )
