"""The clocks of a site: chill, spring heat and ripening heat as running totals of every season.

Built once for a site from its `Seasons`; everything that is asked of a cultivar there is then a look-up.
"""

from dataclasses import dataclass

import msgspec
import numpy as np

from domain.common.arrays import Floats, running_total
from domain.common.season_days import FIRST_WINTER
from domain.tables.parameters import figures
from domain.tree_year.curves import Curve, PlainCurve
from domain.weather.seasons import Quantity, Seasons


class ClockFigures(msgspec.Struct, frozen=True):
    """What of a season chills, ripens and ends the fruit."""

    frozen_day_portions: float
    chill_all_but_share: float
    chill_end_own_share: float
    earliest_chill_end: float
    fruit_set_base_c: float
    fruit_set_span_c: float
    fruit_set_top: float
    ripening_base_c: float
    ripening_span_c: float
    ripening_heat_c: float
    ripening_lost_per_c: float
    warmth_base_c: float
    season_end_freeze_c: float
    season_end_mean_c: float


FIGURES = figures("tree_year", "clock", ClockFigures)


CLOCK_QUANTITIES: tuple[Quantity, ...] = ("chill_portions", "growing_degree_hours")
"""What the clocks read of the hours."""


@dataclass(frozen=True)
class BloomClock:
    """The running totals per season by which trees bloom.

    chill: portions, frozen days credited. heat: growing degree hours. mean_c: (seasons, days) daily mean.
    chill_total: (seasons,) portions of the whole dormant season, frozen days credited. chill_end: (seasons,) season
    day on which it is all but complete. bloom_shift_days: what is added to the day of bloom, as seen at the site.
    """

    seasons: Seasons
    mean_c: Floats
    chill: Curve | PlainCurve
    heat: Curve | PlainCurve
    chill_total: Floats
    chill_end: Floats
    bloom_shift_days: float


@dataclass(frozen=True)
class SiteClock(BloomClock):
    """The running totals per season of bloom and fruit, and the days on which the fruit season ends.

    fruit_growth, ripening: days at full rate of the young and of the ripening fruit. warmth: degree days above 10 C.
    last_ripening_day: (seasons,) season day.
    """

    fruit_growth: Curve
    ripening: Curve
    warmth: Floats
    last_ripening_day: Floats


def fruit_growth_rate(mean_c: Floats) -> Floats:
    """Growth of the young fruit on a day of this mean temperature (C), in days of 16 C."""
    rate: Floats = np.clip((mean_c - FIGURES.fruit_set_base_c) / FIGURES.fruit_set_span_c, 0.0, FIGURES.fruit_set_top)
    return rate


def ripening_rate(mean_c: Floats) -> Floats:
    """Share of a full ripening day that a day of this mean temperature (C) gives, 0 to 1: less in cold and in heat."""
    rate: Floats = np.clip((mean_c - FIGURES.ripening_base_c) / FIGURES.ripening_span_c, 0.0, 1.0)
    rate *= np.clip(1.0 - FIGURES.ripening_lost_per_c * (mean_c - FIGURES.ripening_heat_c), 0.0, 1.0)
    return rate


def plain_bloom_clock(seasons: Seasons, climates: int) -> BloomClock:
    """The clocks of bloom of the seasons of several climates, one after another, for few questions."""
    chill = _chill_by_day(seasons, _mean(seasons))
    total = chill[:, FIRST_WINTER.stop]
    return BloomClock(
        seasons=seasons,
        mean_c=_mean(seasons),
        chill=PlainCurve(chill),
        heat=PlainCurve(seasons.growing_degree_hours_by_day),
        chill_total=total,
        chill_end=_chill_end(chill, total, climates),
        bloom_shift_days=0.0,
    )


def _mean(seasons: Seasons) -> Floats:
    weather = seasons.weather
    mean: Floats = ((weather.tmin_c + weather.tmax_c) * np.float32(0.5)).astype(np.float32)
    return mean


def _chill_by_day(seasons: Seasons, mean: Floats) -> Floats:
    """Portions by day, frozen days credited."""
    first_winter = np.zeros(mean.shape[1], dtype=bool)
    first_winter[FIRST_WINTER] = True
    frozen = (mean < 0.0) & first_winter
    by_day: Floats = seasons.chill_portions_by_day + running_total(frozen * FIGURES.frozen_day_portions)
    return by_day.astype(np.float32)


def bloom_clock(seasons: Seasons, bloom_shift_days: float = 0.0) -> BloomClock:
    """Build the clocks of bloom; bloom_shift_days is added to every bloom."""
    seasons.read(*CLOCK_QUANTITIES)
    mean = _mean(seasons)
    chill = Curve.of(_chill_by_day(seasons, mean), 0.5)
    total = chill.by_day[:, FIRST_WINTER.stop]
    return BloomClock(
        seasons=seasons,
        mean_c=mean,
        chill=chill,
        heat=Curve.of(seasons.growing_degree_hours_by_day, 100.0),
        chill_total=total,
        chill_end=_chill_end(chill.by_day, total),
        bloom_shift_days=bloom_shift_days,
    )


def site_clock(seasons: Seasons, bloom_shift_days: float = 0.0) -> SiteClock:
    """Build the clocks of a site; bloom_shift_days is added to every bloom."""
    bloom = bloom_clock(seasons, bloom_shift_days)
    mean = bloom.mean_c
    return SiteClock(
        **vars(bloom),
        fruit_growth=Curve.of(running_total(fruit_growth_rate(mean)), 1.0),
        ripening=Curve.of(running_total(ripening_rate(mean)), 1.0),
        warmth=running_total(np.maximum(mean - FIGURES.warmth_base_c, 0.0)),
        last_ripening_day=_last_ripening_day(seasons.weather.tmin_c, mean),
    )


def _chill_end(portions_by_day: Floats, total: Floats, climates: int = 1) -> Floats:
    """Season day (seasons,) by which chill is all but complete and even buds short of it begin to take up heat.

    climates: so many, one after another, of as many seasons each.
    """
    own = (portions_by_day < (FIGURES.chill_all_but_share * total)[:, None]).sum(axis=1).astype(np.float32)
    usual = np.repeat(np.median(own.reshape(climates, -1), axis=1), len(own) // climates)
    end: Floats = np.maximum(
        usual + FIGURES.chill_end_own_share * (own - usual), np.float32(FIGURES.earliest_chill_end)
    )
    return end.astype(np.float32)


def _last_ripening_day(tmin_c: Floats, mean_c: Floats) -> Floats:
    """First season day after the second midsummer on which ripening is over: a hard freeze, or a cold fortnight."""
    midsummer = 365 + 15
    fortnight = np.cumsum(mean_c, axis=1, dtype=np.float64)
    running = np.full_like(mean_c, 99.0)
    running[:, 14:] = ((fortnight[:, 14:] - fortnight[:, :-14]) / 14.0).astype(np.float32)
    over = (tmin_c <= FIGURES.season_end_freeze_c) | (running <= FIGURES.season_end_mean_c)
    over[:, :midsummer] = False
    over[:, -1] = True
    last: Floats = np.argmax(over, axis=1).astype(np.float32)
    return last
