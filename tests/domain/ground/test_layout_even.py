"""So many trees over the room there is: crowns inside and apart, evenly, own rows beyond a path."""

import itertools
import math

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from domain.ground.layout_even import FIGURES, EvenRows, TreeRoom, lay_evenly, shared_out
from domain.ground.layout_rows import lay_rows
from domain.ground.room import ground_in_rows, most_in_rows
from tests.domain.ground.drawing import star

PASSAGE_M = 1.2
L_SHAPE = shapely.Polygon([(0, 0), (30, 0), (30, 12), (12, 12), (12, 25), (0, 25)])


def lay(ground: BaseGeometry, trees: list[TreeRoom], south: bool = False) -> EvenRows | None:
    regions = {tree.spread_m: ground.buffer(-tree.spread_m / 2) for tree in trees}
    return lay_evenly(trees, lambda tree: regions[trees[tree].spread_m], PASSAGE_M, south)


def alike(count: int, spread: float = 2.4) -> list[TreeRoom]:
    return [TreeRoom(spread + 0.3, spread, spread + 0.4)] * count


def assert_sound(ground: BaseGeometry, trees: list[TreeRoom], laid: EvenRows) -> None:
    crowns = [shapely.Point(at).buffer(t.spread_m / 2 - 1e-3) for at, t in zip(laid.trees, trees, strict=True)]
    assert all(ground.contains(crown) for crown in crowns)
    for a, b in itertools.combinations(range(len(trees)), 2):
        apart = float(np.hypot(*(laid.trees[a] - laid.trees[b])))
        least = (trees[a].spacing_m + trees[b].spacing_m) / 2
        assert apart >= least - 1e-6
        if laid.row[a] != laid.row[b] and laid.bearing_deg is not None:
            b_rad = math.radians(laid.bearing_deg)
            across = abs(float((laid.trees[a] - laid.trees[b]) @ np.array([math.cos(b_rad), -math.sin(b_rad)])))
            assert across >= least + PASSAGE_M - 1e-6 or apart >= least + PASSAGE_M - 1e-6


@pytest.mark.parametrize("seed", range(10))
def test_crowns_stand_inside_and_apart(seed: int) -> None:
    rng = np.random.default_rng(seed)
    pond = shapely.Point(rng.uniform(5, 20), 6).buffer(2.5)
    ground = [shapely.box(0, 0, 25, 18), L_SHAPE, shapely.Polygon(star(14))][seed % 3].difference(pond)
    spreads = rng.choice([0.6, 1.7, 2.4, 3.1], int(rng.integers(2, 13))).tolist()
    trees = [TreeRoom(spread + 0.3, spread, float(rng.uniform(2, 4))) for spread in spreads]
    laid = lay(ground, trees, south=seed % 2 == 0)
    assert laid is not None
    assert_sound(ground, trees, laid)


@pytest.mark.parametrize(("wide", "deep", "count"), [(15.0, 25.0, 12), (25.0, 18.0, 8), (12.0, 12.0, 4)])
def test_trees_take_all_of_the_ground_alike(wide: float, deep: float, count: int) -> None:
    laid = lay(shapely.box(0, 0, wide, deep), alike(count))
    assert laid is not None
    assert laid.trees.mean(axis=0) == pytest.approx((wide / 2, deep / 2), abs=0.6)
    quarters = [(laid.trees[:, 0] > wide / 2) == east for east in (True, False)]
    assert min(int(half.sum()) for half in quarters) >= count // 2 - 1
    # All of it is taken: a tree at most a strip's width from any edge.
    assert laid.trees[:, 0].min() < wide / 3
    assert laid.trees[:, 0].max() > wide * 2 / 3
    assert laid.trees[:, 1].min() < deep / 3
    assert laid.trees[:, 1].max() > deep * 2 / 3


def test_the_same_gaps_in_a_row_and_the_same_number_in_each() -> None:
    laid = lay(shapely.box(0, 0, 15, 25), alike(12))
    assert laid is not None
    rows = [laid.trees[np.array(laid.row) == row] for row in sorted(set(laid.row))]
    assert len({len(row) for row in rows}) == 1
    gaps = [np.hypot(*np.diff(row, axis=0).T) for row in rows]
    assert np.concatenate(gaps) == pytest.approx(float(gaps[0][0]), abs=1e-6)


def test_much_ground_is_not_strewn_with_trees() -> None:
    laid = lay(shapely.box(0, 0, 100, 100), alike(6))
    assert laid is not None
    assert_sound(shapely.box(0, 0, 100, 100), alike(6), laid)
    assert max(laid.in_row, laid.between) <= FIGURES.widest
    assert float(np.ptp(laid.trees, axis=0).max()) < 6 * FIGURES.widest * (2.7 + PASSAGE_M)
    assert laid.trees.mean(axis=0) == pytest.approx((50, 50), abs=6)


