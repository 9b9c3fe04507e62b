"""So many trees in straight rows over the ground that there is, as one would lay them out with a tape.

Spare ground widens rows and rows' trees alike and leaves the same at the edges; beyond a limit it is left, and the
trees stand about the place that is widest open. The tall stand to the side away from the noon sun. Ground that a path
or a house parts gets its own rows on either side, along one bearing. Rows run north to south unless another direction
gives the trees clearly more room (see `layout_rows`).
"""

import functools
import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from domain.ground.layout_rows import FIGURES as ROWS
from domain.ground.layout_rows import Floats, bearings_of, groups_of_parts
from domain.ground.row_frame import RowFrame, RowLines, frame_of
from domain.ground.simpler_outlines import MOST_CORNERS, moved_far
from domain.tables.parameters import figures


class EvenFigures(msgspec.Struct, frozen=True):
    """How far trees with room to spare are set apart."""

    widest: float


FIGURES = figures("ground", "layout_even", EvenFigures)
MOST_ROWS = 80
SHAPES_KEPT = 16
"""Regions whose middle and extent are kept: all lists and directions of rows of a request ask the same."""
ROUGH_STEP_M = 0.05
"""Of a region of many corners those within this are left out where only its middle or extent is sought."""
WINDOW_STEPS, WINDOW_GROWS = 12, 4
ALIKE_M = 0.5
"""Trees whose heights differ by less do not shade each other more one way than the other."""
OPEN_SHARE = 0.9
"""Places of a region as open as this share of its widest one count as its widest."""
OVER_WINDOW = 2.0
"""A part of the ground is taken only where all of it is larger than what the trees take at their widest, times this."""


@dataclass(frozen=True)
class TreeRoom:
    """What a tree takes: trunk to trunk in a row, width of its crown, its height (m)."""

    spacing_m: float
    spread_m: float
    height_m: float


@dataclass(frozen=True)
class EvenRows:
    """Trunks (n, 2), m east and north; the row of each; the bearing of the rows; None of it for a single tree.

    in_row, between: the least distance of two neighbours in a row, and of two rows, over what the trees need.
    """

    trees: Floats
    row: tuple[int, ...]
    bearing_deg: float | None
    in_row: float = 1.0
    between: float = 1.0


@dataclass(frozen=True)
class _Planting:
    """What holds for all rows: the trees, the passage between crowns of two rows (m), the frame of the rows."""

    trees: Sequence[TreeRoom]
    passage_m: float
    frame: RowFrame

    def takes(self, order: Sequence[int]) -> float:
        """Ground (m2) that trees take at their widest."""
        rooms = [self.trees[tree] for tree in order]
        return sum(FIGURES.widest**2 * one.spacing_m * (one.spacing_m + self.passage_m) for one in rooms)


@dataclass(frozen=True)
class _Placed:
    """Trees with row, u and v; the stretch in rows and between them."""

    places: dict[int, tuple[int, float, float]]
    in_row: float
    between: float
    rows: int

    @property
    def worth(self) -> tuple[float, float, int]:
        least, other = sorted((self.in_row, self.between))
        return round(least, 6), round(other, 6), -self.rows


def lay_evenly(
    trees: Sequence[TreeRoom],
    region_of: Callable[[int], BaseGeometry],
    passage_m: float,
    south: bool = False,
    bearing_deg: float | None = None,
) -> EvenRows | None:
    """Rows of all the trees; region_of(tree) is where its trunk may stand (m). None where they do not all find room.

    passage_m is left between the crowns of two rows. Two trees of a row stand at least the mean of their spacings
    apart. With a bearing only rows of that direction are tried.
    """
    regions = {tree: region_of(tree) for tree in range(len(trees))}
    if not regions or any(region.is_empty for region in regions.values()):
        return None
    if len(trees) == 1:
        return EvenRows(_amid(regions[0])[None], (0,), None)
    order = sorted(regions, key=lambda tree: (-trees[tree].height_m, -trees[tree].spacing_m, tree))
    widest = max(regions.values(), key=lambda region: float(region.area))
    best: EvenRows | None = None
    best_worth: tuple[float, float, int] = (0.0, 0.0, 0)
    for bearing in [bearing_deg % 180.0] if bearing_deg is not None else bearings_of(widest):
        frame = frame_of(bearing, south)
        found = _laid(_Planting(trees, passage_m, frame), order, regions, widest)
        if found is None:
            continue
        costs = 1 - ROWS.east_west_costs * math.sin(math.radians(bearing)) ** 2
        worth = (round(found.worth[0] * costs, 6), found.worth[1] * costs, found.worth[2])
        if worth > best_worth:
            at = np.empty((len(trees), 2))
            for tree, (_, u, v) in found.places.items():
                at[tree] = u * frame.across + v * frame.along
            rows = tuple(found.places[tree][0] for tree in range(len(trees)))
            best, best_worth = EvenRows(at, rows, bearing, found.in_row, found.between), worth
    return best


