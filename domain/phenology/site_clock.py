"""The clocks of a site: chill, spring heat and ripening heat as running totals of every season.

Built once for a site from its `Seasons`; everything that is asked of a cultivar there is then a look-up.
"""

from dataclasses import dataclass

import numpy as np

from domain.climate.seasons import Seasons
from domain.phenology.curves import Curve, Floats, running_total

FROZEN_DAY_PORTIONS = 0.5
"""Chill credited to a day whose mean is below freezing, in portions.

The Dynamic Model gives almost nothing at or below freezing, yet trees of continental winters come out of dormancy
without fail. Common practice, no source: cold winters are never short of chill, so frozen days must count; the figure
only has to be large enough that two frozen months make up for what the model leaves out.
"""

RIPENING_BASE_C = 4.0
RIPENING_SPAN_C = 14.0
"""A day at ``RIPENING_BASE_C`` or below ripens nothing; at ``RIPENING_BASE_C + RIPENING_SPAN_C`` a full day's worth."""

SEASON_END_FREEZE_C = -4.0
"""A night that kills the leaves and spoils hanging fruit; a lighter frost does not end ripening."""

SEASON_END_MEAN_C = 6.0
"""Below this mean over a fortnight nothing ripens further."""


@dataclass(frozen=True)
class SiteClock:
    """Running totals per season and the days on which the fruit season ends.

    chill: portions, frozen days credited. heat: growing degree hours. ripening: full ripening days.
    mean_c, tmax_c: (seasons, days) daily mean and maximum. last_ripening_day: (seasons,) season day.
    chill_total: (seasons,) portions of the whole dormant season, frozen days credited. chill_end: (seasons,) season
    day on which it is all but complete.
    """

    seasons: Seasons
    chill: Curve
    heat: Curve
    ripening: Curve
    mean_c: Floats
    chill_total: Floats
    chill_end: Floats
    last_ripening_day: Floats


def ripening_rate(mean_c: Floats) -> Floats:
    """Share of a full ripening day that a day of this mean temperature (C) gives, 0 to 1.

    Fruit growth and ripening run little faster at 25 C than at 18 C and slowly below 10 C; the straight ramp between
    two limits was checked on published dates of one cultivar in cool and hot places (tests/published).
    """
    rate: Floats = np.clip((mean_c - RIPENING_BASE_C) / RIPENING_SPAN_C, 0.0, 1.0)
    return rate


def site_clock(seasons: Seasons) -> SiteClock:
    """Build the clocks of a site."""
    weather = seasons.weather
    mean = ((weather.tmin_c + weather.tmax_c) * np.float32(0.5)).astype(np.float32)
    first_winter = np.zeros(mean.shape[1], dtype=bool)
    first_winter[60:330] = True
    frozen = (mean < 0.0) & first_winter
    chill_by_day = seasons.chill_portions_by_day + running_total(frozen * FROZEN_DAY_PORTIONS)
    chill = Curve.of(chill_by_day.astype(np.float32), 0.5)
    heat = Curve.of(seasons.growing_degree_hours_by_day, 100.0)
    ripening = Curve.of(running_total(ripening_rate(mean)), 1.0)
    total = chill.by_day[:, 330]
    chill_end = np.array(
        [np.searchsorted(row, 0.98 * last) for row, last in zip(chill.by_day, total, strict=True)], dtype=np.float32
    )
    return SiteClock(
        seasons=seasons,
        chill=chill,
        heat=heat,
        ripening=ripening,
        mean_c=mean,
        chill_total=total,
        chill_end=np.maximum(chill_end, 180.0),
        last_ripening_day=_last_ripening_day(weather.tmin_c, mean),
    )


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
