"""Where trunks may stand on a plot, how many trees could stand there at most, and what takes the room."""

import math
from dataclasses import dataclass

import msgspec
import shapely
from shapely.geometry.base import BaseGeometry

from domain.ground.layout_words import LayoutLimit, RoomTaker, layout_limit
from domain.ground.plot import Plot
from domain.ground.set_backs import SetBack, set_back
from domain.tables.parameters import figures


class RoomFigures(msgspec.Struct, frozen=True):
    """What is said of a plot that has little room."""

    told_share: float


FIGURES = figures("ground", "room", RoomFigures)


ARC_SEGMENTS = 8
"""Segments of a quarter circle; outlines are moved out (by half a percent) so that they enclose the true arc."""
_ARC = 1 / math.cos(math.pi / (4 * ARC_SEGMENTS))

TOLERANCE_M = 1e-6
"""A crown may stand this far over a limit, so that trees that just fit do fit."""


@dataclass(frozen=True)
class Room:
    """The region for trunks (Polygon, MultiPolygon or empty) and the set-backs that cut it."""

    region: BaseGeometry
    set_backs: tuple[SetBack, ...]
    taken: tuple[tuple[RoomTaker, float], ...]
    """(what, share of the ground where no trunk may stand because of it alone), the edge first."""


def room_for(plot: Plot, spread_m: float, height_m: float, edge_set_back_m: float = 0.0) -> Room:
    """The region where a tree of this spread and height may stand: its crown inside the plot, its trunk set back."""
    edge = max(spread_m / 2, edge_set_back_m) - TOLERANCE_M
    inner = plot.ground.buffer(-edge * _ARC if _has_reflex(plot.ground) else -edge, quad_segs=ARC_SEGMENTS)
    taken: list[tuple[RoomTaker, float]] = [("edge", 1 - inner.area / plot.ground.area)]
    set_backs, cuts = [], []
    for obstacle in plot.obstacles:
        back = set_back(obstacle.kind, spread_m, height_m, obstacle.set_back_m, obstacle.spread_m)
        cut = obstacle.shape.buffer(max(back.trunk_distance_m - TOLERANCE_M, 0.0) * _ARC, quad_segs=ARC_SEGMENTS)
        set_backs.append(back)
        cuts.append(cut)
        taken.append((obstacle.kind, plot.ground.intersection(cut).area / plot.ground.area))
    region = inner.difference(shapely.union_all(cuts)) if cuts else inner
    return Room(region, tuple(set_backs), tuple(taken))


def most_that_fit(region: BaseGeometry, spacing_m: float) -> int:
    """An upper bound on the points of a region that keep a distance of each other.

    For a convex region at most 2/sqrt(3) area + perimeter/2 + 1, in units of the distance (N. Oler, An inequality in
    the geometry of numbers, Acta Mathematica 105, 1961); for others the Euler characteristic takes the place of 1 (J.
    H. Folkman and R. L. Graham, A packing inequality for compact convex subsets of the plane, 1969). Both from memory;
    the tests hold them against published packings. The convex hull of the whole and of each part also bound it.
    """
    if region.is_empty:
        return 0
    parts = [part for part in shapely.get_parts(region) if part.area > 0]
    whole = _oler(region.convex_hull, spacing_m, 1)
    by_part = sum(
        min(_oler(part.convex_hull, spacing_m, 1), _oler(part, spacing_m, 1 - len(part.interiors))) for part in parts
    )
    return max(min(whole, by_part), 1)


def _oler(region: BaseGeometry, spacing_m: float, euler: int) -> int:
    d = spacing_m - 2 * TOLERANCE_M
    return int(2 / math.sqrt(3) * region.area / d**2 + region.length / (2 * d) + euler + 1e-9)


def _has_reflex(ground: BaseGeometry) -> bool:
    """Whether the edge turns outward anywhere, so that its inner offset has arcs."""
    return bool(ground.area < ground.convex_hull.area - 1e-9)


def what_binds(room: Room) -> tuple[LayoutLimit, ...]:
    """What takes the room, the largest share first and each kind once; shares under a tenth are left out."""
    order = sorted(room.taken, key=lambda item: -item[1])
    return tuple(
        layout_limit("room_taken", what=what, share=share) for what, share in order if share >= FIGURES.told_share
    )
