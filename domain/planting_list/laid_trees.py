"""Where the trees of a list stand, and the figures of the ground under it."""

from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.tables.parameters import figures

Floats = NDArray[np.float64]


class GroundFigures(msgspec.Struct, frozen=True):
    """How much sun a list asks, and how the ground is looked at."""

    for_neighbours_h: float
    judged_height_m: float
    brightest_share: float
    few_find_room: float


FIGURES = figures("planting_list", "ground", GroundFigures)


@dataclass(frozen=True)
class LaidTrees:
    """Trunks (n, 2) on the plane (m), NaN of trees without a place; rows; hours of sun where the latitude is known."""

    trees: Floats
    row: tuple[int, ...]
    bearing_deg: float | None
    sun_hours: Floats | None
    lit_to_m: Floats | None = None
    """(n,) heights (m) up to which trees get light, as their fence; None where they get it to their own."""

    @property
    def placed(self) -> NDArray[np.bool_]:
        """(n,) whether a tree found a place."""
        return np.isfinite(self.trees[:, 0])
