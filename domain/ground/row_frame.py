"""A region turned so that rows of a bearing lie along one axis, from the side away from the noon sun towards it."""

import functools
import math
from dataclasses import dataclass

import numpy as np
from shapely.geometry.base import BaseGeometry

from domain.ground.layout_rows import NUDGE_M, Floats, edges_of, pieces_of

LEVEL = 1e-9
FLAT_M = 1e-7
"""An edge that rises less is as high as its middle, which is exact to its square."""


@dataclass(frozen=True)
class RowLines:
    """A region for trunks in the frame of the rows: edges (edges, 2) along u and along v."""

    u: Floats
    v: Floats

    @functools.cached_property
    def low(self) -> float:
        """Where the first row may stand."""
        return float(self.u.min()) + NUDGE_M

    @functools.cached_property
    def high(self) -> float:
        """Where the last row may stand."""
        return float(self.u.max()) - NUDGE_M

    def pieces(self, at: Floats) -> list[list[tuple[float, float]]]:
        """Of each line, its pieces inside."""
        line, starts, lengths = pieces_of(at, self.u, self.v)
        found: list[list[tuple[float, float]]] = [[] for _ in at]
        for row, start, length in zip(line.tolist(), starts.tolist(), lengths.tolist(), strict=True):
            found[row].append((start, start + length))
        return found

    def area_within(self, low: tuple[float, float], high: tuple[float, float]) -> float:
        """Area (m2) of the region inside a rectangle of the frame from a corner (u, v) to another, rings turned apart.

        By Green's theorem: every edge, cut to the rectangle's stretch along u, has the area under it, which v bounds.
        """
        (u_low, v_low), (u_high, v_high) = low, high
        run = self.u[:, 1] - self.u[:, 0]
        level = np.where(run == 0, 1.0, run)
        u = np.clip(self.u, u_low, u_high)
        v = self.v[:, :1] + (u - self.u[:, :1]) * ((self.v[:, 1] - self.v[:, 0]) / level)[:, None]
        over = np.clip(v, v_low, v_high) - v_low
        under = over**2 / 2 + np.maximum(v - v_high, 0.0) * (v_high - v_low)
        rise = v[:, 1] - v[:, 0]
        flat = np.abs(rise) < FLAT_M
        height = np.where(flat, over.mean(axis=1), (under[:, 1] - under[:, 0]) / np.where(flat, 1.0, rise))
        return abs(float((height * (u[:, 1] - u[:, 0])).sum()))


@dataclass(frozen=True)
class RowFrame:
    """Rows run along v and follow each other along u, the first on the side away from the noon sun."""

    along: Floats
    across: Floats

    def turned(self, region: BaseGeometry) -> RowLines:
        """A region in this frame."""
        edges = edges_of(region)
        return RowLines(
            np.column_stack([edges[:, :2] @ self.across, edges[:, 2:] @ self.across]),
            np.column_stack([edges[:, :2] @ self.along, edges[:, 2:] @ self.along]),
        )


def frame_of(bearing_deg: float, south: bool) -> RowFrame:
    """The frame of rows of a bearing (0 to 180 degrees); south: of the equator, where the noon sun is in the north."""
    b = math.radians(bearing_deg)
    along, across = np.array([math.sin(b), math.cos(b)]), np.array([math.cos(b), -math.sin(b)])
    pole = -1.0 if south else 1.0
    if pole * along[1] < 0:
        along = -along
    if pole * across[1] > LEVEL:
        across = -across
    return RowFrame(-along, across)  # v, too, grows towards the noon sun
