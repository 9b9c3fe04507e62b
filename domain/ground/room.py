"""Where trunks may stand on a plot, how many trees could stand there at most, and what takes the room."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from domain.ground.layout_words import LayoutLimit, RoomTaker, layout_limit
from domain.ground.plot import Plot
from domain.ground.set_backs import SetBack, set_back
from domain.ground.simpler_outlines import moved_far, moved_out
from domain.tables.parameters import figures


class RoomFigures(msgspec.Struct, frozen=True):
    """What is said of a plot that has little room."""

    told_share: float


FIGURES = figures("ground", "room", RoomFigures)


ARC_SEGMENTS = 8
"""Segments of a quarter circle; outlines are moved out (by half a percent) so that they enclose the true arc."""
ARC = 1 / math.cos(math.pi / (4 * ARC_SEGMENTS))

DIRECTION_STEP_DEG = 1.0
"""Directions of rows that are looked at for the bound; between them a width changes by less than what is added."""

DENTS_M = 0.03
"""Dents of a thing that its set-back fills up to this are left out: many corners then cost a hundredth."""
FEW_CORNERS = 12
"""An outline of no more is taken as it is drawn."""

TOLERANCE_M = 1e-6
"""A crown may stand this far over a limit, so that trees that just fit do fit."""


@dataclass(frozen=True)
class Room:
    """The region for trunks (Polygon, MultiPolygon or empty) and the set-backs that cut it."""

    region: BaseGeometry
    set_backs: tuple[SetBack, ...]
    taken: tuple[tuple[RoomTaker, float], ...] = ()
    """(what, share of the ground where no trunk may stand because of it alone), the edge first; where asked for."""


def room_for(
    plot: Plot, spread_m: float, height_m: float, edge_set_back_m: float = 0.0, *, in_pots: bool = False
) -> Room:
    """The region where a tree of this spread and height may stand: its crown inside the plot, its trunk set back."""
    backs = set_backs_of(plot, spread_m, height_m, in_pots=in_pots)
    inner = _inside(plot, spread_m, edge_set_back_m)
    return Room(_without(inner, _cuts(plot, backs, inner)), backs)


def room_with_shares(
    plot: Plot, spread_m: float, height_m: float, edge_set_back_m: float = 0.0, *, in_pots: bool = False
) -> Room:
    """As `room_for`, with the share of the ground that the edge and each thing take."""
    backs = set_backs_of(plot, spread_m, height_m, in_pots=in_pots)
    inner, whole = _inside(plot, spread_m, edge_set_back_m), float(plot.ground.area)
    cuts = _cuts(plot, backs, plot.ground)
    taken: list[tuple[RoomTaker, float]] = [("edge", 1 - inner.area / whole)]
    areas = shapely.area(shapely.intersection(plot.ground, cuts)).tolist() if len(cuts) else []
    taken += [(thing.kind, area / whole) for thing, area in zip(plot.obstacles, areas, strict=True)]
    return Room(_without(inner, cuts), backs, tuple(taken))


def set_backs_of(plot: Plot, spread_m: float, height_m: float, *, in_pots: bool = False) -> tuple[SetBack, ...]:
    """What a trunk keeps from each thing of a plot; sizes for which it is the same, and as wide, have one region."""
    return tuple(
        set_back(one.kind, spread_m, height_m, one.set_back_m, one.spread_m, in_pot=in_pots) for one in plot.obstacles
    )


def _inside(plot: Plot, spread_m: float, edge_set_back_m: float) -> BaseGeometry:
    """The ground that far from its edge."""
    edge = max(spread_m / 2, edge_set_back_m) - TOLERANCE_M
    return moved_far(plot.ground, -edge * ARC if _has_reflex(plot.ground) else -edge, ARC_SEGMENTS)


def _cuts(plot: Plot, backs: Sequence[SetBack], about: BaseGeometry) -> NDArray[np.object_]:
    """What each thing takes, with the set-back from it; empty of what lies farther from a shape."""
    found = np.full(len(backs), shapely.Polygon(), dtype=object)
    apart = np.array([max(back.trunk_distance_m - TOLERANCE_M, 0.0) * ARC for back in backs])
    shapes = np.array([one.shape for one in plot.obstacles], dtype=object)
    for thing in np.flatnonzero(shapely.dwithin(about, shapes, apart + TOLERANCE_M)).tolist():
        found[thing] = moved_far(_without_dents(shapes[thing], apart[thing]), apart[thing], ARC_SEGMENTS)
    return found


def _without(inner: BaseGeometry, cuts: NDArray[np.object_]) -> BaseGeometry:
    return inner.difference(shapely.union_all(cuts)) if len(cuts) else inner


def _without_dents(shape: BaseGeometry, apart_m: float) -> BaseGeometry:
    """The hull of a shape where a set-back of it is nearly that of the shape: nowhere farther out by more than DENTS_M.

    Between the ends of a side of the hull, which belong to the shape, the two arcs of the set-back meet no deeper than
    the height of an arc over that side.
    """
    if shapely.get_num_coordinates(shape) <= FEW_CORNERS:
        return shape
    hull = shape.convex_hull
    corners = shapely.get_coordinates(hull)
    half = float(np.hypot(*np.diff(corners, axis=0).T).max()) / 2
    if half > apart_m or apart_m - math.sqrt(apart_m**2 - half**2) > DENTS_M:
        return shape
    return hull


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


def most_in_rows(region: BaseGeometry, spacing_m: float, passage_m: float) -> int:
    """An upper bound on the trees of one size that stand in a region in rows with a passage (m) between their crowns.

    Each takes a rectangle of its own, as long as its spacing and a passage wider than that; no more of them than
    circles of that spacing fit.
    """
    taken = ground_in_rows(region, spacing_m, passage_m) / (spacing_m * (spacing_m + passage_m))
    return min(most_that_fit(region, spacing_m), max(math.floor(taken + 1e-9), 0 if region.is_empty else 1))


def ground_in_rows(region: BaseGeometry, widest_m: float, passage_m: float) -> float:
    """Ground (m2) that all trees with their trunks in a region can take in parallel rows, at the most.

    A tree takes its spacing along the row (`widest_m` at most) times that and a passage across it. These rectangles lie
    apart, and each part of the region holds its own within its sum with one of the widest, whatever way rows run.
    """
    along, across = widest_m, widest_m + passage_m
    found = 0.0
    for part in shapely.get_parts(region):
        if part.area > 0:
            round_about = float(moved_out(part, math.hypot(along, across) / 2 * ARC, ARC_SEGMENTS).area)
            found += min(round_about, _swept(part.convex_hull, along, across))
    return found


def _swept(hull: BaseGeometry, along: float, across: float) -> float:
    """The most area (m2) of the sum of a convex outline with a rectangle, over all directions of the rectangle.

    The sum has the area of both, and of each side of the rectangle times the width of the outline square to it.
    """
    corners = shapely.get_coordinates(hull)
    turned = np.radians(np.arange(0.0, 180.0, DIRECTION_STEP_DEG))
    reach = corners @ np.vstack([np.cos(turned), np.sin(turned)])
    width = reach.max(axis=0) - reach.min(axis=0)
    beside = np.roll(width, len(turned) // 2)
    between = float(np.ptp(corners, axis=0).max()) * math.sqrt(2) * math.radians(DIRECTION_STEP_DEG) / 2
    sides = float((along * width + across * beside).max()) + (along + across) * between
    return float(hull.area) + sides + along * across


def _has_reflex(ground: BaseGeometry) -> bool:
    """Whether the edge turns outward anywhere, so that its inner offset has arcs."""
    return bool(ground.area < ground.convex_hull.area - 1e-9)


def what_binds(room: Room) -> tuple[LayoutLimit, ...]:
    """What takes the room, the largest share first and each kind once; shares under a tenth are left out."""
    order = sorted(room.taken, key=lambda item: -item[1])
    return tuple(
        layout_limit("room_taken", what=what, share=share) for what, share in order if share >= FIGURES.told_share
    )
