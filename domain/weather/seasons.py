"""What the seasons of a site bring: chill, heat and cold of each, computed once and read many times.

One pass over the hours of all seasons, in blocks of days so that memory stays bounded; the results are kept by day.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import SEASON_DAYS, YEAR_DAYS, season_day
from domain.weather import chill, heat
from domain.weather.hourly import hour_weights, hourly_temperatures
from domain.weather.weather_generator import DailyWeather, season_days_of_year

Field = NDArray[np.float32]
Measure = Literal["hours_below_7_2c", "hours_0_to_7_2c", "utah_units", "chill_portions"]
MEASURES: tuple[Measure, ...] = ("hours_below_7_2c", "hours_0_to_7_2c", "utah_units", "chill_portions")

DORMANCY_FROM = {False: "10-01", True: "04-01"}
DORMANCY_TO = {False: "05-31", True: "11-30"}
"""First and last day of the one window in which chill is compared, by hemisphere (south True)."""

_BLOCK_DAYS = 8


@dataclass(frozen=True)
class Seasons:
    """The seasons of a site; all by-day arrays (seasons, SEASON_DAYS), cumulative to the end of the season day."""

    weather: DailyWeather
    chill_portions_by_day: Field
    """Portions since the start of dormancy (1 October north, 1 April south), constant after 31 May or 30 November."""
    growing_degree_hours_by_day: Field
    """Growing degree hours (ASYMCUR) since season day 0."""
    hours_below_7_2c_by_day: Field
    """Hours since season day 0, as the two below."""
    hours_0_to_7_2c_by_day: Field
    utah_units_by_day: Field

    @property
    def mean_temperature_c(self) -> Field:
        """Mean of the day's extremes (seasons, SEASON_DAYS)."""
        middle: Field = np.float32(0.5) * (self.weather.tmin_c + self.weather.tmax_c)
        return middle

    @property
    def winter_minimum_c(self) -> Field:
        """Lowest temperature of each season's winter (seasons,): of the year that begins at midsummer."""
        lowest: Field = self.weather.tmin_c[:, :YEAR_DAYS].min(axis=1)
        return lowest

    def chill_totals(self, counted_from: str, counted_to: str) -> dict[Measure, NDArray[np.float64]]:
        """Chill of each season (seasons,) in every measure over a window of dates ``MM-DD``, both days counted.

        Portions are counted afresh from the first day (an empty intermediate product). ValueError for a bad date or a
        window that does not end within the season.
        """
        first, last = window_days(self.weather.south, counted_from, counted_to)
        return {
            "hours_below_7_2c": _between(self.hours_below_7_2c_by_day, first, last),
            "hours_0_to_7_2c": _between(self.hours_0_to_7_2c_by_day, first, last),
            "utah_units": _between(self.utah_units_by_day, first, last),
            "chill_portions": self._portions(first, last),
        }

    def _portions(self, first: int, last: int) -> NDArray[np.float64]:
        dormancy = dormancy_days(self.weather.south)
        if first == dormancy[0] and last <= dormancy[1]:
            return self.chill_portions_by_day[:, last].astype(np.float64)
        counter = chill.PortionCounter((len(self.weather.tmin_c),))
        total = np.zeros(len(self.weather.tmin_c))
        for _, hours in _blocks(self.weather, first, last + 1):
            total += counter.add(hours.reshape(-1, hours.shape[-1]))
        return total


def window_days(south: bool, counted_from: str, counted_to: str) -> tuple[int, int]:
    """Season days of the first and last day of a window of dates."""
    first = season_day(counted_from, south)
    return first, season_day(counted_to, south, not_before=first)


def dormancy_days(south: bool) -> tuple[int, int]:
    """Season days of the first and last day of the dormant season."""
    return window_days(south, DORMANCY_FROM[south], DORMANCY_TO[south])


def _between(cumulative: Field, first: int, last: int) -> NDArray[np.float64]:
    total = cumulative[:, last].astype(np.float64)
    return total - cumulative[:, first - 1] if first else total


def _blocks(weather: DailyWeather, first: int, stop: int) -> Iterator[tuple[slice, Field]]:
    """Hourly temperatures (days, 24, seasons) of the season days from first to before stop, a few days at a time."""
    days_of_year = season_days_of_year(weather.south) + 1
    low, high = (np.pad(t.T, ((1, 1), (0, 0)), mode="edge") for t in (weather.tmin_c, weather.tmax_c))
    for start in range(first, stop, _BLOCK_DAYS):
        end = min(start + _BLOCK_DAYS, stop)
        weights = hour_weights(days_of_year[start:end], weather.latitude)
        block = hourly_temperatures(low[start : end + 2], high[start : end + 2], weights)
        yield slice(start, end), block.astype(np.float32, copy=False)


def seasons(weather: DailyWeather) -> Seasons:
    """Chill and heat of all seasons, hour by hour."""
    count = len(weather.tmin_c)
    portions, degree_hours, below, between, utah = (np.zeros((SEASON_DAYS, count), np.float32) for _ in range(5))
    first, last = dormancy_days(weather.south)
    counter = chill.PortionCounter((count,))
    for days, hours in _blocks(weather, 0, SEASON_DAYS):
        degree_hours[days] = heat.growing_degree_hours(hours).sum(axis=1)
        by_hour = np.moveaxis(hours, 1, 0)
        below[days] = chill.hours_below_7_2c(by_hour)
        between[days] = chill.hours_0_to_7_2c(by_hour)
        utah[days] = chill.utah_units(hours).sum(axis=1)
        for day in range(max(days.start, first), min(days.stop, last + 1)):
            portions[day] = counter.add(hours[day - days.start])
    by_day = (portions, degree_hours, below, between, utah)
    return Seasons(weather, *(np.cumsum(daily, axis=0, dtype=np.float64).astype(np.float32).T for daily in by_day))
