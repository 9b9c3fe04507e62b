"""When the leaves are down: some days after the mean of autumn falls below a level.

In mild climates, which never get so cool, after it comes near the mean of the coldest days.
"""

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.tables.parameters import figures

YEAR_DAYS, HALF_YEAR_DAYS = 365, 182


class LeafFallFigures(msgspec.Struct, frozen=True):
    """Daily mean (C) below which leaves fall, degrees above the coldest days, and days until they are down."""

    cool_c: float
    above_coldest_c: float
    days: float
    smooth_days: int


FIGURES = figures("tree_year", "leaf_fall", LeafFallFigures)


def leaf_fall(mean_by_day_c: Floats) -> float:
    """Season day on which leaves are down, of the mean temperature of each season day from midsummer on."""
    year = _smooth(mean_by_day_c[:YEAR_DAYS])
    warmest = int(np.argmax(year[:HALF_YEAR_DAYS]))
    # On round the year: close to the equator the coldest days may come before the warmest.
    below = np.roll(year, -warmest) < _cool(year)
    return float(warmest + np.argmax(below)) + FIGURES.days


def leaf_fall_of_years(mean_c: Floats, first_day: int) -> Floats:
    """Season days (years,) on which leaves are down in the second half of a year that begins at midwinter.

    mean_c: (years, days) from the season day `first_day` on. NaN in years whose autumn ends warmer.
    """
    cool = _cool(_smooth(mean_c.mean(axis=0)))
    autumns = np.stack([_smooth(year)[HALF_YEAR_DAYS:] for year in mean_c]) < cool
    day = np.where(autumns.any(axis=1), np.argmax(autumns, axis=1), np.nan)
    found: Floats = (first_day + HALF_YEAR_DAYS + day + FIGURES.days).astype(np.float32)
    return found


def _cool(year: Floats) -> float:
    """The mean (C) below which leaves fall there."""
    return max(FIGURES.cool_c, float(year.min()) + FIGURES.above_coldest_c)


def _smooth(year: Floats) -> Floats:
    """Running means of a year; the first and last days take what there is."""
    half = FIGURES.smooth_days // 2
    padded = np.pad(year, half, mode="edge")
    found: Floats = np.convolve(padded, np.ones(2 * half + 1) / (2 * half + 1), mode="valid")
    return found
