"""When fruit is ripe, and whether the summer was warm enough for it, season by season.

Warmth in the weeks after bloom sets the pace of the young fruit; from then on a cultivar ripens nearly by the calendar.
Fitted to the dated harvest lists of 23 places with the climate of each (median error of a list 3 days, mean 6); the
known heat of the first 40 to 60 days is what the literature finds too. Days alone would ripen every late cultivar on a
long cool coast, so the summer must bring a heat sum besides: with less fruit is sharp and keeps poorly, with much less
it never ripens.
"""

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.tables.parameters import figures
from domain.tree_year.bloom import full_bloom
from domain.tree_year.clock import SiteClock
from domain.tree_year.stages import FIGURES as MIDDLING


class RipeningFigures(msgspec.Struct, frozen=True):
    """How many days and how much warmth ripen fruit."""

    reference_days: float
    fruit_growth_days: float
    least_days_after_growth: float
    reference_heat_dd10: float
    heat_per_offset_day_dd10: float
    least_heat_dd10: float
    latest_bloom_day: float


FIGURES = figures("tree_year", "ripening", RipeningFigures)


def ripening_days(ripening_offset_days: Floats, bloom_offset_days: Floats) -> Floats:
    """Days from full bloom to first picking.

    Both offsets are from Golden Delicious: a cultivar that blooms late and ripens early needs fewer days.
    """
    days = FIGURES.reference_days + ripening_offset_days - bloom_offset_days
    needed: Floats = np.maximum(days, FIGURES.fruit_growth_days + FIGURES.least_days_after_growth).astype(np.float32)
    return needed


def first_ripe_day(clock: SiteClock, full_bloom: Floats, days: Floats) -> Floats:
    """Season day (cultivars, seasons) on which each cultivar is first ripe; UNREACHED where it never is."""
    grown = clock.fruit_growth.total_at(np.minimum(full_bloom, 500.0)) + np.float32(FIGURES.fruit_growth_days)
    set_fruit = np.minimum(clock.fruit_growth.day_reached(grown), 540.0)
    level = clock.ripening.total_at(set_fruit) + (days - np.float32(FIGURES.fruit_growth_days))[:, None]
    return clock.ripening.day_reached(level)


def heat_needed(ripening_offset_days: Floats, cooking_dd10: Floats) -> Floats:
    """Degree days above 10 C between bloom and the season's end with which fruit is ripe to eat in half of the years.

    cooking_dd10: what a cultivar that is cooked alone can do without (below 0). Fitted to where cultivars are grown.
    """
    need = FIGURES.reference_heat_dd10 + FIGURES.heat_per_offset_day_dd10 * ripening_offset_days + cooking_dd10
    needed: Floats = np.maximum(need, FIGURES.least_heat_dd10).astype(np.float32)
    return needed


def summer_heat(clock: SiteClock) -> Floats:
    """Degree days above 10 C (seasons,) from the bloom of an ordinary cultivar to the end of the season."""
    seasons = np.arange(clock.warmth.shape[0])
    usual_need = np.array([MIDDLING.middling_chill_portions], dtype=np.float32)
    bloom, _ = full_bloom(clock, usual_need, np.zeros(1, dtype=np.float32))
    usual = np.minimum(bloom[0], np.float32(FIGURES.latest_bloom_day)).astype(np.int32)
    until = clock.warmth[seasons, clock.last_ripening_day.astype(np.int32)]
    heat: Floats = np.maximum(until - clock.warmth[seasons, usual], 0.0)
    return heat
