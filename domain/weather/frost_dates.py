"""Last spring and first autumn frost: dates by season, their quantiles, and the chance of a year without.

A frost is a daily minimum at or below a threshold. The year is cut at midsummer, the first day of a season: the last
frost of a season is the last of its first 365 days, the first frost the first of them. In a warm place either may fall
in mid-winter, or a season may have none: dates are then missing (NaN), and a quantile counts such a season as one whose
frosts ended before, or began after, any date (the mixed distribution of NOAA's freeze normals).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import YEAR_DAYS
from domain.weather.weather_generator import DailyWeather

Days = NDArray[np.float64]


@dataclass(frozen=True)
class FrostDates:
    """Season days of the last spring or first autumn frost; None where that quantile of the years has no frost."""

    threshold_c: float
    tenth_percentile: float | None
    median: float | None
    ninetieth_percentile: float | None
    frost_free_share: float
    """Share of seasons without any frost, 0 to 1."""


def last_spring_frost_days(weather: DailyWeather, threshold_c: float = 0.0) -> Days:
    """Season day of the last frost of each season (seasons,), NaN without frost."""
    frost = weather.tmin_c[:, :YEAR_DAYS] <= threshold_c
    last = YEAR_DAYS - 1 - np.argmax(frost[:, ::-1], axis=1)
    return np.where(frost.any(axis=1), last, np.nan)


def first_autumn_frost_days(weather: DailyWeather, threshold_c: float = 0.0, from_day: int = 0) -> Days:
    """Season day of the first frost on or after a season day (seasons,), NaN if none in the 365 days that follow.

    ``from_day=0`` gives the autumn before the winter; ``from_day=365`` the autumn after the harvest, as far as the
    season reaches (to the end of the calendar year).
    """
    frost = weather.tmin_c[:, from_day : from_day + YEAR_DAYS] <= threshold_c
    return np.where(frost.any(axis=1), from_day + np.argmax(frost, axis=1), np.nan)


def last_spring_frost(weather: DailyWeather, threshold_c: float = 0.0) -> FrostDates:
    """Dates of the last frost in spring; the ninetieth percentile is passed by a later frost one year in ten."""
    days = last_spring_frost_days(weather, threshold_c)
    return _summary(days, np.where(np.isnan(days), -np.inf, days), threshold_c)


def first_autumn_frost(weather: DailyWeather, threshold_c: float = 0.0) -> FrostDates:
    """Dates of the first frost in autumn; the tenth percentile is preceded by an earlier frost one year in ten."""
    days = first_autumn_frost_days(weather, threshold_c)
    return _summary(days, np.where(np.isnan(days), np.inf, days), threshold_c)


def _summary(days: Days, ordered: Days, threshold_c: float) -> FrostDates:
    # The nearest order statistic: an interpolation between a date and "never" has no meaning.
    low, middle, high = np.quantile(ordered, [0.1, 0.5, 0.9], method="inverted_cdf")

    def date(value: float) -> float | None:
        return float(value) if np.isfinite(value) else None

    return FrostDates(threshold_c, date(low), date(middle), date(high), float(np.isnan(days).mean()))
