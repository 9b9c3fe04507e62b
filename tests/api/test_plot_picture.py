"""Pictures of plots: where the rows of trees run."""

import math
import random

import pytest

from api.plot_picture import row_bearings


def to_the_nearest(places: list[tuple[float, float]], rows: list[int | None], n: int) -> float:
    """The bearing to the nearest tree of the row, by looking at every one."""
    x, y = places[n]
    others = [place for m, place in enumerate(places) if m != n and rows[m] == rows[n]]
    east, north = min(others, key=lambda place: math.dist((x, y), place), default=(x + 1.0, y))
    return math.degrees(math.atan2(east - x, north - y)) % 180.0


def test_rows_run_to_the_nearest_tree_of_the_row() -> None:
    rng = random.Random(5)
    places = [(rng.uniform(0, 50), rng.uniform(0, 80)) for _ in range(200)]
    rows: list[int | None] = [None if n % 9 == 0 else n % 7 for n in range(200)]
    rows[3] = 99
    expected = [to_the_nearest(places, rows, n) for n in range(200)]
    assert row_bearings(places, rows) == pytest.approx(expected, abs=1e-9)
    assert expected[3] == 90.0


def test_a_regular_row_has_one_bearing() -> None:
    places = [(3.0 * n, 3.0 * n) for n in range(6)]
    assert row_bearings(places, [0] * 6) == pytest.approx([45.0] * 6)
    assert row_bearings([], []) == []
    assert row_bearings([(1.0, 1.0), (1.0, 1.0)], [0, 0]) == [90.0, 90.0]
