"""Plausible years of daily minima and maxima from monthly normals.

Form: Richardson C. W., Stochastic simulation of daily precipitation, temperature, and solar radiation, Water Resources
Research 17(1):182-190, 1981: daily extremes are a smooth seasonal mean plus a standard deviation times a standardised
residual, in which minimum and maximum are a bivariate autoregression, shifted on wet days. To it is added a slow
residual that lasts weeks: without it months differ too little between years and a bad year in ten comes out too good.

The random numbers come from one fixed seed and are the same for every site: equal normals give equal years, and two
sites, or one site before and after warming, meet the same weather.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from domain.climate.normals import MonthlyNormals
from domain.season_calendar import SEASON_DAYS, YEAR_DAYS, day_of_year, season_start

Floats = NDArray[np.float64]
Field = NDArray[np.float32]

MONTH_DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
SEED = 19_810_217

# Autoregression of (tmax, tmin), rows, of Richardson and Wright, WGEN, USDA ARS-8, 1984 (without radiation).
AUTOREGRESSION = np.array([[0.567, 0.086], [0.253, 0.504]])
INNOVATION = np.array([[0.781, 0.0], [0.328, 0.637]])
SLOW_DAYS = 25.0
"""Days over which the slow residual decays to 1/e."""


@dataclass(frozen=True)
class Variability:
    """How daily extremes vary about their seasonal mean, by month (12,), January first."""

    tmin_sd_c: Floats
    tmax_sd_c: Floats
    slow_share: float
    """Share of the variance that lasts weeks."""


@dataclass(frozen=True)
class DailyWeather:
    """Daily weather of seasons, each from midsummer over 549 days (domain/season_calendar.py).

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


def _autoregress(innovation: Floats, matrix: Floats) -> Floats:
    """x(t) = matrix x(t-1) + innovation(t) for columns t, by doubling: after k steps 2**k lags are in the sum."""
    series, power, lag = innovation.copy(), matrix, 1
    while np.abs(power).max() > 1e-7:
        series[:, lag:] += power @ series[:, :-lag].copy()
        power, lag = power @ power, 2 * lag
    return series


@lru_cache(maxsize=2)
def _residuals(years: int, seed: int) -> tuple[Field, Field, Field, Field]:
    """Standard normal series of years: fast tmax, fast tmin, slow, and the latent series of wet days."""
    days = (years - 1) * YEAR_DAYS + SEASON_DAYS
    warm_up = 400
    noise = np.random.default_rng(seed).standard_normal((4, days + warm_up))
    fast = _autoregress(INNOVATION @ noise[:2], AUTOREGRESSION)
    keep = np.exp(-1 / SLOW_DAYS)
    slow = _autoregress(np.sqrt(1 - keep**2) * noise[2:3], np.array([[keep]]))
    latent = _autoregress(np.sqrt(1 - 0.5**2) * noise[3:4], np.array([[0.5]]))
    series = np.vstack([fast, slow, latent])[:, warm_up:]
    series /= series.std(axis=1, keepdims=True)
    fields = series.astype(np.float32)
    return fields[0], fields[1], fields[2], fields[3]


def expected_variability(normals: MonthlyNormals, latitude: float) -> Variability:
    """Spread expected in a climate, from its normals (first approximation)."""
    tmin, tmax = np.array(normals.tmin_c), np.array(normals.tmax_c)
    mean = (tmin + tmax) / 2
    amplitude = mean.max() - mean.min()
    cold = np.clip((mean.max() - mean) / max(amplitude, 5.0), 0, 1)
    sd = 1.8 + 0.06 * amplitude + 0.11 * amplitude * cold
    return Variability(tmin_sd_c=sd, tmax_sd_c=sd, slow_share=0.2)


def simulate(
    normals: MonthlyNormals,
    latitude: float,
    years: int = 200,
    seed: int = SEED,
    variability: Variability | None = None,
) -> DailyWeather:
    """Seasons of daily extremes whose long-term monthly means are the normals."""
    south = latitude < 0
    spread = expected_variability(normals, latitude) if variability is None else variability
    fast_max, fast_min, slow, _latent = _residuals(years, seed)
    first = day_of_year(season_start(south)) - 1
    days = (first + np.arange(len(slow))) % YEAR_DAYS
    sudden, lasting = np.sqrt(1 - spread.slow_share), np.sqrt(spread.slow_share)

    def daily(mean: tuple[float, ...], sd: Floats, fast: Field) -> Field:
        residual = np.float32(sudden) * fast + np.float32(lasting) * slow
        course = daily_cycle(mean).astype(np.float32)[days]
        series: Field = course + daily_cycle(sd).astype(np.float32)[days] * residual
        return series

    tmin = daily(normals.tmin_c, spread.tmin_sd_c, fast_min)
    tmax = daily(normals.tmax_c, spread.tmax_sd_c, fast_max)
    middle: Field = np.float32(0.5) * (tmin + tmax)
    half: Field = np.maximum(np.float32(0.5) * (tmax - tmin), np.float32(0.5))
    return DailyWeather(
        south=south,
        latitude=latitude,
        tmin_c=overlapping_seasons(middle - half),
        tmax_c=overlapping_seasons(middle + half),
    )


def overlapping_seasons(series: Field) -> Field:
    """The seasons (seasons, SEASON_DAYS) of a continuous series that starts at a season start, as a read-only view."""
    view: Field = np.lib.stride_tricks.sliding_window_view(series, SEASON_DAYS)[::YEAR_DAYS]
    return view
