"""What a list bears over the years: years without any crop, and years with enough, since trees fail together."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

MOST_COUNTED = 200
"""Trees that are told apart by number; of more their shares count."""


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


def crop_years_of_many(
    crop_chance: NDArray[np.float32], pollinated: NDArray[np.float64], trees: NDArray[np.intp]
) -> CropYears:
    """The same of cultivars of which several trees stand, (n,) of each.

    Trees of one cultivar bear or fail together: ten of one that lacks pollen are no surer to crop than one.
    """
    if int(trees.max()) == 1:
        return crop_years(crop_chance, pollinated)
    whole = int(trees.sum())
    if whole > MOST_COUNTED:
        trees = np.maximum(np.rint(trees * (MOST_COUNTED / whole)), 1).astype(np.intp)
        whole = int(trees.sum())
    chance = crop_chance.astype(np.float64) * pollinated[:, None]
    bearing = np.zeros((whole + 1, chance.shape[1]))
    bearing[0] = 1.0
    for one, count in zip(chance, trees.tolist(), strict=True):
        borne = bearing[:-count] * one
        bearing *= 1.0 - one
        bearing[count:] += borne
    half = -(-whole // 2)
    return CropYears(none=float(10 * bearing[0].mean()), enough=float(10 * bearing[half:].sum(axis=0).mean()))
