"""Trees in straight rows: north to south where that costs few trees, with room to pass between the rows.

Each direction of rows is tried with several positions of the first row; a row is cut by the region for trunks, and on
each piece trees stand at the full spacing, centred. What a path or a house parts gets its own rows on either side. The
layout with most trees wins, other directions only if they hold clearly more than north to south: rows that run north to
south light trees more evenly (Ferree, "Let there be light", Good Fruit Grower).
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
    if len(parts) < 2:
        return parts
    one, other = shapely.STRtree(parts).query(parts, predicate="dwithin", distance=apart_m)
    group, before = np.arange(len(parts)), None
    while before is None or (group != before).any():  # each takes the least number of its neighbours, until none moves
        before = group.copy()
        np.minimum.at(group, one, before[other])
        group = group[group]
    groups = [[parts[part] for part in np.flatnonzero(group == number)] for number in np.unique(group)]
    found = [together[0] if len(together) == 1 else shapely.MultiPolygon(together) for together in groups]
    return sorted(found, key=lambda together: (-float(together.area), together.bounds))


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
    lines_of = [np.arange(low + offset, high + 1e-12, row_spacing) for offset in offsets]
    offset_of = np.repeat(np.arange(len(offsets)), [len(lines) for lines in lines_of])
    all_lines = np.concatenate(lines_of)
    all_rows, starts, lengths = pieces_of(all_lines, u, v)
    starts, counts = _fill(all_rows, starts, lengths, spacing)
    held = np.bincount(offset_of[all_rows], weights=counts, minlength=len(offsets))
    here = offset_of[all_rows] == int(held.argmax())
    row, starts, counts = all_rows[here], starts[here], counts[here]
    step = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
    v_tree = np.repeat(starts, counts) + step * spacing
    trees = all_lines[np.repeat(row, counts)][:, None] * across + v_tree[:, None] * along
    _, numbers = np.unique(np.repeat(row, counts), return_inverse=True)
    return Rows(trees, numbers.astype(np.intp), bearing)


def pieces_of(lines: Floats, u: Floats, v: Floats) -> tuple[NDArray[np.intp], Floats, Floats]:
    """Pieces of the lines inside the region, by the even-odd rule: line, start along it, length; in order."""
    if len(lines) == 1:
        edge = np.flatnonzero((u[:, 0] <= lines[0]) != (u[:, 1] <= lines[0]))
        line = np.zeros(len(edge), dtype=np.intp)
    else:
        line, edge = _crossings(lines, u)
    t = (lines[line] - u[edge, 0]) / (u[edge, 1] - u[edge, 0])
    crossing = v[edge, 0] + t * (v[edge, 1] - v[edge, 0])
    order = np.lexsort((crossing, line))
    line, crossing = line[order], crossing[order]
    starts, ends = crossing[0::2], crossing[1::2]
    return line[0::2], starts, ends - starts


def _crossings(lines: Floats, u: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Which lines cross which edges: those from the lower end of an edge, it included, to the upper one."""
    upward = np.argsort(lines, kind="stable")
    first, beyond = (np.searchsorted(lines[upward], end(u, axis=1), side="left") for end in (np.min, np.max))
    met = beyond - first
    edge = np.repeat(np.arange(len(u)), met)
    return upward[np.arange(len(edge)) - np.repeat(np.cumsum(met) - met, met) + np.repeat(first, met)], edge


def _fill(row: NDArray[np.intp], starts: Floats, lengths: Floats, spacing: float) -> tuple[Floats, NDArray[np.intp]]:
    """First tree and number of trees of each piece; trees of two pieces of one row also keep the spacing."""
    firsts, counts = np.empty(len(row)), np.zeros(len(row), dtype=np.intp)
    last = np.full(int(row.max(initial=-1)) + 1, -math.inf)
    of_row = np.arange(len(row)) - np.searchsorted(row, row, side="left")
    in_turn = np.argsort(of_row, kind="stable")
    turns = np.searchsorted(of_row[in_turn], np.arange(int(of_row.max(initial=-1)) + 2))
    for start, stop in itertools.pairwise(turns.tolist()):  # the first piece of every row, then the second of each
        here = in_turn[start:stop]
        from_here = np.maximum(starts[here], last[row[here]] + spacing)
        room = starts[here] + lengths[here] - from_here
        count = np.where(room >= 0, np.floor(room / spacing + 1e-7) + 1, 0.0)
        firsts[here] = from_here + np.maximum(room - (count - 1) * spacing, 0.0) / 2
        counts[here] = count
        last[row[here]] = np.where(count > 0, firsts[here] + (count - 1) * spacing, last[row[here]])
    return firsts, counts


def _thinned(rows: Rows, most: int) -> Rows:
    """So many trees of a layout: whole rows nearest its middle, of the last of them the trees nearest its middle."""
    middle = rows.trees.mean(axis=0)
    b = math.radians(rows.bearing_deg)
    across = np.abs((rows.trees - middle) @ np.array([math.cos(b), -math.sin(b)]))
    along = np.abs((rows.trees - middle) @ np.array([math.sin(b), math.cos(b)]))
    keep = np.sort(np.lexsort((along, np.round(across, 6)))[:most])
    _, numbers = np.unique(rows.row[keep], return_inverse=True)
    return Rows(rows.trees[keep], numbers.astype(np.intp), rows.bearing_deg)