@functools.lru_cache(maxsize=SHAPES_KEPT)
def _amid(region: BaseGeometry) -> Floats:
    """The widest open place of a region (m), and of such places the one nearest its middle; asked several times."""
    outline = _rough(region)
    radius = float(shapely.maximum_inscribed_circle(outline, tolerance=0.05).length)
    core = moved_far(outline, -OPEN_SHARE * radius, 4)
    place = region if core.is_empty else core
    middle: Floats = shapely.get_coordinates(shapely.shortest_line(place, region.centroid))[0]
    if not shapely.intersects_xy(region, *middle):
        middle = shapely.get_coordinates(region.representative_point())[0]
    middle.setflags(write=False)
    return middle


def _rough(region: BaseGeometry) -> BaseGeometry:
    """A region simplified where it has more than `MOST_CORNERS`, for estimates that a corner does not move."""
    return shapely.simplify(region, ROUGH_STEP_M) if shapely.get_num_coordinates(region) > MOST_CORNERS else region


@functools.lru_cache(maxsize=SHAPES_KEPT)
def _with_crowns(part: BaseGeometry, half: float) -> BaseGeometry:
    """The ground that crowns cover whose trunks stand all over a part; half: half their width (m)."""
    return _rough(part).buffer(half, quad_segs=2)