@pytest.mark.parametrize("spread", [2.4, 5.0])
def test_each_side_of_a_path_has_its_own_rows(spread: float) -> None:
    """A path cuts 40 by 60 m in two: as many trees stand as in the halves laid out one by one."""
    ground = shapely.box(0, 0, 40, 60)
    path = shapely.box(19, 0, 21, 60).buffer(max(1.8, spread / 2))
    region = ground.buffer(-spread / 2).difference(path)
    halves = [lay_rows(half, spread, spread + PASSAGE_M, 0.0) for half in shapely.get_parts(region)]
    both = lay_rows(region, spread, spread + PASSAGE_M, 0.0)
    assert len(both.trees) == sum(len(half.trees) for half in halves) > 60
    trees = [TreeRoom(spread, spread, 3.0)] * 40
    laid = lay_evenly(trees, lambda _: region, PASSAGE_M)
    assert laid is not None
    assert int((laid.trees[:, 0] < 20).sum()) == 20
    assert not region.boundary.contains(shapely.Point(laid.trees[0]))


@pytest.mark.parametrize("south", [False, True])
def test_the_tall_stand_away_from_the_noon_sun(south: bool) -> None:
    trees = [TreeRoom(2.3, 2.0, 2.0)] * 4 + [TreeRoom(3.3, 3.0, 3.5)] * 4
    for ground in (shapely.box(0, 0, 10, 24), shapely.box(0, 0, 24, 9)):
        laid = lay(ground, trees, south)
        assert laid is not None
        assert_sound(ground, trees, laid)
        for row in set(laid.row):
            stands = [tree for tree in range(8) if laid.row[tree] == row]
            stands.sort(key=lambda tree: -trees[tree].height_m)
            if laid.bearing_deg == 0.0 and len({trees[tree].height_m for tree in stands}) == 2:
                assert (laid.trees[stands[0], 1] < laid.trees[stands[-1], 1]) == south
        if laid.bearing_deg == 90.0:
            assert (laid.trees[4:, 1].mean() < laid.trees[:4, 1].mean()) == south


def test_full_ground_holds_what_rows_hold_and_no_more() -> None:
    ground = shapely.box(0, 0, 9, 12)
    most = len(lay_rows(ground.buffer(-1.2 + 1e-6), 2.7, 2.7 + PASSAGE_M).trees)
    assert lay(ground, alike(most + 3)) is None
    laid = lay(ground, alike(most))
    assert laid is not None
    assert_sound(ground, alike(most), laid)


def test_a_single_tree_stands_in_the_widest_place_nearest_the_middle() -> None:
    laid = lay(shapely.box(0, 0, 30, 6), alike(1))
    assert laid is not None
    assert laid.trees[0] == pytest.approx((15, 3), abs=0.5)
    assert laid.bearing_deg is None


def test_places_take_trees_by_their_room() -> None:
    assert shared_out([1.0] * 8, [1.0, 1.0, 1.0]) == [3, 2, 3]
    assert shared_out([1.0] * 6, [2.0, 1.0]) == [4, 2]
    assert shared_out([3.0, 1.0, 1.0, 1.0], [1.0, 1.0]) == [1, 3]
    assert shared_out([1.0], [0.0]) == [0]


@pytest.mark.parametrize("bearing", [0.0, 20.0, 45.0, 90.0])
@pytest.mark.parametrize("ground", [shapely.box(0, 0, 9, 12), shapely.box(0, 0, 40, 3.2), L_SHAPE])
def test_no_layout_in_rows_passes_the_bound(ground: BaseGeometry, bearing: float) -> None:
    for spacing in (1.5, 2.6, 3.1):
        region = ground.buffer(-spacing / 2 + 1e-6)
        laid = lay_rows(region, spacing, spacing + PASSAGE_M, bearing)
        assert len(laid.trees) <= most_in_rows(region, spacing, PASSAGE_M)
        assert len(laid.trees) * spacing * (spacing + PASSAGE_M) <= ground_in_rows(region, spacing, PASSAGE_M)


def test_the_bound_counts_what_can_be_walked() -> None:
    region = shapely.box(0, 0, 40, 60).buffer(-1.3)
    rows = len(lay_rows(region, 2.6, 2.6 + PASSAGE_M).trees)
    assert rows <= most_in_rows(region, 2.6, PASSAGE_M) <= 1.15 * rows
