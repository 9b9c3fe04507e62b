"""Hours of direct sun that each tree gets in the growing season, with buildings and other trees in the way.

Clear sky; the middle day of each month of the growing season (April to September north, October to March south, all
twelve between the tropics); every quarter of an hour of solar time while the sun stands high enough to warm. A tree is
judged at a share of its height. A building hides the sun behind its outline up to its height; a crown in leaf lets some
of the light through.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Literal

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from domain.ground.plot import Obstacle
from domain.ground.set_backs import Kind
from domain.tables.parameters import figures
from domain.weather.sun import declination

Floats = NDArray[np.float64]

MIDDLES_OF_MONTHS = (15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349)
TROPIC_DEG = 23.44
STEP_H = 0.25
REMEMBERED_PATHS = 32
"""Latitudes whose sun is kept, so that many plantings of one site look it up once."""


class SunlightFigures(msgspec.Struct, frozen=True):
    """How much sun a tree takes, what shades it, and heights that nobody told."""

    least_altitude_deg: float
    judged_at: float
    through_a_crown: float
    assumed_house_m: float
    assumed_fence_m: float
    assumed_tree_m: float
    least_hours: float
    good_hours: float


FIGURES = figures("ground", "sunlight", SunlightFigures)
FURTHEST_SHADOW_M = 60.0
MOST_EDGES, FEWEST_EDGES, COARSE_STEP_H = 40, 6, 1.0
FEW_PAIRS = 2_500
"""Trees times crowns up to which every pair is looked at, which costs less than to sort them into a tree of places."""
MOST_WORK = 4e7
"""Trees times edges times samples beyond which outlines are drawn with few edges and the sun is looked at by the hour:
crowded plots cost bounded time."""

MANY_TREES = 700
"""Trees beyond which the sun is looked at by the hour: each tree looks at all those about it."""

MOST_AT_ONCE = 500_000
"""Pairs of tree and crown times samples looked at together, so that memory stays small."""

Sun = Literal["good", "usable", "too_little"]


@dataclass(frozen=True)
class SunPath:
    """Directions to the sun while it shines: east, north (unit vector, samples x 2), tangent of the altitude; days."""

    towards: Floats
    tangent: Floats
    days: int

    @cached_property
    def across(self) -> Floats:
        """Unit vectors (2, samples) square to the directions."""
        return np.stack([self.towards[:, 1], -self.towards[:, 0]])


@lru_cache(maxsize=REMEMBERED_PATHS)
def sun_path(latitude: float, least_altitude_deg: float | None = None, step_h: float = STEP_H) -> SunPath:
    """Samples of the growing season at a latitude (degrees), each worth `step_h` hours of one of its days."""
    if abs(latitude) <= TROPIC_DEG:
        days: tuple[int, ...] = MIDDLES_OF_MONTHS
    else:
        days = MIDDLES_OF_MONTHS[3:9] if latitude > 0 else MIDDLES_OF_MONTHS[9:] + MIDDLES_OF_MONTHS[:3]
    lowest = FIGURES.least_altitude_deg if least_altitude_deg is None else least_altitude_deg
    phi = math.radians(min(max(latitude, -89.999), 89.999))
    hours = np.arange(step_h / 2, 24, step_h)
    delta, angle = np.meshgrid(declination(days), np.radians(15 * (hours - 12)), indexing="ij")
    delta, angle = delta.ravel(), angle.ravel()
    up = math.sin(phi) * np.sin(delta) + math.cos(phi) * np.cos(delta) * np.cos(angle)
    east = -np.cos(delta) * np.sin(angle)
    north = math.cos(phi) * np.sin(delta) - math.sin(phi) * np.cos(delta) * np.cos(angle)
    shines = up > math.sin(math.radians(lowest))
    up, east, north = up[shines], east[shines], north[shines]
    level = np.maximum(np.hypot(east, north), 1e-9)
    return SunPath(np.column_stack([east, north]) / level[:, None], up / level, len(days))


@dataclass(frozen=True)
class Beside:
    """Crowns that each tree has beside it, as high as itself: their places (trees, crowns, 2) and their width (m).

    So many plantings that know nothing of each other are looked at together.
    """

    places: Floats
    width_m: float


def sun_hours(
    trees: Floats,
    heights_m: Floats,
    spreads_m: Floats,
    obstacles: Sequence[Obstacle],
    latitude: float,
    *,
    step_h: float = STEP_H,
    beside: Beside | None = None,
) -> Floats:
    """Mean daily hours of direct sun (n,) of trees at (n, 2) m east and north; heights and spreads (n,) in m.

    step_h: hours from one look at the sun to the next. beside: crowns that shade one tree alone.
    """
    if len(trees) == 0:
        return np.empty(0)
    judged = FIGURES.judged_at * heights_m
    step_h = max(step_h, COARSE_STEP_H) if len(trees) > MANY_TREES else step_h
    path = sun_path(latitude, step_h=step_h)
    walls = _walls(obstacles, trees, float(judged.min()), MOST_EDGES)
    if sum(len(wall.near) for wall in walls) * len(path.tangent) > MOST_WORK:
        step_h = COARSE_STEP_H
        path = sun_path(latitude, step_h=step_h)
        walls = _walls(obstacles, trees, float(judged.min()), FEWEST_EDGES)
    light = np.ones((len(trees), len(path.tangent)))
    for wall in walls:
        near = wall.near
        hidden = _hidden(trees[near], wall.height_m - judged[near], wall.start, wall.end - wall.start, path)
        light[near] = np.where(hidden, 0.0, light[near])
    own = _Crowns(trees, heights_m, spreads_m)
    crowns = _joined([own, _standing(obstacles)]) if obstacles else own
    in_the_way = _crowns_in_the_way(trees, judged, crowns, path)
    if beside is not None:
        to_crown = (beside.places - trees[:, None, :]).reshape(-1, 2)
        top = np.repeat(heights_m - judged, beside.places.shape[1])
        hides = _hides(_Crowns(to_crown, top, np.full(len(to_crown), beside.width_m)), path)
        in_the_way += hides.reshape(len(trees), -1, len(path.tangent)).sum(axis=1, dtype=np.float64)
    light *= FIGURES.through_a_crown**in_the_way
    hours: Floats = light.sum(axis=1) * step_h / path.days
    return hours


def rate(hours: float) -> Sun:
    """What so many hours are worth to an apple tree."""
    return "good" if hours >= FIGURES.good_hours else "usable" if hours >= FIGURES.least_hours else "too_little"


def assumed_height_m(kind: Kind) -> float:
    """Height of a thing whose height was not told; kinds without one cast no shadow."""
    heights: dict[Kind, float] = {
        "house": FIGURES.assumed_house_m,
        "shrinkable_clay": FIGURES.assumed_house_m,
        "fence": FIGURES.assumed_fence_m,
        "existing_tree": FIGURES.assumed_tree_m,
    }
    return heights.get(kind, 0.0)


@dataclass(frozen=True)
class _Wall:
    """A straight piece of an outline, its height (m), and the trees (indices) that its shadow can reach."""

    start: Floats
    end: Floats
    height_m: float
    near: NDArray[np.intp]


def _walls(obstacles: Sequence[Obstacle], trees: Floats, judged_m: float, most_edges: int) -> list[_Wall]:
    """Everything tall and not a tree, each outline in at most about so many pieces."""
    walls: list[_Wall] = []
    if not obstacles:
        return walls
    points = shapely.points(trees)
    for obstacle in obstacles:
        height = obstacle.height_m if obstacle.height_m is not None else assumed_height_m(obstacle.kind)
        if height <= judged_m or obstacle.kind == "existing_tree":
            continue
        reach = min(
            (height - judged_m) / math.tan(math.radians(FIGURES.least_altitude_deg)), max(FURTHEST_SHADOW_M, 4 * height)
        )
        near = np.flatnonzero(shapely.dwithin(points, obstacle.shape, reach))
        if near.size:
            walls += [_Wall(start, end, height, near) for start, end in _edges(obstacle.shape, most_edges)]
    return walls


def _edges(shape: BaseGeometry, most: int) -> list[tuple[Floats, Floats]]:
    tolerance = 0.1
    if shapely.get_num_coordinates(shape) > most + 1 and shape.geom_type != "LineString":
        shape = shape.convex_hull
    while shapely.get_num_coordinates(shape) > most + 1 and tolerance < FURTHEST_SHADOW_M:
        tolerance *= 2
        shape = shape.simplify(tolerance)
    if shape.geom_type == "LineString":
        outlines = [shapely.get_coordinates(shape)]
    else:
        outlines = [shapely.get_coordinates(part.exterior) for part in shapely.get_parts(shape) if part.area > 0]
    return [(a, b) for outline in outlines for a, b in itertools.pairwise(outline)]


def _hidden(trees: Floats, above: Floats, start: Floats, wall: Floats, path: SunPath) -> NDArray[np.bool_]:
    """Whether a wall from a start, so much above the trees' judged height, hides the sun (trees, samples)."""
    to_start = start - trees
    turn = path.towards[:, 0] * wall[1] - path.towards[:, 1] * wall[0]
    turn = np.where(np.abs(turn) < 1e-12, 1e-12, turn)
    away = (to_start[:, 0] * wall[1] - to_start[:, 1] * wall[0])[:, None] / turn
    along = (
        to_start[:, 0, None] * path.towards[:, 1] - to_start[:, 1, None] * path.towards[:, 0]
    ) / turn  # where on the wall the ray meets it, 0 to 1
    below = away * path.tangent < above[:, None]
    hidden: NDArray[np.bool_] = (away > 0) & (along >= 0) & (along <= 1) & below
    return hidden


