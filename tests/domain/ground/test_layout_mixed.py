"""Trees of several sizes in rows: crowns inside, apart, and the widest not forgotten."""

import numpy as np
import pytest
import shapely

from domain.ground.layout_mixed import MixedRows, lay_mixed
from domain.ground.layout_rows import lay_rows

PASSAGE_M = 1.2
L_SHAPE = shapely.Polygon([(0, 0), (14, 0), (14, 10), (8, 10), (8, 5), (0, 5)])


def lay(ground: shapely.Polygon, spacings: list[float], south: bool = False) -> MixedRows:
    regions = {spacing: ground.buffer(-spacing / 2) for spacing in set(spacings)}
    return lay_mixed(spacings, lambda tree: regions[spacings[tree]], PASSAGE_M, south)


def assert_sound(ground: shapely.Polygon, spacings: list[float], laid: MixedRows) -> None:
    stands = [tree for tree, row in enumerate(laid.row) if row >= 0]
    assert np.isfinite(laid.trees[stands]).all()
    assert np.isnan(laid.trees[[tree for tree in range(len(spacings)) if tree not in stands]]).all()
    crowns = [shapely.Point(laid.trees[tree]).buffer(spacings[tree] / 2 - 1e-3) for tree in stands]
    assert all(ground.contains(crown) for crown in crowns)
    for one, a in enumerate(stands):
        for other, b in enumerate(stands[:one]):
            assert not crowns[one].intersects(crowns[other])
            if laid.row[a] != laid.row[b]:
                apart = np.hypot(*(laid.trees[a] - laid.trees[b]))
                assert apart >= (spacings[a] + spacings[b]) / 2 + PASSAGE_M - 1e-6


@pytest.mark.parametrize("seed", range(8))
def test_crowns_stand_inside_and_apart(seed: int) -> None:
    rng = np.random.default_rng(seed)
    spacings = rng.choice([1.2, 1.7, 2.4, 3.1], int(rng.integers(2, 14))).tolist()
    laid = lay(L_SHAPE, spacings, south=seed % 2 == 0)
    assert_sound(L_SHAPE, spacings, laid)
    assert laid.count >= min(len(spacings), 4)


@pytest.mark.parametrize("spacing", [1.5, 2.0, 2.6])
def test_trees_of_one_size_are_laid_nearly_as_well_as_by_rows_of_one_size(spacing: float) -> None:
    ground = shapely.box(0, 0, 9, 13)
    alike = len(lay_rows(ground.buffer(-spacing / 2), spacing, spacing + PASSAGE_M).trees)
    mixed = lay(ground, [spacing] * (alike + 3))
    assert_sound(ground, [spacing] * (alike + 3), mixed)
    assert mixed.count >= 0.85 * alike


def test_wide_rows_come_first_from_the_side_away_from_the_sun() -> None:
    """Where rows run east to west, the wide row stands north, and south of the equator south."""
    ground, spacings = shapely.box(0, 0, 12, 6.2), [1.6] * 6 + [2.8] * 4
    for south in (False, True):
        laid = lay(ground, spacings, south)
        assert laid.count == len(spacings)
        assert laid.bearing_deg == pytest.approx(90.0)
        assert (laid.trees[6:, 1].mean() < laid.trees[:6, 1].mean()) == south


def test_nothing_where_there_is_no_room() -> None:
    assert lay(shapely.box(0, 0, 1, 1), [2.0, 3.0]).count == 0
    assert lay(shapely.box(0, 0, 2.5, 2.5), [2.0, 3.0]).row == [0, -1]