def _laid(
    planting: _Planting, order: Sequence[int], regions: dict[int, BaseGeometry], widest: BaseGeometry
) -> _Placed | None:
    """The trees over as many parts of the ground as they can use, the largest first, shared out by what each holds."""
    trees = planting.trees
    parts = groups_of_parts(widest, max(tree.spacing_m for tree in trees) + planting.passage_m)
    if len(parts) == 1:
        return _in_part(planting, order, regions, parts[0], whole=True)
    half = min(tree.spread_m for tree in trees) / 2
    sizes = [float(_with_crowns(part, half).area) for part in parts]
    need, used = planting.takes(order), 1
    while used < len(parts) and sum(sizes[:used]) < need:
        used += 1
    middle = trees[order[len(order) // 2]]
    holds = [
        _lattice_count(part, middle.spacing_m, middle.spacing_m + planting.passage_m, planting.frame)
        for part in parts[:used]
    ]
    for needs in ([1.0] * len(order), [planting.takes([tree]) for tree in order]):
        found = _in_parts(planting, order, regions, list(zip(parts, shared_out(needs, holds), strict=False)))
        if found is not None:
            return found
    return None


def _in_parts(
    planting: _Planting,
    order: Sequence[int],
    regions: dict[int, BaseGeometry],
    shares: Sequence[tuple[BaseGeometry, int]],
) -> _Placed | None:
    """So many trees in each part."""
    places: dict[int, tuple[int, float, float]] = {}
    in_row, between, rows, start = math.inf, math.inf, 0, 0
    for part, count in shares:
        if not count:
            continue
        found = _in_part(planting, order[start : start + count], regions, part, whole=False)
        if found is None:
            return None
        places |= {tree: (rows + row, u, v) for tree, (row, u, v) in found.places.items()}
        in_row, between = min(in_row, found.in_row), min(between, found.between)
        rows, start = rows + found.rows, start + count
    return _Placed(places, in_row, between, rows)


def _lattice_count(part: BaseGeometry, spacing: float, row_spacing: float, frame: RowFrame) -> float:
    """About how many trees stand in a part in rows."""
    lines = frame.turned(part)
    gaps = math.floor(max(lines.high - lines.low, 0.0) / row_spacing + 1e-9)
    slack = max(lines.high - lines.low - gaps * row_spacing, 0.0)
    at = lines.low + slack / 2 + row_spacing * np.arange(gaps + 1, dtype=np.float64)
    counts = [math.floor((end - start) / spacing + 1e-7) + 1 for row in lines.pieces(at) for start, end in row]
    return float(sum(counts))


def _in_part(
    planting: _Planting, order: Sequence[int], regions: dict[int, BaseGeometry], part: BaseGeometry, *, whole: bool
) -> _Placed | None:
    """The trees in one part: about its widest open place where it is more than they use, else all over it."""
    need = planting.takes(order)
    half = min(planting.trees[tree].spread_m for tree in order) / 2
    if _with_crowns(part, half).area > OVER_WINDOW * need:
        side = _window_side(part, need, planting.frame, half)
        middle = _amid(part)
        for _ in range(WINDOW_GROWS):
            window = _window(middle, side, planting.frame)
            found = _over(planting, order, _within(order, regions, part.intersection(window)))
            if found is not None:
                return found
            side *= 1.25
    return _over(planting, order, regions if whole else _within(order, regions, part))


def _within(order: Sequence[int], regions: dict[int, BaseGeometry], part: BaseGeometry) -> dict[int, BaseGeometry]:
    """The regions of the trees within a part, each distinct one cut once."""
    cut = {id(regions[tree]): regions[tree] for tree in order}
    found = {key: _polygons(region.intersection(part)) for key, region in cut.items()}
    return {tree: found[id(regions[tree])] for tree in order}


def _polygons(shape: BaseGeometry) -> BaseGeometry:
    """A shape without the points and lines that an intersection leaves."""
    parts = [part for part in shapely.get_parts(shape) if part.area > 0]
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)


def _window(middle: Floats, side: float, frame: RowFrame) -> BaseGeometry:
    """A square with sides along and across the rows, about a point."""
    a, b = frame.along * side / 2, frame.across * side / 2
    return shapely.Polygon([middle - a - b, middle - a + b, middle + a + b, middle + a - b])


def _window_side(part: BaseGeometry, need: float, frame: RowFrame, half: float) -> float:
    """Side (m) of the square about the widest open place of a part that holds so much of it (m2)."""
    middle = _amid(part)
    x0, y0, x1, y1 = part.bounds
    low, high = 0.0, 2.0 * (math.hypot(x1 - x0, y1 - y0) + half)
    grown = frame.turned(_with_crowns(part, half))
    u, v = float(middle @ frame.across), float(middle @ frame.along)
    for _ in range(WINDOW_STEPS):
        side = (low + high) / 2
        if grown.area_within((u - side / 2, v - side / 2), (u + side / 2, v + side / 2)) < need:
            low = side
        else:
            high = side
    return high - 2 * half  # crowns reach half their width beyond the trunks


def _over(planting: _Planting, order: Sequence[int], regions: dict[int, BaseGeometry]) -> _Placed | None:
    """The trees in the number of rows that leaves most room, over their whole regions."""
    if any(regions[tree].is_empty for tree in order):
        return None
    turned = {id(regions[tree]): regions[tree] for tree in order}
    lines_of = {key: planting.frame.turned(region) for key, region in turned.items()}
    lines = {tree: lines_of[id(regions[tree])] for tree in order}
    least = min(planting.trees[tree].spacing_m for tree in order) + planting.passage_m
    extent = max(one.high - one.low for one in lines_of.values())
    best: _Placed | None = None
    for rows in range(1, min(len(order), math.floor(extent / least + 1e-9) + 1, MOST_ROWS) + 1):
        for alike in (True, False):
            found = _in_rows(planting, order, lines, rows, alike=alike)
            if found is not None:
                break
        if found is not None and (best is None or found.worth > best.worth):
            best = found
    return best


def _in_rows(
    planting: _Planting, order: Sequence[int], lines: dict[int, RowLines], rows: int, *, alike: bool
) -> _Placed | None:
    """The trees in so many rows, as many trees in equal rows or as much spacing; None where they do not fit so."""
    trees, passage = planting.trees, planting.passage_m
    widest = max(order, key=lambda tree: trees[tree].spacing_m)
    middle = lines[widest]
    step = (middle.high - middle.low + trees[widest].spread_m) / rows
    at = middle.low - trees[widest].spread_m / 2 + step * (np.arange(rows) + 0.5)
    mean = sum(trees[tree].spacing_m for tree in order) / len(order)
    strips = middle.pieces(np.clip(at, middle.low, middle.high))
    spacings = [1.0 if alike else trees[tree].spacing_m for tree in order]
    counts = shared_out(spacings, [sum(end - start + mean for start, end in row) for row in strips])
    if not all(counts):
        return None
    ends = list(itertools.accumulate(counts))
    members = [list(order[end - count : end]) for end, count in zip(ends, counts, strict=True)]
    heads = [max(row, key=lambda tree: trees[tree].spacing_m) for row in members]
    needs = [(trees[a].spacing_m + trees[b].spacing_m) / 2 + passage for a, b in itertools.pairwise(heads)]
    first, last = heads[0], heads[-1]
    low, high = lines[first].low, lines[last].high
    outer = (trees[first].spread_m + trees[last].spread_m) / 2
    beside = (trees[first].spacing_m + trees[last].spacing_m) / 2 + passage
    between = stretch(high - low, sum(needs), outer, beside)
    if between is None:
        return None
    u = low + (high - low - between * sum(needs)) / 2
    places: dict[int, tuple[int, float, float]] = {}
    in_row = FIGURES.widest
    for number, row in enumerate(members):
        if number % 2 and _may_turn(row, planting):
            row.reverse()  # so that the last of a row and the first of the next are neighbours
        found = _along(row, trees, lines[heads[number]].pieces(np.array([u]))[0])
        if found is None:
            return None
        places |= {tree: (number, u, v) for tree, v in found[0]}
        in_row = min(in_row, found[1])
        u += between * needs[number] if number < len(needs) else 0.0
    return _Placed(places, in_row, between, rows)


def _may_turn(row: Sequence[int], planting: _Planting) -> bool:
    """Whether a row may begin at its other end: none of its trees shades another more for it."""
    heights = [planting.trees[tree].height_m for tree in row]
    along_the_noon_sun = abs(float(planting.frame.along[1])) > math.sqrt(0.5)
    return not along_the_noon_sun or max(heights) - min(heights) <= ALIKE_M


def stretch(length: float, need: float, outer: float, beside: float) -> float | None:
    """By which factor the distances of a row are widened to fill a length, with half a distance left at each end.

    need: sum of the distances, at their least. outer: what crowns at the two ends reach beyond the length; beside: what
    a further distance, between the trees at the two ends, would need.
    None where they do not fit, 1 where they just do.
    """
    if length < need - 1e-7:
        return None
    evenly = (length + outer) / (need + beside)
    return min(max(evenly, 1.0), FIGURES.widest)


def _along(
    row: Sequence[int], trees: Sequence[TreeRoom], pieces: Sequence[tuple[float, float]]
) -> tuple[list[tuple[int, float]], float] | None:
    """The trees of a row over its pieces: each with its place along it, and the least stretch. None if one finds none.

    The first, the tallest, stand first, on the side away from the noon sun.
    """
    mean = sum(trees[tree].spacing_m for tree in row) / len(row)
    shares = shared_out([1.0] * len(row), [max(end - start, 0.0) + mean for start, end in pieces])
    found: list[tuple[int, float]] = []
    least, start_at = FIGURES.widest, 0
    reach = -math.inf
    for (start, end), count in zip(pieces, shares, strict=True):
        here = row[start_at : start_at + count]
        start_at += count
        if not here:
            continue
        needs = [(trees[a].spacing_m + trees[b].spacing_m) / 2 for a, b in itertools.pairwise(here)]
        outer = (trees[here[0]].spread_m + trees[here[-1]].spread_m) / 2
        beside = (trees[here[0]].spacing_m + trees[here[-1]].spacing_m) / 2
        widened = stretch(end - start, sum(needs), outer, beside)
        if widened is None:
            return None
        v = start + (end - start - widened * sum(needs)) / 2
        if v - reach < trees[here[0]].spacing_m / 2 - 1e-7:
            return None
        for n, tree in enumerate(here):
            found.append((tree, v))
            reach = v + trees[tree].spacing_m / 2
            v += widened * needs[n] if n < len(needs) else 0.0
        least = min(least, widened)
    return (found, least) if len(found) == len(row) else None


def shared_out(needs: Sequence[float], rooms: Sequence[float]) -> list[int]:
    """How many of some trees, in their order, each of some places takes, so that what they need goes with its room."""
    total, need = sum(rooms), sum(needs)
    counts = [0] * len(rooms)
    if total <= 0 or need <= 0:
        return counts
    ends = np.cumsum(rooms) / total
    middles = (np.cumsum(needs) - np.asarray(needs) / 2) / need
    for place in np.minimum(np.searchsorted(ends, middles - 1e-9), len(rooms) - 1).tolist():
        counts[place] += 1
    return counts
