"""Trees in straight rows: north to south where that costs few trees, with room to pass between the rows.

Each direction of rows is tried with several positions of the first row; a row is cut by the region for trunks, and on
each piece trees stand at the full spacing, centred. What a path or a house parts gets its own rows on either side. The
layout with most trees wins, other directions only if they hold clearly more than north to south: rows that run north to
south light trees more evenly (Ferree, "Let there be light", Good Fruit Grower).
"""

import math
from dataclasses import dataclass

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from domain.tables.parameters import figures

Floats = NDArray[np.float64]


class RowFigures(msgspec.Struct, frozen=True):
    """Which way rows run."""

    east_west_costs: float


FIGURES = figures("ground", "layout_rows", RowFigures)
OFFSETS = 12
NUDGE_M = 1e-7
"""Rows are moved this far inside the region, so that a row along its edge is cut by it."""


@dataclass(frozen=True)
class Rows:
    """Trunks (n, 2), m east and north, row by row; the row of each; the bearing of the rows (0 to 180 degrees)."""

    trees: Floats
    row: NDArray[np.intp]
    bearing_deg: float


def lay_rows(
    region: BaseGeometry,
    spacing_m: float,
    row_spacing_m: float,
    bearing_deg: float | None = None,
    most: int | None = None,
) -> Rows:
    """Rows in a region (m). With a bearing only that direction is tried; `most` keeps so many trees, whole rows first.

    Two trees of any row are at least min(spacing, row spacing) apart.
    """
    if region.is_empty:
        return Rows(np.empty((0, 2)), np.empty(0, dtype=np.intp), 0.0)
    parts = [edges_of(part) for part in groups_of_parts(region, row_spacing_m)]
    bearings = [bearing_deg % 180.0] if bearing_deg is not None else bearings_of(region)
    best: Rows | None = None
    best_worth = -math.inf
    for bearing in bearings:
        found = _joined([_best_offset(edges, spacing_m, row_spacing_m, bearing) for edges in parts])
        count = len(found.trees) if most is None else min(len(found.trees), most)
        worth = count * (1 - FIGURES.east_west_costs * math.sin(math.radians(bearing)) ** 2)
        if worth > best_worth + 1e-9:
            best, best_worth = found, worth
    assert best is not None  # there is always a bearing
    return best if most is None or len(best.trees) <= most else _thinned(best, most)


def groups_of_parts(region: BaseGeometry, apart_m: float) -> list[BaseGeometry]:
    """The parts of a region, the largest first; those nearer to each other than a distance (m) stay together."""
    parts = [part for part in shapely.get_parts(region) if part.area > 0]
    groups: list[list[BaseGeometry]] = []
    for part in parts:
        near = [group for group in groups if any(shapely.dwithin(part, other, apart_m) for other in group)]
        groups = [group for group in groups if not any(group is one for one in near)]
        groups.append([part, *(other for group in near for other in group)])
    found = [group[0] if len(group) == 1 else shapely.MultiPolygon(group) for group in groups]
    return sorted(found, key=lambda group: (-float(group.area), group.bounds))


def _joined(parts: list[Rows]) -> Rows:
    """Rows of several parts, numbered on."""
    if len(parts) == 1:
        return parts[0]
    numbers, so_far = [], 0
    for rows in parts:
        numbers.append(rows.row + so_far)
        so_far += int(rows.row.max(initial=-1)) + 1
    return Rows(np.vstack([rows.trees for rows in parts]), np.concatenate(numbers), parts[0].bearing_deg)


def bearings_of(region: BaseGeometry) -> list[float]:
    """North to south first, then along the sides of the smallest rectangle about the region, then east to west."""
    found = [0.0, 90.0]
    corners = shapely.get_coordinates(region.minimum_rotated_rectangle)
    if len(corners) >= 4:
        for side in corners[1:3] - corners[:2]:
            bearing = math.degrees(math.atan2(side[0], side[1])) % 180.0
            if all(min(abs(bearing - other), 180 - abs(bearing - other)) > 0.5 for other in found):
                found.append(bearing)
    return found


def edges_of(region: BaseGeometry) -> Floats:
    """Edges of all rings of a region: x0, y0, x1, y1 (edges, 4)."""
    parts = [part for part in shapely.get_parts(region) if part.area > 0]
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_parts(shapely.get_rings(parts))]
    return np.concatenate([np.hstack([ring[:-1], ring[1:]]) for ring in rings])


