"""Plausible years of daily minima and maxima from monthly normals.

Form: Richardson C. W., Stochastic simulation of daily precipitation, temperature, and solar radiation, Water Resources
Research 17(1):182-190, 1981: daily extremes are a smooth seasonal mean plus a standard deviation times a standardised
residual, in which minimum and maximum are a bivariate autoregression, shifted on wet days. Two things are added. A
slow residual that lasts weeks: without it months differ too little between years and a bad year in ten comes out too
good. A skewness of the minima near freezing, where cold outbreaks over snow reach further than mild spells.

How much a climate varies is read from its normals (domain/weather/variability.py).

The random numbers come from one fixed seed and are the same for every site: equal normals give equal years, and two
sites, or one site before and after warming, meet the same weather.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from domain.common.distributions import normal_quantile
from domain.common.season_days import SEASON_DAYS, YEAR_DAYS, day_of_year, season_start
from domain.weather.normals import MONTH_DAYS, MonthlyNormals
from domain.weather.variability import (
    SLOW_SHARE,
    SLOW_SHARE_IN_SUMMER,
    Variability,
    expected_variability,
    month_coldness,
    wet_day_share,
)

Floats = NDArray[np.float64]
Field = NDArray[np.float32]

SEED = 19_810_217

SLOW_DAYS = 25.0
"""Days over which the slow residual decays to 1/e."""
SAME_DAY = np.array([[1.0, 0.585], [0.585, 1.0]])
NEXT_DAY = np.array([[0.671, 0.403], [0.600, 0.667]])
"""Correlations of (maximum, minimum), rows today, with the same day's and the day before's, columns: means of eight
open daily series on four continents about their seasonal course. WGEN (Richardson and Wright, USDA ARS-8, 1984) has
0.62 and 0.67 on the diagonal and 0.63 for the same day."""
WET_PERSISTENCE = 0.5
"""Lag-one correlation of the normal variable whose low values are wet days: wet follows wet about as in WGEN."""
CENTRED_YEARS = 30
"""From this number of years on the sampling error of the mean is taken out of the years, date by date."""
LEAST_RANGE_C = 1.0
"""Smallest daily range: a maximum is never below its minimum."""


@dataclass(frozen=True)
class DailyWeather:
    """Daily weather of seasons, each from midsummer over 549 days (domain/common/season_days.py).

    Simulated seasons, and consecutive ones of records, are overlapping views of one continuous series.
    """

    south: bool
    latitude: float
    tmin_c: Field
    """(seasons, SEASON_DAYS)"""
    tmax_c: Field
    wet: NDArray[np.bool_] | None = None
    """Days with measurable rain, or None where rain is not known."""
    first_years: tuple[int, ...] | None = None
    """The calendar year in which each season of real records starts."""


@lru_cache(maxsize=1)
def _mean_preserving() -> Floats:
    """Matrix (365, 12): the smoothest daily cycle whose monthly means are given (least squared second differences)."""
    second = -2 * np.eye(YEAR_DAYS) + np.eye(YEAR_DAYS, k=1) + np.eye(YEAR_DAYS, k=-1)
    second[0, -1] = second[-1, 0] = 1
    averages = np.repeat(np.eye(12), MONTH_DAYS, axis=1) / MONTH_DAYS[:, None]
    system = np.block([[second.T @ second, averages.T], [averages, np.zeros((12, 12))]])
    right = np.vstack([np.zeros((YEAR_DAYS, 12)), np.eye(12)])
    matrix: Floats = np.linalg.solve(system, right)[:YEAR_DAYS]
    return matrix


def daily_cycle(monthly: NDArray[np.floating] | tuple[float, ...]) -> Floats:
    """Smooth yearly course (365,) from 1 January whose means over the months are exactly the twelve given."""
    return _mean_preserving() @ np.asarray(monthly, dtype=np.float64)


def season_days_of_year(south: bool) -> NDArray[np.intp]:
    """Day of the year, 0 to 364, of each season day."""
    return (day_of_year(season_start(south)) - 1 + np.arange(SEASON_DAYS)) % YEAR_DAYS


Scalar = TypeVar("Scalar", bound=np.generic)


def overlapping_seasons(series: NDArray[Scalar]) -> NDArray[Scalar]:
    """The seasons (seasons, SEASON_DAYS) of a continuous series that starts at a season start, as a read-only view."""
    return np.lib.stride_tricks.sliding_window_view(series, SEASON_DAYS)[::YEAR_DAYS]


def _autoregress(innovation: Floats, matrix: Floats) -> Floats:
    """x(t) = matrix x(t-1) + innovation(t) for columns t, by doubling: after k steps 2**k lags are in the sum."""
    series, power, lag = innovation.copy(), matrix, 1
    while np.abs(power).max() > 1e-7:
        series[:, lag:] += power @ series[:, :-lag].copy()
        power, lag = power @ power, 2 * lag
    return series


def fast_autoregression() -> tuple[Floats, Floats]:
    """Matrices A and B of the fast residual r(t) = A r(t-1) + B e(t), what is left once the slow one is taken out."""
    slow = SLOW_SHARE * (1 + SLOW_SHARE_IN_SUMMER) / 2
    same = (SAME_DAY - slow) / (1 - slow)
    following = (NEXT_DAY - slow * np.exp(-1 / SLOW_DAYS)) / (1 - slow)
    autoregression = following @ np.linalg.inv(same)
    return autoregression, np.linalg.cholesky(same - autoregression @ following.T)


@lru_cache(maxsize=4)
def _residuals(years: int, seed: int) -> tuple[Field, Field, Field, Field]:
    """Standard normal series of all days: fast tmax, fast tmin, slow, and the variable that makes days wet."""
    days = (years - 1) * YEAR_DAYS + SEASON_DAYS
    warm_up = 400
    noise = np.random.default_rng(seed).standard_normal((4, days + warm_up))
    autoregression, innovation = fast_autoregression()
    fast = _autoregress(innovation @ noise[:2], autoregression)
    slow = _autoregress(noise[2:3], np.array([[np.exp(-1 / SLOW_DAYS)]]))
    wet = _autoregress(noise[3:4], np.array([[WET_PERSISTENCE]]))
    series = np.vstack([fast, slow, wet])[:, warm_up:]
    if years >= CENTRED_YEARS:
        # Over many years each date has its own mean in the sample; without it the months keep the normals exactly.
        for day in range(YEAR_DAYS):
            series[:, day::YEAR_DAYS] -= series[:, day::YEAR_DAYS].mean(axis=1, keepdims=True)
    series /= series.std(axis=1, keepdims=True)
    tmax, tmin, lasting, wetness = series.astype(np.float32)
    return tmax, tmin, lasting, wetness


@lru_cache(maxsize=16)
def _wet_limit(chances: tuple[float, ...]) -> Field:
    """The deviates that stay below with these chances (365,); kept, since all climates of a fit share them."""
    return np.array([normal_quantile(chance) for chance in chances], dtype=np.float32)


def _skewed(residual: Field, bend: Field) -> Field:
    """A standardised residual bent by a parabola (mean 0 and variance 1 stay; skewness about 6 times the bend)."""
    result = (residual + bend * (residual**2 - 1)) / np.sqrt(1 + 2 * bend**2)
    return result.astype(np.float32, copy=False)


def simulate(
    normals: MonthlyNormals,
    latitude: float,
    years: int = 200,
    seed: int = SEED,
    variability: Variability | None = None,
) -> DailyWeather:
    """Simulate seasons of daily extremes whose long-term monthly means are the normals.

    latitude in degrees (south negative: seasons then start on 1 January); ``years`` seasons come back. Without a
    variability the one expected in such a climate is used. Days are wet or dry if the normals tell rain.
    """
    south = latitude < 0
    spread = expected_variability(normals, latitude) if variability is None else variability
    fast_max, fast_min, slow, wetness = _residuals(years, seed)
    days = (day_of_year(season_start(south)) - 1 + np.arange(len(slow))) % YEAR_DAYS

    def course(monthly: NDArray[np.floating] | tuple[float, ...]) -> Field:
        return daily_cycle(monthly).astype(np.float32)

    share = wet_day_share(normals)
    rain: Floats | None = None if share is None else np.clip(daily_cycle(share), 0.001, 0.999)
    wet = None
    if rain is not None:
        wet = wetness < _wet_limit(tuple(rain.tolist()))[days]

    def extremes(mean: tuple[float, ...], sd: Floats, wet_shift: Floats, bend: Field, fast: Field) -> Field:
        residual: Field = (sudden * fast + lasting * slow).astype(np.float32, copy=False)
        if bend.any():
            residual = _skewed(residual, bend[days])
        variance = course(sd) ** 2
        series = course(mean)[days]
        if rain is not None and wet is not None:
            shift, chance = course(wet_shift), rain.astype(np.float32)
            # The shift of wet days is part of the spread: what is left for the residual is less.
            variance = np.maximum(variance - chance * (1 - chance) * shift**2, 0.5 * variance)
            series += np.where(wet, (shift * (1 - chance))[days], (-shift * chance)[days])
        series += np.sqrt(variance)[days] * residual
        return series

    winter_part = SLOW_SHARE_IN_SUMMER + (1 - SLOW_SHARE_IN_SUMMER) * month_coldness(normals)
    slow_share = np.clip(course(spread.slow_share * winter_part), 0, 1)
    sudden, lasting = np.sqrt(1 - slow_share)[days], np.sqrt(slow_share)[days]
    bend = np.clip(course(spread.tmin_bend), -0.2, 0.2)
    tmin = extremes(normals.tmin_c, spread.tmin_sd_c, spread.tmin_wet_shift_c, bend, fast_min)
    tmax = extremes(
        normals.tmax_c, spread.tmax_sd_c, spread.tmax_wet_shift_c, np.zeros(YEAR_DAYS, np.float32), fast_max
    )
    short = np.maximum(np.float32(LEAST_RANGE_C) - (tmax - tmin), np.float32(0)) * np.float32(0.5)
    return DailyWeather(
        south=south,
        latitude=latitude,
        tmin_c=overlapping_seasons(tmin - short),
        tmax_c=overlapping_seasons(tmax + short),
        wet=None if wet is None else overlapping_seasons(wet),
    )
