"""Costs of layouts as ratios to shapely's own buffer and difference of the same plot, in the same run (CPU time)."""

from collections.abc import Callable

import pytest
import shapely

from domain.ground.layout_free import lay_free
from domain.ground.layout_rows import lay_rows
from domain.ground.plot import Obstacle, Plot, RectangleFrame
from domain.ground.room import room_for
from tests.benchmarks.cost import cpu_seconds
from tests.domain.ground.drawing import star

HOUSE = shapely.box(-3, -3, 5, 4)
FRAME = RectangleFrame(0.0, 50.0)


pytestmark = pytest.mark.benchmark


def least_seconds(call: Callable[[], object], rounds: int, times: int = 1) -> float:
    """Least processor time of one call over some rounds."""

    def several() -> None:
        for _ in range(times):
            call()

    return min(cpu_seconds(several, rounds=1)[0] for _ in range(rounds)) / times


def plot_of(size: float) -> Plot:
    return Plot(shapely.Polygon(star(size)), FRAME, (Obstacle(HOUSE, "house", 6.0),))


def test_100_trees_in_a_plot_of_60_corners() -> None:
    plot = plot_of(25)
    base = least_seconds(lambda: plot.ground.buffer(-2).difference(HOUSE.buffer(3)), rounds=5, times=40)
    rows = least_seconds(lambda: lay_rows(room_for(plot, 3.9, 3.0).region, 3.9, 4.0), rounds=3, times=3)
    free = least_seconds(lambda: lay_free(room_for(plot, 4.2, 3.0).region, 4.2), rounds=2)
    assert 90 <= len(lay_rows(room_for(plot, 3.9, 3.0).region, 3.9, 4.0).trees) <= 130
    assert 90 <= len(lay_free(room_for(plot, 4.2, 3.0).region, 4.2)) <= 130
    print(f"rows {rows / base:.0f}, free {free / base:.0f} times shapely's buffer and difference")
    assert rows / base < 200
    assert free / base < 2000


def test_cost_is_near_linear_in_the_number_of_trees() -> None:
    small, large = room_for(plot_of(25), 4.0, 3.0).region, room_for(plot_of(76), 4.0, 3.0).region
    trees = len(lay_free(small, 4.0)), len(lay_free(large, 4.0))
    assert trees[1] > 900
    more = trees[1] / trees[0]
    rows = [least_seconds(lambda: lay_rows(region, 4.0, 4.0), rounds=3) for region in (small, large)]  # noqa: B023 - called at once
    free = [least_seconds(lambda: lay_free(region, 4.0), rounds=1) for region in (small, large)]  # noqa: B023 - called at once
    print(f"{more:.1f} times the trees: rows {rows[1] / rows[0]:.1f}, free {free[1] / free[0]:.1f} times the cost")
    assert rows[1] / rows[0] < 1.5 * more
    assert free[1] / free[0] < 1.5 * more
