"""Words for shares: sound fruit and eating quality as good, fair, poor or unknown."""

from typing import Literal

import msgspec

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


def sound_grade(likely: float, low: float, high: float) -> Grade:
    """The grade of a share of sound fruit; unknown where the range is wide and its ends differ in grade."""
    return _grade(likely, low, high, CLASSES.good_sound, CLASSES.fair_sound)


def quality_grade(likely: float, low: float, high: float) -> Grade:
    """The grade of eating quality; unknown where the range is wide and its ends differ in grade."""
    return _grade(likely, low, high, CLASSES.good_quality, CLASSES.fair_quality)


def _grade(likely: float, low: float, high: float, good: float, fair: float) -> Grade:
    # The ends of a range lie 1.68 standard deviations apart.
    wide = high - low > 1.68 * CLASSES.unknown_from_spread
    if wide and _named(low, good, fair) != _named(high, good, fair):
        return "unknown"
    return _named(likely, good, fair)


def _named(share: float, good: float, fair: float) -> Grade:
    return "good" if share >= good else "fair" if share >= fair else "poor"
