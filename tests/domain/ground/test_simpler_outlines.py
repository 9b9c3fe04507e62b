"""Jagged outlines are simplified on the safe side and so far that their cost has an end; others stay as drawn."""

import math

import pytest
import shapely

from domain.ground.plot import Obstacle, Plot, RectangleFrame
from domain.ground.simpler_outlines import MOST_WORK, simpler
from domain.planting_list.ground import Ground

FRAME = RectangleFrame(0.0, 50.0)


def star(corners: int, radius_m: float, teeth: float = 0.1, at: tuple[float, float] = (0.0, 0.0)) -> shapely.Polygon:
    """A circle of so many corners, every other one nearer its middle by a share."""
    turns = [2 * math.pi * n / corners for n in range(corners)]
    reach = [radius_m * (1 - teeth * (n % 2)) for n in range(corners)]
    return shapely.Polygon(
        [(at[0] + r * math.cos(turn), at[1] + r * math.sin(turn)) for turn, r in zip(turns, reach, strict=True)]
    )


def work(plot: Plot) -> int:
    shapes = [plot.ground, *(one.shape for one in plot.obstacles)]
    return sum(int(shapely.get_num_coordinates(shape)) ** 2 for shape in shapes)


@pytest.mark.parametrize("radius_m", [3.0, 12.0, 60.0])
@pytest.mark.parametrize("teeth", [0.002, 0.1])
def test_simpler_ground_lies_inside_and_simpler_things_about_what_was_drawn(radius_m: float, teeth: float) -> None:
    thing = star(900, radius_m / 5, teeth, (radius_m / 3, 0.0))
    plot = Plot(star(1900, radius_m, teeth), FRAME, (Obstacle(thing, "house"),))
    made = simpler(plot)
    assert work(plot) > MOST_WORK >= work(made.plot)
    assert plot.ground.covers(made.plot.ground)
    assert made.enclosing.covers(plot.ground)
    assert made.plot.obstacles[0].shape.covers(thing)
    inside = plot.ground.buffer(-made.within_m)
    assert made.plot.ground.covers(inside.buffer(-1e-6)), "no edge is moved farther than is told"


def test_outlines_of_usual_fineness_stay_as_drawn() -> None:
    things = tuple(Obstacle(star(36, 0.8, at=(3.0 * (n % 10), 3.0 * (n // 10)))) for n in range(100))
    plot = Plot(star(140, 40), FRAME, things)
    made = simpler(plot)
    assert made.plot is plot
    assert made.within_m == 0.0
    assert Ground(plot).warnings == ()


def test_a_ground_of_slivers_leaves_a_speck() -> None:
    comb = shapely.Polygon(
        [(0, 0)] + [(0.01 * n + 0.005 * top, 5 * top + 0.01) for n in range(900) for top in (0, 1)] + [(9, 0)]
    )
    ground = Ground(Plot(comb, FRAME))
    assert 0 < ground.whole.area_m2 < 0.1
    assert ground.drawn_m2 == pytest.approx(comb.area)
    assert "edges were moved by up to" in ground.warnings[0].words


@pytest.mark.parametrize(("corners", "radius_m", "teeth"), [(1990, 3.0, 0.99), (1990, 0.5, 0.2), (1900, 12.0, 0.65)])
def test_of_a_frayed_ground_the_widest_circle_counts_and_of_a_frayed_thing_its_hull(
    corners: int, radius_m: float, teeth: float
) -> None:
    frayed = star(corners, radius_m, teeth)
    field = shapely.box(2 * radius_m, 0, 2 * radius_m + 20, 20)
    plot = Plot(shapely.union_all([frayed, field]), FRAME, (Obstacle(star(900, radius_m, teeth)), Obstacle(field)))
    made = simpler(plot)
    assert plot.ground.buffer(1e-9).covers(made.plot.ground)
    assert made.enclosing.buffer(1e-9).covers(plot.ground)
    assert made.plot.ground.area > 0.9 * (math.pi * (radius_m * (1 - teeth)) ** 2 + 0.98 * field.area)
    assert made.plot.obstacles[0].shape.covers(plot.obstacles[0].shape)
    assert made.plot.obstacles[1].shape.equals(field)
    inside = plot.ground.buffer(-made.within_m - 1e-6)
    assert inside.is_empty or made.plot.ground.buffer(1e-6).covers(inside)
    assert made.warnings
