"""The clocks of a site: chill, spring heat and ripening heat as running totals of every season.

Built once for a site from its `Seasons`; everything that is asked of a cultivar there is then a look-up.
"""

from dataclasses import dataclass

import numpy as np

from domain.tree_year.curves import Curve, Floats, running_total
from domain.weather.seasons import Seasons

FROZEN_DAY_PORTIONS = 0.5
"""Chill credited to a day whose mean is below freezing, in portions.

The Dynamic Model gives almost nothing at or below freezing, yet trees of continental winters come out of dormancy
without fail. Common practice, no source: cold winters are never short of chill, so frozen days must count; the figure
only has to be large enough that two frozen months make up for what the model leaves out.
"""

CHILL_ALL_BUT_SHARE, CHILL_END_OWN_SHARE, EARLIEST_CHILL_END = 0.95, 0.5, 180.0
"""Share of a season's chill with which buds still short of it begin to open, and how far that day follows the season
rather than the usual one. Set on bloom of mild winters: Golden Delicious at Meknes in the middle of April, its years
6.7 days apart (Luedeling et al. 2024, data file, 1986-2014), Castel Gala three weeks before Gala in Santa Catarina
(Denardi and Seccon, abstract), Anna, Dorsett Golden and Tropic Sweet together in northern Florida (UF/IFAS, Apples)."""

FRUIT_SET_BASE_C, FRUIT_SET_SPAN_C, FRUIT_SET_TOP = 6.0, 10.0, 1.6
"""Young fruit grows with the warmth above the base; a day at base plus span counts one, a hot day up to the top."""

RIPENING_BASE_C, RIPENING_SPAN_C = 2.0, 6.0
"""Later on a day at base plus span or warmer counts one: from there on fruit ripens by the calendar."""

WARMTH_BASE_C = 10.0

SEASON_END_FREEZE_C = -4.0
"""A night that kills the leaves and spoils hanging fruit; a lighter frost does not end ripening."""

SEASON_END_MEAN_C = 5.0
"""Below this mean over a fortnight nothing ripens further."""


@dataclass(frozen=True)
class SiteClock:
    """Running totals per season and the days on which the fruit season ends.

    chill: portions, frozen days credited. heat: growing degree hours. fruit_growth, ripening: days at full rate of
    the young and of the ripening fruit. warmth: degree days above 10 C.
    mean_c, tmax_c: (seasons, days) daily mean and maximum. last_ripening_day: (seasons,) season day.
    chill_total: (seasons,) portions of the whole dormant season, frozen days credited. chill_end: (seasons,) season
    day on which it is all but complete. bloom_shift_days: what is added to the day of bloom, as seen at the site.
    """

    seasons: Seasons
    chill: Curve
    heat: Curve
    fruit_growth: Curve
    ripening: Curve
    warmth: Floats
    mean_c: Floats
    chill_total: Floats
    chill_end: Floats
    last_ripening_day: Floats
    bloom_shift_days: float = 0.0


def fruit_growth_rate(mean_c: Floats) -> Floats:
    """Growth of the young fruit on a day of this mean temperature (C), in days of 16 C."""
    rate: Floats = np.clip((mean_c - FRUIT_SET_BASE_C) / FRUIT_SET_SPAN_C, 0.0, FRUIT_SET_TOP)
    return rate


def ripening_rate(mean_c: Floats) -> Floats:
    """Share of a full ripening day that a day of this mean temperature (C) gives, 0 to 1."""
    rate: Floats = np.clip((mean_c - RIPENING_BASE_C) / RIPENING_SPAN_C, 0.0, 1.0)
    return rate


def site_clock(seasons: Seasons, bloom_shift_days: float = 0.0) -> SiteClock:
    """Build the clocks of a site; bloom_shift_days is added to every bloom."""
    weather = seasons.weather
    mean = ((weather.tmin_c + weather.tmax_c) * np.float32(0.5)).astype(np.float32)
    first_winter = np.zeros(mean.shape[1], dtype=bool)
    first_winter[60:330] = True
    frozen = (mean < 0.0) & first_winter
    chill_by_day = seasons.chill_portions_by_day + running_total(frozen * FROZEN_DAY_PORTIONS)
    chill = Curve.of(chill_by_day.astype(np.float32), 0.5)
    heat = Curve.of(seasons.growing_degree_hours_by_day, 100.0)
    fruit_growth = Curve.of(running_total(fruit_growth_rate(mean)), 1.0)
    ripening = Curve.of(running_total(ripening_rate(mean)), 1.0)
    total = chill.by_day[:, 330]
    return SiteClock(
        seasons=seasons,
        chill=chill,
        heat=heat,
        fruit_growth=fruit_growth,
        ripening=ripening,
        warmth=running_total(np.maximum(mean - WARMTH_BASE_C, 0.0)),
        mean_c=mean,
        chill_total=total,
        chill_end=_chill_end(chill.by_day, total),
        last_ripening_day=_last_ripening_day(weather.tmin_c, mean),
        bloom_shift_days=bloom_shift_days,
    )


def _chill_end(portions_by_day: Floats, total: Floats) -> Floats:
    """Season day (seasons,) by which chill is all but complete and even buds short of it begin to take up heat."""
    reached = [
        np.searchsorted(row, CHILL_ALL_BUT_SHARE * last) for row, last in zip(portions_by_day, total, strict=True)
    ]
    own = np.array(reached, dtype=np.float32)
    usual = np.median(own)
    end: Floats = np.maximum(usual + CHILL_END_OWN_SHARE * (own - usual), np.float32(EARLIEST_CHILL_END))
    return end.astype(np.float32)


def _last_ripening_day(tmin_c: Floats, mean_c: Floats) -> Floats:
    """First season day after the second midsummer on which ripening is over: a hard freeze, or a cold fortnight."""
    midsummer = 365 + 15
    fortnight = np.cumsum(mean_c, axis=1, dtype=np.float64)
    running = np.full_like(mean_c, 99.0)
    running[:, 14:] = ((fortnight[:, 14:] - fortnight[:, :-14]) / 14.0).astype(np.float32)
    over = (tmin_c <= SEASON_END_FREEZE_C) | (running <= SEASON_END_MEAN_C)
    over[:, :midsummer] = False
    over[:, -1] = True
    last: Floats = np.argmax(over, axis=1).astype(np.float32)
    return last
