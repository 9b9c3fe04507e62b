"""A region turned so that rows of a bearing lie along one axis, from the side away from the noon sun towards it."""

import math
from dataclasses import dataclass

import numpy as np
from shapely.geometry.base import BaseGeometry

from domain.ground.layout_rows import NUDGE_M, Floats, edges_of, pieces_of

LEVEL = 1e-9


@dataclass(frozen=True)
class RowLines:
    """A region for trunks in the frame of the rows: edges (edges, 2) along u and along v."""

    u: Floats
    v: Floats

    @property
    def low(self) -> float:
        """Where the first row may stand."""
        return float(self.u.min()) + NUDGE_M

    @property
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