@dataclass(frozen=True)
class _Crowns:
    """Crowns as upright cylinders: places (n, 2), tops and widths (n,), m."""

    places: Floats
    tops: Floats
    widths: Floats


def _joined(crowns: Sequence[_Crowns]) -> _Crowns:
    return _Crowns(
        np.vstack([some.places for some in crowns]),
        np.concatenate([some.tops for some in crowns]),
        np.concatenate([some.widths for some in crowns]),
    )


def _standing(obstacles: Sequence[Obstacle]) -> _Crowns:
    """Existing trees; a spread not told is as wide as the tree is high."""
    standing = [obstacle for obstacle in obstacles if obstacle.kind == "existing_tree"]
    if not standing:
        return _Crowns(np.empty((0, 2)), np.empty(0), np.empty(0))
    assumed = FIGURES.assumed_tree_m
    heights = [assumed if tree.height_m is None else tree.height_m for tree in standing]
    spreads = [
        height if tree.spread_m is None else tree.spread_m for tree, height in zip(standing, heights, strict=True)
    ]
    places = [shapely.get_coordinates(tree.shape.centroid)[0] for tree in standing]
    return _Crowns(np.array(places).reshape(-1, 2), np.array(heights, dtype=float), np.array(spreads, dtype=float))


def _crowns_in_the_way(trees: Floats, judged: Floats, crowns: _Crowns, path: SunPath) -> Floats:
    """Number of other crowns between each tree and the sun (trees, samples); the first crowns are the trees' own."""
    reach = float(crowns.tops.max() - judged.min()) / math.tan(math.radians(FIGURES.least_altitude_deg))
    reach = min(reach, FURTHEST_SHADOW_M, 8 * float(crowns.widths.max()))  # beyond, nearer crowns hide as much
    count, samples = len(trees), len(path.tangent)
    if count * len(crowns.places) <= FEW_PAIRS:
        to_crown = (crowns.places[None, :, :] - trees[:, None, :]).reshape(-1, 2)
        counted = np.hypot(to_crown[:, 0], to_crown[:, 1]) <= reach
        counted[np.arange(count) * (len(crowns.places) + 1)] = False  # its own crown
        widths = np.where(counted, np.tile(crowns.widths, count), 0.0)
        top = (crowns.tops[None, :] - judged[:, None]).ravel()
        hides = _hides(_Crowns(to_crown, top, widths), path)
        return np.asarray(hides.reshape(count, -1, samples).sum(axis=1, dtype=np.float64))
    index = shapely.STRtree(shapely.points(crowns.places))
    found = index.query(shapely.points(trees), predicate="dwithin", distance=reach)
    i, j = found[:, found[0] != found[1]]
    counts = np.zeros(count * samples)
    at_once = max(MOST_AT_ONCE // samples, 1)
    for start in range(0, len(i), at_once):
        tree, crown = i[start : start + at_once], j[start : start + at_once]
        others = _Crowns(crowns.places[crown] - trees[tree], crowns.tops[crown] - judged[tree], crowns.widths[crown])
        pair, sample = np.nonzero(_hides(others, path))
        counts += np.bincount(tree[pair] * samples + sample, minlength=counts.size)
    return counts.reshape(count, samples)


def _hides(crowns: _Crowns, path: SunPath) -> NDArray[np.bool_]:
    """Whether crowns, their places and tops told from the tree that looks, hide the sun (crowns, samples)."""
    away = crowns.places @ path.towards.T
    beside = np.abs(crowns.places @ path.across)
    return np.asarray((away > 0) & (beside < crowns.widths[:, None] / 2) & (away * path.tangent < crowns.tops[:, None]))
