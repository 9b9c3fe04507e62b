"""Trained trees along a fence or wall: evenly along each straight piece, on the side that has more sun.

Crowns are flat: `spread` along the fence, `depth` across it. Wires stand 10 cm off a wall (Royal Horticultural Society,
"Cordons: support system, planting and initial pruning"), so the middle of a trunk stands that and half a depth off.
"""

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from domain.ground.set_backs import Kind
from domain.ground.sunlight import FIGURES as SUNLIGHT
from domain.tables.parameters import figures

Floats = NDArray[np.float64]


class FenceFigures(msgspec.Struct, frozen=True):
    """How trees stand along a fence."""

    wires_off_m: float
    straight_deg: float


FIGURES = figures("ground", "layout_fence", FenceFigures)


CARRIERS: tuple[Kind, ...] = ("fence", "house")
"""What trees are trained along; a house on shrinkable clay is not."""
CLOSE_M = 0.02
"""By so much less than their distance from a wall trunks are kept from all of them, so that they stand at their own."""


def beside_walls(region: BaseGeometry, walls: Sequence[BaseGeometry], depth_m: float) -> BaseGeometry:
    """A region for trunks of flat crowns without what lies nearer to a wall, or within it, than they stand."""
    off = off_fence_m(depth_m) - CLOSE_M
    for wall in walls:
        region = region.difference(wall.buffer(off, cap_style="flat", join_style="mitre"))
    return region


def off_fence_m(depth_m: float) -> float:
    """Distance of trunks from the fence."""
    return FIGURES.wires_off_m + depth_m / 2


@dataclass(frozen=True)
class FenceTrees:
    """Trained trees: trunk to trunk, crown along the fence, crown across it (m)."""

    spacing_m: float
    spread_m: float
    depth_m: float

    @property
    def corner_m(self) -> float:
        """What the crowns of one leg of a corner take from the length of the other."""
        return off_fence_m(self.depth_m) + self.depth_m / 2


@dataclass(frozen=True)
class FenceRun:
    """A straight stretch beside a fence or wall where flat crowns find room.

    start: where it begins, on the line of the trunks (m east and north); along: its direction; length_m of crowns.
    """

    start: Floats
    along: Floats
    length_m: float

    @property
    def middle(self) -> Floats:
        """The middle of its trunks' line (2,)."""
        at: Floats = self.start + self.along * self.length_m / 2
        return at

    def holds(self, spread_m: float, spacing_m: float) -> int:
        """How many such crowns stand along it."""
        if self.length_m < spread_m - 1e-7:
            return 0
        return math.floor((self.length_m - spread_m) / spacing_m + 1e-7) + 1

    def at(self, places_m: Sequence[float]) -> Floats:
        """Trunks (n, 2) at distances along it."""
        return self.start + np.asarray(places_m, dtype=np.float64)[:, None] * self.along


Sun = Callable[[Floats], Floats]
"""Hours of direct sun (n,) of flat crowns at (n, 2)."""


def fence_runs(region: BaseGeometry, fence: Floats, trees: FenceTrees, sun: Sun | None) -> list[FenceRun]:
    """Where crowns stand along a fence (corners (k, 2), m), each straight piece of it on its better side.

    region: for trunks of crowns as thick as these. The sunnier side is better, up to hours that are good; of sides
    alike that which holds more. Without the sun that which holds more. Runs end short of the crowns of the next leg at
    a corner.
    """
    pieces = straight_pieces(fence)
    sides: list[list[FenceRun]] = []
    for n, piece in enumerate(pieces):
        ends = trees.corner_m if n > 0 else 0.0, trees.corner_m if n < len(pieces) - 1 else 0.0
        for off in (off_fence_m(trees.depth_m), -off_fence_m(trees.depth_m)):
            runs = _runs(region, piece, ends, off, trees.depth_m)
            sides.append([one for one in runs if one.length_m >= trees.spread_m - 1e-7])
    hours = _hours_of(sides, sun)
    found = []
    for first in range(0, len(sides), 2):
        best: list[FenceRun] = []
        best_worth = (0.0, 0, 0.0)
        for side, lit in zip(sides[first : first + 2], hours[first : first + 2], strict=True):
            count = sum(one.holds(trees.spread_m, trees.spacing_m) for one in side)
            worth = (min(round(lit, 1), SUNLIGHT.good_hours), count, lit)
            if side and (not best or worth > best_worth):
                best, best_worth = side, worth
        found += best
    return found


def _hours_of(sides: Sequence[Sequence[FenceRun]], sun: Sun | None) -> list[float]:
    """Mean hours of the runs of each side; all are asked at once, since what throws shade is then looked up once."""
    middles = [one.middle for side in sides for one in side]
    if sun is None or not middles:
        return [0.0] * len(sides)
    each, hours, first = sun(np.array(middles)), [], 0
    for side in sides:
        hours.append(float(each[first : first + len(side)].mean()) if side else 0.0)
        first += len(side)
    return hours


def lay_fence(runs: Sequence[FenceRun], trees: FenceTrees) -> Floats:
    """Trunks (n, 2) of as many trees as stand along the runs, each run's at its middle."""
    laid = [np.empty((0, 2))]
    for run in runs:
        count = run.holds(trees.spread_m, trees.spacing_m)
        first = (run.length_m - (count - 1) * trees.spacing_m) / 2
        if count:
            laid.append(run.at([first + k * trees.spacing_m for k in range(count)]))
    return np.vstack(laid)


def most_along(fence: Floats, trees: FenceTrees) -> int:
    """How many crowns stand along a fence at the most, were nothing in the way and both its corners free."""
    lengths = [float(np.hypot(*(end - start))) for start, end in straight_pieces(fence)]
    return sum(FenceRun(fence[0], fence[0], length).holds(trees.spread_m, trees.spacing_m) for length in lengths)


def straight_pieces(fence: Floats) -> list[tuple[Floats, Floats]]:
    """Straight pieces of a fence, slight bends taken as one piece."""
    corners = [fence[0]]
    for before, corner, after in zip(fence[:-2], fence[1:-1], fence[2:], strict=True):
        turn = math.atan2(*(after - corner)) - math.atan2(*(corner - before))
        if abs((turn + math.pi) % (2 * math.pi) - math.pi) > math.radians(FIGURES.straight_deg):
            corners.append(corner)
    corners.append(fence[-1])
    return [(a, b) for a, b in itertools.pairwise(corners) if np.hypot(*(b - a)) > 0]


def _runs(
    region: BaseGeometry, piece: tuple[Floats, Floats], ends: tuple[float, float], off: float, depth_m: float
) -> list[FenceRun]:
    """The runs beside a straight piece: where trunks may stand, and the crowns half a depth beyond them."""
    start, end = piece
    length = float(np.hypot(*(end - start)))
    low_end, high_end = ends[0], length - ends[1]
    if high_end <= low_end:
        return []
    along = (end - start) / length
    start = start + off * np.array([-along[1], along[0]])
    line = shapely.LineString([start + along * low_end, start + along * high_end])
    found = []
    inside = [part for part in shapely.get_parts(line.intersection(region)) if part.length > 0]
    for low, high in sorted(_reach(part, start, along) for part in inside):
        begins, stops = max(low - depth_m / 2, low_end), min(high + depth_m / 2, high_end)
        found.append(FenceRun(start + along * begins, along, stops - begins))
    return found


def _reach(part: BaseGeometry, start: Floats, along: Floats) -> tuple[float, float]:
    places = (shapely.get_coordinates(part) - start) @ along
    return float(places.min()), float(places.max())
