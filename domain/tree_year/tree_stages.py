"""When an apple tree of the site is open to infection: green tip, bloom and fruit of a middling cultivar, year by year.

The tree stands for what is planted there: it blooms like Golden Delicious, on no more chill than half of what the site
brings. Bloom is that of domain/phenology; the rest is counted from it.
"""

from dataclasses import dataclass

import msgspec
import numpy as np

from domain.common.arrays import UNREACHED, Floats
from domain.tables.parameters import figures
from domain.tree_year.bloom import FIGURES as BLOOM
from domain.tree_year.bloom import bloom_days
from domain.tree_year.clock import SiteClock


class TreeStageFigures(msgspec.Struct, frozen=True):
    """The middling tree of a site, by whose stages infections are counted."""

    middling_chill_portions: float
    planted_chill_share: float
    green_tip_base_c: float
    green_tip_before_bloom_dd: float
    shortest_days: float
    longest_days: float
    fruit_days: float
    no_bloom_day: float
    no_bloom_first_days: float
    no_bloom_end_days: float


FIGURES = figures("tree_year", "tree_stages", TreeStageFigures)


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
    need = min(FIGURES.middling_chill_portions, FIGURES.planted_chill_share * float(np.median(clock.chill_total)))
    one = np.ones(1, dtype=np.float32)
    bloom = bloom_days(clock, one * np.float32(need), 0.0 * one, BLOOM.reference_length_days * one)
    reached = bloom.full[0] < UNREACHED

    def in_all_years(day: Floats, otherwise: float) -> Floats:
        usual = float(np.median(day[0][reached])) if reached.any() else otherwise
        filled: Floats = np.where(reached, day[0], usual).astype(np.float32)
        return filled

    full = in_all_years(bloom.full, FIGURES.no_bloom_day)
    return TreeStages(
        green_tip=_green_tip(clock, full),
        first_bloom=in_all_years(bloom.first, FIGURES.no_bloom_day - FIGURES.no_bloom_first_days),
        full_bloom=full,
        petal_fall=in_all_years(bloom.end, FIGURES.no_bloom_day + FIGURES.no_bloom_end_days),
        picking=full + np.float32(FIGURES.fruit_days),
    )


def _green_tip(clock: SiteClock, full_bloom: Floats) -> Floats:
    """The last day so many degree days before bloom (years,)."""
    warmth = np.cumsum(np.maximum(clock.mean_c - np.float32(FIGURES.green_tip_base_c), 0.0), axis=1)
    at_bloom = np.take_along_axis(warmth, np.round(full_bloom).astype(np.intp)[:, None], axis=1)
    day: Floats = (warmth < at_bloom - np.float32(FIGURES.green_tip_before_bloom_dd)).sum(axis=1).astype(np.float32)
    within: Floats = np.clip(day, full_bloom - FIGURES.longest_days, full_bloom - FIGURES.shortest_days).astype(
        np.float32
    )
    return within
