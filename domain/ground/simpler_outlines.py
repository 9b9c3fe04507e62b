"""Outlines with fewer corners, on the safe side: ground only becomes smaller by it, things to keep clear of larger.

Set-backs are drawn anew for each size of tree, and their cost grows with the square of an outline's corners. A traced
hedge of a thousand corners says no more about where a tree may stand than one of a hundred.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from domain.ground.plot import Plot
from domain.tables.words import Sentence, say

MOST_WORK = 160_000
"""Sum of the squares of the corners of all outlines of a plot: a hundred of 40."""
MOST_CORNERS = 220
"""Of one outline."""
FEW_CORNERS = 20
"""An outline of no more stays as it is drawn."""
FIRST_STEP_M = 0.02
"""Corners within this are left out first; each further step leaves out those within twice as much."""
LARGEST_STEP_M = 0.35
"""What is not simple then stays as it is: ground is not given away for less work."""
BOUND_STEP_M = 0.1
"""Corners of a fine outline within this are left out where it is moved out for a bound."""
FIRST_STAGE_M, FAR_SHARE = 1.0, 0.01
"""An outline of many corners is moved farther than this in stages, each by so much more."""
MOST_LENGTHS, CORNERS_A_METRE = 50, 100
"""An outline so many times as long as its hull, or of so many corners on a metre of that, is frayed: of ground that is
drawn so the widest circle counts, of things their hull."""
LEAST_M2 = 1e-4
_MARGIN = 1 / math.cos(math.pi / 4)
"""An arc of one segment for each quarter encloses the true arc when drawn this much farther out."""


@dataclass(frozen=True)
class SimplerPlot:
    """A plot as its outlines were simplified, and what encloses the ground as it was drawn, for proven bounds.

    within_m: no edge was moved farther; 0 where all outlines are as drawn.
    """

    plot: Plot
    enclosing: BaseGeometry
    within_m: float = 0.0

    @property
    def warnings(self) -> tuple[Sentence, ...]:
        """That outlines were simplified, and how far."""
        return (say("outlines_simplified", within_m=round(self.within_m, 2)),) if self.within_m else ()


def simpler(plot: Plot) -> SimplerPlot:
    """The plot with outlines simple enough to work with; as drawn where they are so already."""
    ground, enclosing = plot.ground, plot.ground
    things = [obstacle.shape for obstacle in plot.obstacles]
    step, within = FIRST_STEP_M, 0.0
    if _too_fine([ground, *things]):
        within = max(_depth(shape) for shape in (ground, *things))
        ground, enclosing = _widest(ground), _hull(ground)
        things = [_hull(shape) for shape in things]
    while _too_fine([ground, *things]) and step < LARGEST_STEP_M:
        ground, enclosing = _moved(ground, step, -step), _moved(enclosing, step, step)
        things = [_moved(shape, step, step) for shape in things]
        within += step * (1 + _MARGIN)
        step *= 2
    if not within:
        return SimplerPlot(plot, enclosing)
    while shapely.get_num_coordinates(enclosing) > MOST_CORNERS and step < LARGEST_STEP_M:
        enclosing = _moved(enclosing, step, step)  # what encloses a spiked ground may have kept corners that it lost
        step *= 2
    if ground.area < LEAST_M2:  # a ground that is lost within so little holds no crown: a speck stands for it
        ground = plot.ground.representative_point().buffer(math.sqrt(LEAST_M2))
    obstacles = tuple(replace(one, shape=shape) for one, shape in zip(plot.obstacles, things, strict=True))
    return SimplerPlot(replace(plot, ground=ground, obstacles=obstacles), enclosing, within)


def moved_out(shape: BaseGeometry, out_m: float, quad_segs: int) -> BaseGeometry:
    """A shape moved out, for bounds: where it has many corners it is simplified first, and moved out as far more."""
    if shapely.get_num_coordinates(shape) <= MOST_CORNERS:
        return shape.buffer(out_m, quad_segs=quad_segs)
    return shapely.simplify(shape, BOUND_STEP_M).buffer(out_m + BOUND_STEP_M, quad_segs=quad_segs)


def moved_far(shape: BaseGeometry, out_m: float, quad_segs: int) -> BaseGeometry:
    """A shape moved out, or in (out_m < 0); of many corners in stages, and then by up to FAR_SHARE more.

    Each stage is twice the one before and starts from few corners: moved far at once, every corner meets many others.
    """
    sign, left, stage = math.copysign(1.0, out_m), abs(out_m), FIRST_STAGE_M
    while left > stage and shapely.get_num_coordinates(shape) > MOST_CORNERS:
        within = FAR_SHARE * stage
        shape = shapely.simplify(shape.buffer(sign * (stage + within), quad_segs=quad_segs), within)
        left, stage = left - stage, 2 * stage
    return shape.buffer(sign * left, quad_segs=quad_segs)


def _too_fine(shapes: list[BaseGeometry]) -> bool:
    corners = [int(shapely.get_num_coordinates(shape)) for shape in shapes]
    return max(corners) > MOST_CORNERS or sum(count**2 for count in corners) > MOST_WORK


def _frayed(shape: BaseGeometry) -> bool:
    """Whether an outline is far longer than the line about it, or has its corners all too close: no work with it ends.

    What has corners beside a nearly straight line alone has not.
    """
    if shapely.get_num_coordinates(shape) <= MOST_CORNERS:
        return False
    about = max(float(shape.convex_hull.length), FIRST_STEP_M)
    if shape.length > MOST_LENGTHS * about:
        return True
    return bool(
        shapely.get_num_coordinates(shape) > CORNERS_A_METRE * about
        and shapely.get_num_coordinates(shapely.simplify(shape, FIRST_STEP_M)) > CORNERS_A_METRE * about
    )


def _widest(ground: BaseGeometry) -> BaseGeometry:
    """Ground with the widest circle in each part that is frayed in its place."""
    parts = shapely.get_parts(ground)
    if not any(_frayed(part) for part in parts):
        return ground
    near_enough = np.maximum(shapely.minimum_bounding_radius(parts) / 200, FIRST_STEP_M)
    circles = [
        shapely.Point(line.coords[0]).buffer(line.length, quad_segs=8) if _frayed(part) else part
        for part, line in zip(parts, shapely.maximum_inscribed_circle(parts, tolerance=near_enough), strict=True)
    ]
    return circles[0] if len(circles) == 1 else shapely.union_all(circles)


def _hull(shape: BaseGeometry) -> BaseGeometry:
    """A shape with the hull of each part that is frayed in its place."""
    parts = [part.convex_hull if _frayed(part) else part for part in shapely.get_parts(shape)]
    return parts[0] if len(parts) == 1 else shapely.union_all(parts) if any(map(_frayed, shape.geoms)) else shape


def _depth(shape: BaseGeometry) -> float:
    """How far edges of the frayed parts of a shape move at most: no farther than half of what is across."""
    return max(
        (float(shapely.minimum_bounding_radius(part)) for part in shapely.get_parts(shape) if _frayed(part)),
        default=0.0,
    )


def _moved(shape: BaseGeometry, corners_within_m: float, out_m: float) -> BaseGeometry:
    """A shape without the corners within a distance, moved in (out_m < 0) or out as far and so inside or about it."""
    if shapely.get_num_coordinates(shape) <= FEW_CORNERS:
        return shape
    return shapely.simplify(shape, corners_within_m).buffer(out_m * _MARGIN, quad_segs=1)
