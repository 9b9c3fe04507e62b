"""Trees as close as their crowns allow, in no rows: a dense packing of equal circles in a region.

Start from the best of many hexagonal patterns (directions of the long edges and between, several positions) and of
straight rows; then try one tree more again and again: put it into the largest gap, or squeeze a hexagonal pattern of
that many trees into the region, and push the crowns apart. The search stops at the bound, or when no start works, or
when its effort is used up; the effort is counted, not timed, so equal requests get equal answers.
"""

import math
from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from domain.ground.layout_rows import lay_rows
from domain.ground.pushing_apart import Effort, Walls, keeps_distance, relax
from domain.ground.room import most_that_fit

Floats = NDArray[np.float64]

EVALUATIONS = 600
SEED = 20_260_101
ROTATIONS = 8
MOST_STARTS = 24
_HEXAGONAL = np.array([[1.0, 0.0], [0.5, math.sqrt(3) / 2]])


def lay_free(region: BaseGeometry, spacing_m: float, most: int | None = None, evaluations: int = EVALUATIONS) -> Floats:
    """Trunks (n, 2) in a region (m), at least the spacing apart; at most `most` of them."""
    if region.is_empty:
        return np.empty((0, 2))
    walls, places = Walls(region), _fine_pattern(region, spacing_m)
    best = _best_pattern(region, spacing_m)
    bound = most_that_fit(region, spacing_m)
    wanted = bound if most is None else min(bound, most)
    rng = np.random.default_rng(SEED)
    effort = Effort(evaluations)
    starts_each = min(max(6, 240 // (len(best) + 1)), MOST_STARTS)
    while len(best) < wanted and effort.left > 0:
        found = None
        for start in _starts(best, region, spacing_m, starts_each, rng, places=places):
            found = relax(start, walls, spacing_m, effort)
            if found is not None or effort.left <= 0:
                break
        if found is None:
            break
        best = found
    return best if most is None or len(best) <= most else _nearest_the_middle(best, most)


def _starts(
    best: Floats, region: BaseGeometry, spacing: float, count: int, rng: np.random.Generator, *, places: Floats
) -> Iterator[Floats]:
    """Starts with one tree more than the best so far: the best with its largest gap filled, then squeezed patterns."""
    yield np.vstack([best, _largest_gap(best, places)])
    for k in range(count):
        n = len(best) + 1
        if n <= 30 and k % 2:
            yield _scattered(region, n, rng)
        else:
            yield _squeezed(region, n, spacing, float(rng.choice([0.0, 0.15, 0.3])), rng)


def _best_pattern(region: BaseGeometry, spacing: float) -> Floats:
    """The fullest hexagonal pattern or layout in straight rows."""
    rows = lay_rows(region, spacing, spacing).trees
    best: Floats = rows if keeps_distance(rows, spacing) else np.empty((0, 2))
    for rotation in _rotations(region):
        pattern = _pattern_about(region, spacing, rotation)
        offsets = [(a, b) for a in np.arange(4) / 4 for b in np.arange(4) / 4]
        shifts = np.array(offsets) @ _basis(spacing, rotation)
        shifted = pattern[None] + shifts[:, None]
        inside = shapely.intersects_xy(region, shifted.reshape(-1, 2)).reshape(len(shifts), -1)
        fullest = int(inside.sum(axis=1).argmax())
        if inside[fullest].sum() > len(best):
            best = shifted[fullest][inside[fullest]]
    if len(best) == 0:
        best = np.array([shapely.get_coordinates(region.representative_point())[0]])
    return best


def _rotations(region: BaseGeometry) -> list[float]:
    """Directions (radians) of the four longest edges, and evenly spread ones between."""
    edges = np.diff(
        shapely.get_coordinates(shapely.get_exterior_ring(max(shapely.get_parts(region), key=lambda part: part.area))),
        axis=0,
    )
    longest = edges[np.argsort(-np.hypot(edges[:, 0], edges[:, 1]), kind="stable")[:4]]
    return [
        *np.arctan2(longest[:, 1], longest[:, 0]).tolist(),
        *(np.arange(ROTATIONS) * math.pi / 3 / ROTATIONS).tolist(),
    ]


def _basis(spacing: float, rotation: float) -> Floats:
    c, s = math.cos(rotation), math.sin(rotation)
    basis: Floats = spacing * _HEXAGONAL @ np.array([[c, s], [-s, c]])
    return basis


def _pattern_about(region: BaseGeometry, spacing: float, rotation: float) -> Floats:
    """Points of a hexagonal pattern that covers the region with a spacing to spare."""
    x0, y0, x1, y1 = region.bounds
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    reach = math.hypot(x1 - x0, y1 - y0) / 2 + 2 * spacing
    k = math.ceil(reach / (spacing * math.sqrt(3) / 2)) + 1
    a, b = np.meshgrid(np.arange(-k, k + 1), np.arange(-k, k + 1), indexing="ij")
    whole = np.column_stack([(a - b // 2).ravel(), b.ravel()]).astype(np.float64)  # a block, not a rhombus
    points = middle + whole @ _basis(spacing, rotation)
    near = (np.abs(points - middle) <= np.array([x1 - x0, y1 - y0]) / 2 + 2 * spacing).all(axis=1)
    kept: Floats = points[near]
    return kept


def _squeezed(region: BaseGeometry, n: int, spacing: float, over: float, rng: np.random.Generator) -> Floats:
    """About the n trees of a hexagonal pattern, scaled so that n stand in the region or `over` spacings beside it."""
    wide = region.buffer(over * spacing, quad_segs=4) if over else region
    shapely.prepare(wide)
    rotation, shift = rng.uniform(0, math.pi / 3), rng.uniform(0, 1, 2)
    low, high = 0.3, 1.2
    points = np.empty((0, 2))
    for _ in range(10):
        scale = (low + high) / 2
        at = _pattern_about(wide, scale * spacing, rotation) + shift @ _basis(scale * spacing, rotation)
        inside = at[shapely.intersects_xy(wide, at)]
        if len(inside) >= n:
            points, low = inside, scale
            if len(inside) == n:
                break
        else:
            high = scale
    if len(points) < n:
        return _scattered(region, n, rng)
    return points[rng.permutation(len(points))[:n]]


def _scattered(region: BaseGeometry, n: int, rng: np.random.Generator) -> Floats:
    """Points at random in the region."""
    x0, y0, x1, y1 = region.bounds
    found = np.empty((0, 2))
    for _ in range(200):
        at = rng.uniform((x0, y0), (x1, y1), (4 * n, 2))
        found = np.vstack([found, at[shapely.intersects_xy(region, at)]])
        if len(found) >= n:
            return found[:n]
    middle = shapely.get_coordinates(region.representative_point())
    return np.vstack([found, np.repeat(middle, n - len(found), axis=0) + rng.normal(0, 1e-3, (n - len(found), 2))])


def _fine_pattern(region: BaseGeometry, spacing: float) -> Floats:
    """Places (k, 2) all over the region, a third of the spacing apart: gaps are looked for there, again and again."""
    at = _pattern_about(region, spacing / 3, 0.2)
    inside: Floats = at[shapely.intersects_xy(region, at)]
    return inside if len(inside) else np.asarray(shapely.get_coordinates(region.representative_point()))


def _largest_gap(trees: Floats, places: Floats) -> Floats:
    """The one of some places (1, 2) furthest from any tree."""
    tree = shapely.STRtree(shapely.points(trees))
    _, distance = tree.query_nearest(shapely.points(places), return_distance=True, all_matches=False)
    gap: Floats = places[int(np.argmax(distance))][None]
    return gap


def _nearest_the_middle(trees: Floats, most: int) -> Floats:
    """So many trees, those nearest the middle of all."""
    distance = np.hypot(*(trees - trees.mean(axis=0)).T)
    kept: Floats = trees[np.sort(np.argsort(np.round(distance, 9), kind="stable")[:most])]
    return kept
