"""Words for shares: sound fruit and eating quality as good, fair, poor or unknown."""

from typing import Literal

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.tables.parameters import figures

Grade = Literal["good", "fair", "poor", "unknown"]


class ClassFigures(msgspec.Struct, frozen=True):
    """See parameters/suitability.csv, subject classes."""

    good_sound: float
    fair_sound: float
    good_quality: float
    fair_quality: float
    unknown_from_spread: float
    least_spoilt_named: int


CLASSES = figures("suitability", "classes", ClassFigures)


def sound_grades(likely: Floats, low: Floats, high: Floats) -> list[Grade]:
    """The grades of shares of sound fruit (n,); unknown where the range is wide and its ends differ in grade."""
    return _grades((likely, low, high), CLASSES.good_sound, CLASSES.fair_sound)


def quality_grades(likely: Floats, low: Floats, high: Floats) -> list[Grade]:
    """The grades of eating quality (n,); unknown where the range is wide and its ends differ in grade."""
    return _grades((likely, low, high), CLASSES.good_quality, CLASSES.fair_quality)


def _grades(ends: tuple[Floats, Floats, Floats], good: float, fair: float) -> list[Grade]:
    likely, low, high = (end.astype(np.float64) for end in ends)
    named, worst, best = (np.where(end >= good, 0, np.where(end >= fair, 1, 2)) for end in (likely, low, high))
    # The ends of a range lie 1.68 standard deviations apart.
    wide = high - low > 1.68 * CLASSES.unknown_from_spread
    return [_GRADES[grade] for grade in np.where(wide & (worst != best), 3, named).tolist()]


_GRADES: tuple[Grade, ...] = ("good", "fair", "poor", "unknown")
