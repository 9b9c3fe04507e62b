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


def crop_years(
    crop_chance: NDArray[np.float32], pollinated: NDArray[np.float64], trees: NDArray[np.intp] | None = None
) -> CropYears:
    """Years of ten without a crop on any tree, and with one on at least half of the trees.

    crop_chance: (n, years) chance of a worthwhile crop of each tree in each year, given pollen; the year is common to
    all trees, so a spring that takes one takes others. pollinated: (n,) chance of pollen. Within a year what is left to
    chance is independent from tree to tree: the number of trees that bear is then Poisson-binomial. trees: (n,) where
    each stands for so many of one cultivar, which bear or fail together: ten that lack pollen are no surer than one.
    """
    chance = crop_chance.astype(np.float64) * pollinated[:, None]
    counts = [1] * len(chance) if trees is None else _counted(trees)
    whole = sum(counts)
    bearing = np.zeros((whole + 1, chance.shape[1]))
    bearing[0], most = 1.0, 0  # trees that may bear so far
    for one, failed, count in zip(chance, 1 - chance, counts, strict=True):
        borne = bearing[: most + 1] * one
        bearing[: most + 1] *= failed
        most += count
        bearing[count : most + 1] += borne
    half = -(-whole // 2)
    return CropYears(none=float(10 * bearing[0].mean()), enough=float(10 * bearing[half:].sum(axis=0).mean()))


def _counted(trees: NDArray[np.intp]) -> list[int]:
    """The numbers of trees, or where they are too many their shares of the most that are told apart."""
    share = min(MOST_COUNTED / int(trees.sum()), 1.0)
    counted: list[int] = np.maximum(np.rint(trees * share), 1).astype(np.intp).tolist()
    return counted
