"""What a list bears over the years: years without any crop, and years with enough, since trees fail together."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class CropYears:
    """Years of ten, once all trees bear."""

    none: float
    enough: float


def crop_years(crop_chance: NDArray[np.float32], pollinated: NDArray[np.float64]) -> CropYears:
    """Years of ten without a crop on any tree, and with one on at least half of the trees.

    crop_chance: (trees, years) chance of a worthwhile crop of each tree in each year, given pollen; the year is common
    to all trees, so a spring that takes one takes others. pollinated: (trees,) chance of pollen. Within a year what is
    left to chance is independent from tree to tree: the number of trees that bear is then Poisson-binomial.
    """
    chance = crop_chance.astype(np.float64) * pollinated[:, None]
    trees, years = chance.shape
    bearing = np.zeros((trees + 1, years))
    bearing[0] = 1.0
    for n, (one, failed) in enumerate(zip(chance, 1 - chance, strict=True), start=1):  # at most n trees bear so far
        bearing[1 : n + 1] = bearing[1 : n + 1] * failed + bearing[:n] * one
        bearing[0] *= failed
    half = -(-trees // 2)
    return CropYears(none=float(10 * bearing[0].mean()), enough=float(10 * bearing[half:].sum(axis=0).mean()))
