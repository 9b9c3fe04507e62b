"""Hours of sun on the ground of a list: of each place, as drawn things leave it, and where it is too dark to plant.

What the caller tells of the sun holds for the sunniest place of the ground; drawn things take from it as they take from
open ground elsewhere. So no figure of ours contradicts what was told.
"""

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from domain.ground.plot import Plot
from domain.ground.sunlight import FIGURES as SUNLIGHT
from domain.ground.sunlight import Beside, assumed_height_m, sun_hours
from domain.planting_list.laid_trees import FIGURES, Floats

SUN_POINTS = 250


class SunHere:
    """The sun of a plot. told_h: mean daily hours of its sunniest place, where the caller tells them."""

    def __init__(self, plot: Plot, told_h: float | None = None) -> None:
        self._plot, self._told_h = plot, told_h
        self._middles, self._cell_m = _cells(plot)
        self._alone: Floats | None = None
        if plot.latitude is not None and (told_h is not None or self._is_shaded):
            n = len(self._middles)
            self._alone = sun_hours(
                self._middles, np.full(n, FIGURES.judged_height_m), np.zeros(n), plot.obstacles, plot.latitude
            )
        brightest = 0.0 if self._alone is None or not len(self._alone) else float(self._alone.max())
        self._scale = 1.0 if told_h is None or brightest <= 0.0 else told_h / brightest

    @property
    def _is_shaded(self) -> bool:
        heights = [assumed_height_m(o.kind) if o.height_m is None else o.height_m for o in self._plot.obstacles]
        return any(height > 0.0 for height in heights)

    @property
    def least_h(self) -> float:
        """Hours under which no wall is planted; where the sunniest place is told to be dim, as large a share of its."""
        if self._told_h is None:
            return SUNLIGHT.least_hours
        return min(SUNLIGHT.least_hours, self._told_h * SUNLIGHT.least_hours / SUNLIGHT.good_hours)

    def hours(self, places: Floats, heights_m: Floats, widths_m: Floats) -> Floats | None:
        """Hours (n,) of trees at (n, 2), each other's shade included; None where neither place nor hours are known."""
        if self._plot.latitude is None:
            return None if self._told_h is None else np.full(len(places), self._told_h)
        hours: Floats = self._scale * sun_hours(places, heights_m, widths_m, self._plot.obstacles, self._plot.latitude)
        return hours

    def drawn_hours(self, places: Floats, heights_m: Floats, beside: Beside) -> Floats | None:
        """What is drawn, and crowns beside each tree, leave of open ground, whatever is told; None without latitude."""
        if self._plot.latitude is None:
            return None
        none = np.zeros(len(places))
        return sun_hours(places, heights_m, none, self._plot.obstacles, self._plot.latitude, beside=beside)

    def dark(self) -> BaseGeometry:
        """Where a tree alone would get less sun than it needs: the cells of a grid whose middles do.

        Where all is so dark, all but the brightest of it.
        """
        if self._alone is None or not self._is_shaded or not len(self._alone):
            return shapely.Polygon()
        hours = self._scale * self._alone
        least = SUNLIGHT.least_hours + FIGURES.for_neighbours_h
        dark = self._middles[hours < min(least, FIGURES.brightest_share * float(hours.max()))]
        half = self._cell_m / 2 + 1e-6
        boxes = shapely.box(dark[:, 0] - half, dark[:, 1] - half, dark[:, 0] + half, dark[:, 1] + half)
        found: BaseGeometry = shapely.union_all(boxes)
        return found


def _cells(plot: Plot) -> tuple[NDArray[np.float64], float]:
    """Middles (n, 2) of the cells of a grid over a plot, and the side of a cell (m)."""
    x0, y0, x1, y1 = plot.ground.bounds
    cell = max(math.sqrt(plot.ground.area / SUN_POINTS), 0.5, math.hypot(x1 - x0, y1 - y0) / SUN_POINTS)
    x, y = np.meshgrid(np.arange(x0 + cell / 2, x1, cell), np.arange(y0 + cell / 2, y1, cell))
    middles = np.column_stack([x.ravel(), y.ravel()])
    return middles[shapely.intersects_xy(plot.ground, middles)], cell
