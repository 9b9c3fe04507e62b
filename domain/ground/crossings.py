"""How often outlines cross each other: what is drawn over each other costs by its crossings, not by its corners."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MOST_CROSSINGS = 1000
"""Of all outlines of a plot: a net of fifteen paths, of two edges each, across as many."""
PAIRS_AT_ONCE = 200_000


def crossings(outlines: Sequence[Floats]) -> int:
    """How many pairs of edges of some outlines, each its corners (k, 2), cross; what only touches does not count."""
    edges = [np.hstack([corners[:-1], corners[1:]]) for corners in outlines if len(corners) > 1]
    if not edges:
        return 0
    all_edges = np.concatenate(edges)
    found, count = 0, len(all_edges)
    at_once = max(PAIRS_AT_ONCE // count, 1)
    for start in range(0, count, at_once):  # each with those from the same part and after it
        some = all_edges[start : start + at_once]
        one, other = np.nonzero(_sides(some[:, None, :], all_edges[None, start:]))
        apart = _sides(all_edges[start + other], some[one])
        found += int(apart.sum()) + int(apart[other >= len(some)].sum())
    return found // 2


def _sides(edge: Floats, other: Floats) -> NDArray[np.bool_]:
    """Whether the ends of the other edges lie on different sides of the lines through the edges."""
    along = edge[..., 2:] - edge[..., :2]
    turns = [
        along[..., 0] * (other[..., 1 + end] - edge[..., 1]) - along[..., 1] * (other[..., end] - edge[..., 0])
        for end in (0, 2)
    ]
    return np.asarray((turns[0] > 0) & (turns[1] < 0) | (turns[0] < 0) & (turns[1] > 0))
