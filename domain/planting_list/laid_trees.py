"""Where the trees of a list stand."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class LaidTrees:
    """Trunks (n, 2) on the plane (m), NaN of trees without a place; rows; hours of sun where the latitude is known."""

    trees: Floats
    row: tuple[int, ...]
    bearing_deg: float | None
    sun_hours: Floats | None

    @property
    def placed(self) -> NDArray[np.bool_]:
        """(n,) whether a tree found a place."""
        return np.isfinite(self.trees[:, 0])
