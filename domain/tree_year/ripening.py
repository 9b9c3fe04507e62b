"""When fruit is ripe, and whether the summer was warm enough for it, season by season.

From full bloom to first picking a cultivar takes a count of days of its own, and less where bloom comes late: each day
that bloom comes later than usual moves picking by about half a day only. That holds from one climate to another as from
one year to the next (an extension service tells its growers a day of picking for three days of bloom where late ones
are grown, more for the earliest: Iowa State University 2008). In the first days warmth sets the pace of the young
fruit; later only great heat holds ripening up. Days alone would ripen every late cultivar on a long cool coast, so the
summer must bring a heat sum besides: with less fruit is sharp and keeps poorly, with much less it never ripens. Fitted
to the dated lists of 160 places with the climate of each; the errors with each place left out stand in
tests/published/seasons.csv.
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
    days_per_offset_day: float
    usual_bloom_day: float
    days_sooner_per_day_later: float
    fruit_growth_days: float
    least_days_after_growth: float
    reference_heat_dd10: float
    heat_per_offset_day_dd10: float
    least_heat_dd10: float
    latest_bloom_day: float


FIGURES = figures("tree_year", "ripening", RipeningFigures)


def ripening_days(ripening_offset_days: Floats, bloom_offset_days: Floats) -> Floats:
    """Days from full bloom to first picking where bloom comes on the usual day.

    Both offsets are from Golden Delicious: a cultivar that blooms late and ripens early needs fewer days. What bloom
    itself takes back (`first_ripe_day`) is left out of the offset of bloom, so that it counts once.
    """
    own = (1.0 - FIGURES.days_sooner_per_day_later) * bloom_offset_days
    days = FIGURES.reference_days + FIGURES.days_per_offset_day * ripening_offset_days - own
    needed: Floats = np.maximum(days, FIGURES.fruit_growth_days + FIGURES.least_days_after_growth).astype(np.float32)
    return needed


def first_ripe_day(clock: SiteClock, full_bloom: Floats, days: Floats) -> Floats:
    """Season day (cultivars, seasons) on which each cultivar is first ripe; UNREACHED where it never is.

    full_bloom: (cultivars, seasons) season day. days: (cultivars,) as `ripening_days` tells them.
    """
    bloom = np.minimum(full_bloom, np.float32(500.0))
    grown = clock.fruit_growth.total_at(bloom) + np.float32(FIGURES.fruit_growth_days)
    set_fruit = np.minimum(clock.fruit_growth.day_reached(grown), 540.0)
    bloom -= np.float32(FIGURES.usual_bloom_day)
    bloom *= np.float32(-FIGURES.days_sooner_per_day_later)
    bloom += (days - np.float32(FIGURES.fruit_growth_days))[:, None]
    level = np.maximum(bloom, np.float32(FIGURES.least_days_after_growth), out=bloom)
    level += clock.ripening.total_at(set_fruit)
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
