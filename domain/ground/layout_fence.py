"""Trained trees along a fence or wall: evenly along each straight piece, on the side that has more room.

Crowns are flat: `spread` along the fence, `depth` across it. Wires stand 10 cm off a wall (Royal Horticultural Society,
"Cordons: support system, planting and initial pruning"), so the middle of a trunk stands that and half a depth off.
"""

import itertools
import math
from dataclasses import dataclass

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from domain.tables.parameters import figures

Floats = NDArray[np.float64]


class FenceFigures(msgspec.Struct, frozen=True):
    """How trees stand along a fence."""

    wires_off_m: float
    straight_deg: float


FIGURES = figures("ground", "layout_fence", FenceFigures)


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


def lay_fence(region: BaseGeometry, fence: Floats, trees: FenceTrees) -> Floats:
    """Trunks (n, 2) along a fence (corners (k, 2), m), on its better side; the region is for trunks of flat crowns.

    Straight pieces end half a spread before the end of the fence, and short of the crowns of the next leg at a corner.
    """
    pieces = _straight(fence)
    sides = []
    for off in (off_fence_m(trees.depth_m), -off_fence_m(trees.depth_m)):
        laid = [np.empty((0, 2))]
        for n, (start, end) in enumerate(pieces):
            before = trees.spread_m / 2 + (trees.corner_m if n > 0 else 0.0)
            after = trees.spread_m / 2 + (trees.corner_m if n < len(pieces) - 1 else 0.0)
            laid.append(_along(region, (start, end), (before, after), off, trees.spacing_m))
        sides.append(np.vstack(laid))
    return max(sides, key=len)


def _straight(fence: Floats) -> list[tuple[Floats, Floats]]:
    """Straight pieces of a fence, slight bends taken as one piece."""
    corners = [fence[0]]
    for before, corner, after in zip(fence[:-2], fence[1:-1], fence[2:], strict=True):
        turn = math.atan2(*(after - corner)) - math.atan2(*(corner - before))
        if abs((turn + math.pi) % (2 * math.pi) - math.pi) > math.radians(FIGURES.straight_deg):
            corners.append(corner)
    corners.append(fence[-1])
    return [(a, b) for a, b in itertools.pairwise(corners) if np.hypot(*(b - a)) > 0]


def _along(
    region: BaseGeometry, piece: tuple[Floats, Floats], ends: tuple[float, float], off: float, spacing: float
) -> Floats:
    start, end = piece
    length = float(np.hypot(*(end - start)))
    if length < sum(ends) - 1e-9:
        return np.empty((0, 2))
    along = (end - start) / length
    start = start + off * np.array([-along[1], along[0]])
    line = shapely.LineString([start + along * ends[0], start + along * max(length - ends[1], ends[0] + 1e-9)])
    trees: list[Floats] = []
    last = -math.inf
    inside = [part for part in shapely.get_parts(line.intersection(region)) if not part.is_empty]
    reaches = sorted(_reach(part, start, along) for part in inside)
    for low, high in reaches:
        first = max(low, last + spacing)
        if first > high + 1e-9:
            continue
        count = math.floor((high - first) / spacing + 1e-7) + 1
        first += max(high - first - (count - 1) * spacing, 0.0) / 2
        trees += [start + along * (first + k * spacing) for k in range(count)]
        last = first + (count - 1) * spacing
    return np.array(trees).reshape(-1, 2)


def _reach(part: BaseGeometry, start: Floats, along: Floats) -> tuple[float, float]:
    places = (shapely.get_coordinates(part) - start) @ along
    return float(places.min()), float(places.max())
