"""When fruit is ripe, and whether the summer was warm enough for it, season by season.

Warmth in the weeks after bloom sets the pace of the young fruit; from then on a cultivar ripens nearly by the calendar.
Fitted to the dated harvest lists of 23 places with the climate of each (median error of a list 3 days, mean 6); the
known heat of the first 40 to 60 days is what the literature finds too. Days alone would ripen every late cultivar on a
long cool coast, so the summer must bring a heat sum besides.
"""

import numpy as np

from domain.tree_year.bloom import full_bloom
from domain.tree_year.clock import SiteClock
from domain.tree_year.curves import Floats

GOLDEN_DELICIOUS_DAYS = 144.0
"""Days from full bloom to first picking of Golden Delicious where spring is at 16 C; fitted."""

FRUIT_GROWTH_DAYS = 30.0
"""The first of these days, which run with the warmth."""

GOLDEN_DELICIOUS_HEAT_DD10 = 800.0
HEAT_PER_OFFSET_DAY_DD10 = 14.0
"""Degree days above 10 C from bloom to the end of the season with which Golden Delicious ripens properly in half of the
years, and how many more a cultivar takes for each day that it ripens later. Common practice, no source: it is hardly
worth growing in western Washington or Scotland (about 800), Granny Smith and Cripps Pink not in England (900)."""

LEAST_HEAT_DD10 = 250.0

USUAL_CHILL_NEED, USUAL_POSITION = np.array([45.0], dtype=np.float32), np.array([0.0], dtype=np.float32)
LATEST_BLOOM_DAY = np.float32(365.0)
"""Where nothing blooms by midsummer, heat is counted from then."""


def ripening_days(ripening_offset_days: Floats, bloom_offset_days: Floats) -> Floats:
    """Days from full bloom to first picking.

    Both offsets are from Golden Delicious: a cultivar that blooms late and ripens early needs fewer days.
    """
    days = GOLDEN_DELICIOUS_DAYS + ripening_offset_days - bloom_offset_days
    needed: Floats = np.maximum(days, FRUIT_GROWTH_DAYS + 25.0).astype(np.float32)
    return needed


def first_ripe_day(clock: SiteClock, full_bloom: Floats, days: Floats) -> Floats:
    """Season day (cultivars, seasons) on which each cultivar is first ripe; UNREACHED where it never is."""
    grown = clock.fruit_growth.total_at(np.minimum(full_bloom, 500.0)) + np.float32(FRUIT_GROWTH_DAYS)
    set_fruit = np.minimum(clock.fruit_growth.day_reached(grown), 540.0)
    level = clock.ripening.total_at(set_fruit) + (days - np.float32(FRUIT_GROWTH_DAYS))[:, None]
    return clock.ripening.day_reached(level)


def heat_needed(ripening_offset_days: Floats, origin_dd10: Floats) -> Floats:
    """Degree days above 10 C between bloom and the season's end that ripen a cultivar in half of the years.

    origin_dd10: what its origin in a cool or a warm country takes from that or adds.
    """
    need = GOLDEN_DELICIOUS_HEAT_DD10 + HEAT_PER_OFFSET_DAY_DD10 * ripening_offset_days + origin_dd10
    needed: Floats = np.maximum(need, LEAST_HEAT_DD10).astype(np.float32)
    return needed


def summer_heat(clock: SiteClock) -> Floats:
    """Degree days above 10 C (seasons,) from the bloom of an ordinary cultivar to the end of the season."""
    seasons = np.arange(clock.warmth.shape[0])
    bloom, _ = full_bloom(clock, USUAL_CHILL_NEED, USUAL_POSITION)
    usual = np.minimum(bloom[0], LATEST_BLOOM_DAY).astype(np.int32)
    until = clock.warmth[seasons, clock.last_ripening_day.astype(np.int32)]
    heat: Floats = np.maximum(until - clock.warmth[seasons, usual], 0.0)
    return heat
