"""When an apple tree of the site is open to infection: green tip, bloom and fruit of a middling cultivar, year by year.

The tree stands for what is planted there: it blooms like Golden Delicious, on no more chill than half of what the site
brings. Bloom is that of domain/phenology; the rest is counted from it.
"""

from dataclasses import dataclass

import numpy as np

from domain.tree_year.bloom import bloom_days
from domain.tree_year.clock import SiteClock
from domain.tree_year.curves import UNREACHED, Floats

MIDDLING_CHILL_PORTIONS = 45.0
PLANTED_CHILL_SHARE = 0.5
"""Growers of mild winters plant what needs at most this share of the usual chill; common practice, no source."""

GREEN_TIP_BASE_C = 6.1
GREEN_TIP_BEFORE_BLOOM_DD = 145.0
"""Degree days (C) above 43 F from green tip to full bloom: in a Michigan spring the 27 to 31 days that McIntosh took at
Sparta since 1976 (Michigan State University Extension, Apple growth stages for Peach Ridge area, 2014). From green tip
to pink McIntosh takes about 100 (University of Massachusetts, Healthy Fruit 2018 and 2019)."""
SHORTEST_DAYS, LONGEST_DAYS = 17.0, 50.0
"""Days from green tip to full bloom in the fastest and the slowest spring: 17 and 50 at Sparta since 1976."""

FRUIT_DAYS = 135.0
"""Days from full bloom to the picking of a middling cultivar; common practice, no source."""

NO_BLOOM_DAY = 300.0
"""Season day taken for full bloom where a site brings none at all: late April."""


@dataclass(frozen=True)
class TreeStages:
    """Season days (years,) of the stages of a middling cultivar."""

    green_tip: Floats
    first_bloom: Floats
    full_bloom: Floats
    petal_fall: Floats
    picking: Floats


def tree_stages(clock: SiteClock) -> TreeStages:
    """Stages of the middling tree in every year; a year in which it does not bloom takes the median of the others."""
    need = min(MIDDLING_CHILL_PORTIONS, PLANTED_CHILL_SHARE * float(np.median(clock.chill_total)))
    one = np.ones(1, dtype=np.float32)
    bloom = bloom_days(clock, one * np.float32(need), 0.0 * one, 13.0 * one)
    reached = bloom.full[0] < UNREACHED

    def in_all_years(day: Floats, otherwise: float) -> Floats:
        usual = float(np.median(day[0][reached])) if reached.any() else otherwise
        filled: Floats = np.where(reached, day[0], usual).astype(np.float32)
        return filled

    full = in_all_years(bloom.full, NO_BLOOM_DAY)
    return TreeStages(
        green_tip=_green_tip(clock, full),
        first_bloom=in_all_years(bloom.first, NO_BLOOM_DAY - 5.0),
        full_bloom=full,
        petal_fall=in_all_years(bloom.end, NO_BLOOM_DAY + 10.0),
        picking=full + np.float32(FRUIT_DAYS),
    )


def _green_tip(clock: SiteClock, full_bloom: Floats) -> Floats:
    """The last day so many degree days before bloom (years,)."""
    warmth = np.cumsum(np.maximum(clock.mean_c - np.float32(GREEN_TIP_BASE_C), 0.0), axis=1)
    at_bloom = np.take_along_axis(warmth, np.round(full_bloom).astype(np.intp)[:, None], axis=1)
    day: Floats = (warmth < at_bloom - np.float32(GREEN_TIP_BEFORE_BLOOM_DD)).sum(axis=1).astype(np.float32)
    within: Floats = np.clip(day, full_bloom - LONGEST_DAYS, full_bloom - SHORTEST_DAYS).astype(np.float32)
    return within