def _best_offset(edges: Floats, spacing: float, row_spacing: float, bearing: float) -> Rows:
    """The layout with most trees in rows of one bearing; of equal ones the one nearest the middle."""
    b = math.radians(bearing)
    along, across = np.array([math.sin(b), math.cos(b)]), np.array([math.cos(b), -math.sin(b)])
    u = np.column_stack([edges[:, :2] @ across, edges[:, 2:] @ across])
    v = np.column_stack([edges[:, :2] @ along, edges[:, 2:] @ along])
    low, high = float(u.min()) + NUDGE_M, float(u.max()) - NUDGE_M
    gaps = max(math.floor((high - low + 2 * NUDGE_M) / row_spacing + 1e-9), 0)
    slack = max(high - low - gaps * row_spacing, 0.0)
    offsets = [slack / 2, *np.linspace(0.0, row_spacing, OFFSETS, endpoint=False)]
    best: tuple[NDArray[np.intp], Floats, Floats] | None = None
    best_count = -1
    for offset in offsets:
        lines = np.arange(low + offset, high + 1e-12, row_spacing)
        row, starts, lengths = pieces_of(lines, u, v)
        starts, counts = _fill(row, starts, lengths, spacing)
        if counts.sum() > best_count:
            best_count = int(counts.sum())
            best = row, lines, np.column_stack([starts, counts])
    assert best is not None  # the first offset counts at least zero trees
    row, lines, filled = best
    counts = filled[:, 1].astype(np.intp)
    step = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
    v_tree = np.repeat(filled[:, 0], counts) + step * spacing
    trees = lines[np.repeat(row, counts)][:, None] * across + v_tree[:, None] * along
    _, numbers = np.unique(np.repeat(row, counts), return_inverse=True)
    return Rows(trees, numbers.astype(np.intp), bearing)


def pieces_of(lines: Floats, u: Floats, v: Floats) -> tuple[NDArray[np.intp], Floats, Floats]:
    """Pieces of the lines inside the region, by the even-odd rule: line, start along it, length; in order."""
    side = u[None, :, :] <= lines[:, None, None]
    line, edge = np.nonzero(side[:, :, 0] != side[:, :, 1])
    t = (lines[line] - u[edge, 0]) / (u[edge, 1] - u[edge, 0])
    crossing = v[edge, 0] + t * (v[edge, 1] - v[edge, 0])
    order = np.lexsort((crossing, line))
    line, crossing = line[order], crossing[order]
    starts, ends = crossing[0::2], crossing[1::2]
    return line[0::2], starts, ends - starts


def _fill(row: NDArray[np.intp], starts: Floats, lengths: Floats, spacing: float) -> tuple[Floats, NDArray[np.intp]]:
    """First tree and number of trees of each piece; trees of two pieces of one row also keep the spacing."""
    firsts, counts = [], []
    row_before, last = -1, -math.inf
    for this_row, start, length in zip(row.tolist(), starts.tolist(), lengths.tolist(), strict=True):
        if this_row != row_before:
            row_before, last = this_row, -math.inf
        from_here, end = max(start, last + spacing), start + length
        count = math.floor((end - from_here) / spacing + 1e-7) + 1 if from_here <= end else 0
        first = from_here + max(end - from_here - (count - 1) * spacing, 0.0) / 2
        if count > 0:
            last = first + (count - 1) * spacing
        firsts.append(first)
        counts.append(count)
    return np.array(firsts), np.array(counts, dtype=np.intp)


def _thinned(rows: Rows, most: int) -> Rows:
    """So many trees of a layout: whole rows nearest its middle, of the last of them the trees nearest its middle."""
    middle = rows.trees.mean(axis=0)
    b = math.radians(rows.bearing_deg)
    across = np.abs((rows.trees - middle) @ np.array([math.cos(b), -math.sin(b)]))
    along = np.abs((rows.trees - middle) @ np.array([math.sin(b), math.cos(b)]))
    keep = np.sort(np.lexsort((along, np.round(across, 6)))[:most])
    _, numbers = np.unique(rows.row[keep], return_inverse=True)
    return Rows(rows.trees[keep], numbers.astype(np.intp), rows.bearing_deg)
