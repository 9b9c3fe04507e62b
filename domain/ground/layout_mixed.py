"""Trees of several sizes packed in straight rows: the widest first, row by row, each row as wide as its widest tree.

For ground that is so full that `layout_even` finds no room for all.
As for trees of one size, rows run north to south unless another direction holds clearly more trees. Along a row two
trees stand half the spacing of each apart, and what is left of a row is shared out between them.
"""

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
from shapely.geometry.base import BaseGeometry

from domain.ground.layout_rows import FIGURES as ROWS
from domain.ground.layout_rows import Floats, bearings_of, groups_of_parts
from domain.ground.row_frame import RowFrame, RowLines, frame_of
from domain.tables.parameters import figures

OFFSETS = 6
SEARCH_STEP_M = 0.3
MOST_LINES = 300


class MixedRowFigures(msgspec.Struct, frozen=True):
    """How trees of several sizes share a row."""

    widened: float


FIGURES = figures("ground", "layout_mixed", MixedRowFigures)


@dataclass(frozen=True)
class MixedRows:
    """Trunks (n, 2) in m, NaN of trees that found no place; the row of each, -1 of those; the bearing (degrees)."""

    trees: Floats
    row: list[int]
    bearing_deg: float

    @property
    def count(self) -> int:
        """Trees that found a place."""
        return sum(row >= 0 for row in self.row)


def lay_mixed(
    spacings_m: Sequence[float],
    region_of: Callable[[int], BaseGeometry],
    passage_m: float,
    south: bool = False,
    bearing_deg: float | None = None,
) -> MixedRows:
    """Rows of trees with these spacings; region_of(tree) is where its trunk may stand (m, perhaps empty).

    As many trees as find a place, in as few rows as hold them.

    passage_m is left between the crowns of two rows. south: of the equator, where tall rows shade those south of them.
    With a bearing only rows of that direction are tried.
    """
    order = sorted(range(len(spacings_m)), key=lambda tree: (-spacings_m[tree], tree))
    regions = {tree: region_of(tree) for tree in order}
    order = [tree for tree in order if not regions[tree].is_empty]
    best = MixedRows(np.full((len(spacings_m), 2), np.nan), [-1] * len(spacings_m), 0.0)
    if not order:
        return best
    widest_region = max((regions[tree] for tree in order), key=lambda region: float(region.area))
    parts = groups_of_parts(widest_region, spacings_m[order[0]] + passage_m)
    best_worth = (0.0, 0)
    for bearing in bearings_of(regions[order[-1]]) if bearing_deg is None else [bearing_deg % 180.0]:
        frame = frame_of(bearing, south)
        placed: dict[int, tuple[int, float, float]] = {}
        for part in parts:
            rest = [tree for tree in order if tree not in placed]
            cut = regions if len(parts) == 1 else _within(rest, regions, part)
            found = _best_fill(rest, spacings_m, cut, passage_m, frame)
            so_far = 1 + max((number for number, _, _ in placed.values()), default=-1)
            placed |= {tree: (so_far + number, u, v) for tree, (number, u, v) in found.items()}
        rows = len({number for number, _, _ in placed.values()})
        costs = 1 - ROWS.east_west_costs * math.sin(math.radians(bearing)) ** 2
        worth = (round(len(placed) * costs, 9), -rows)
        if worth > best_worth:
            trees, row = np.full((len(spacings_m), 2), np.nan), [-1] * len(spacings_m)
            for tree, (number, u, v) in placed.items():
                trees[tree], row[tree] = u * frame.across + v * frame.along, number
            best, best_worth = MixedRows(trees, row, bearing), worth
    return best


def _within(order: Sequence[int], regions: dict[int, BaseGeometry], part: BaseGeometry) -> dict[int, BaseGeometry]:
    """The regions of the trees within a part, each distinct one cut once."""
    found = {key: region.intersection(part) for key, region in {id(regions[t]): regions[t] for t in order}.items()}
    return {tree: found[id(regions[tree])] for tree in order}


def _best_fill(
    order: Sequence[int],
    spacings: Sequence[float],
    regions: dict[int, BaseGeometry],
    passage: float,
    frame: RowFrame,
) -> dict[int, tuple[int, float, float]]:
    """The most trees, in the fewest rows, of several positions of the first row."""
    order = [tree for tree in order if regions[tree].area > 0]
    if not order:
        return {}
    turned = {key: frame.turned(region) for key, region in {id(regions[t]): regions[t] for t in order}.items()}
    lines = {tree: turned[id(regions[tree])] for tree in order}
    best: dict[int, tuple[int, float, float]] = {}
    best_worth = (0, 0)
    for offset in np.linspace(0.0, spacings[order[0]] + passage, OFFSETS, endpoint=False).tolist():
        placed = _fill(order, spacings, lines, passage, offset)
        worth = (len(placed), -len({number for number, _, _ in placed.values()}))
        if worth > best_worth:
            best, best_worth = placed, worth
    return best


def _fill(
    order: Sequence[int], spacings: Sequence[float], lines: dict[int, RowLines], passage: float, offset: float
) -> dict[int, tuple[int, float, float]]:
    """Row, place across and along of each tree that finds one; the first row `offset` from the edge."""
    placed: dict[int, tuple[int, float, float]] = {}
    rest = list(order)
    number, u, wide = 0, -math.inf, 0.0
    for _ in range(MOST_LINES):
        while rest and u + (0.0 if math.isinf(u) else wide / 2 + spacings[rest[0]] / 2 + passage) > lines[rest[0]].high:
            rest.pop(0)  # no row is left that is wide enough for it
        if not rest:
            break
        widest = rest[0]
        at = lines[widest].low + offset if math.isinf(u) else u + (wide + spacings[widest]) / 2 + passage
        at = max(at, lines[widest].low)
        row: list[tuple[int, float]] = []
        while at <= lines[widest].high and not row:
            row = _row(rest, spacings, lines[widest].pieces(np.array([at]))[0])
            at += 0.0 if row else SEARCH_STEP_M
        if not row:
            rest.pop(0)
            continue
        placed |= {tree: (number, at, v) for tree, v in row}
        taken = {tree for tree, _ in row}
        rest = [tree for tree in rest if tree not in taken]
        number, u, wide = number + 1, at, spacings[widest]
    return placed


def _row(
    rest: Sequence[int], spacings: Sequence[float], pieces: Sequence[tuple[float, float]]
) -> list[tuple[int, float]]:
    """The first of the rest, as many as stand on the pieces of one row, each with its place along it."""
    row: list[tuple[int, float]] = []
    waiting = list(rest)
    end_before, last = -math.inf, None
    for start, end in pieces:
        here: list[int] = []
        at = start if last is None else max(start, end_before + (spacings[last] + spacings[waiting[0]]) / 2)
        first = at
        while waiting and at <= end + 1e-7:
            here.append(waiting.pop(0))
            if waiting:
                at += (spacings[here[-1]] + spacings[waiting[0]]) / 2
        if not here:
            continue
        reach = first + sum((spacings[a] + spacings[b]) / 2 for a, b in itertools.pairwise(here))
        slack = max(end - reach, 0.0)
        gap = (
            min(slack / (len(here) - 1), FIGURES.widened * min(spacings[tree] for tree in here))
            if len(here) > 1
            else 0.0
        )
        v = first + (slack - gap * (len(here) - 1)) / 2
        for n, tree in enumerate(here):
            if n:
                v += (spacings[here[n - 1]] + spacings[tree]) / 2 + gap
            row.append((tree, v))
        end_before, last = v, here[-1]
        if not waiting:
            break
    return row
