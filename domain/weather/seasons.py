"""What the seasons of a site bring: chill, heat and cold of each, computed once and read many times.

The hours of all seasons are walked for what is read and not before, in blocks of days so that memory stays bounded;
the results are kept by day. Frost, the winter minimum and monthly means need no hours.
"""

from collections.abc import Iterator, Set
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import running_total
from domain.common.season_days import SEASON_DAYS, YEAR_DAYS, season_day
from domain.weather import chill, heat
from domain.weather.hourly import HourWeights, hour_weights, hourly_temperatures
from domain.weather.weather_generator import DailyWeather, season_days_of_year

Field = NDArray[np.float32]
Measure = Literal["hours_below_7_2c", "hours_0_to_7_2c", "utah_units", "chill_portions"]
Quantity = Measure | Literal["growing_degree_hours"]
MEASURES: tuple[Measure, ...] = ("hours_below_7_2c", "hours_0_to_7_2c", "utah_units", "chill_portions")

DORMANCY_FROM = {False: "10-01", True: "04-01"}
DORMANCY_TO = {False: "05-31", True: "11-30"}
"""First and last day of the one window in which chill is compared, by hemisphere (south True)."""

_BLOCK_DAYS = 8


@dataclass(frozen=True, eq=False)
class Seasons:
    """The seasons of a site; all by-day arrays (seasons, SEASON_DAYS), cumulative to the end of the season day."""

    weather: DailyWeather
    _by_day: dict[Quantity, Field] = field(default_factory=dict, repr=False)
    """What was read so far, or was known from the start."""

    def read(self, *quantities: Quantity) -> None:
        """Walk the hours once for all of these; what is read without it is walked for by itself.

        ValueError for a missing temperature or one outside -90 to 60 C, where portions are among them.
        """
        missing = frozenset(quantities) - self._by_day.keys()
        if missing:
            self._by_day.update(_walk(self.weather, missing))

    def by_day(self, quantity: Quantity) -> Field:
        """Hours, units or degree hours since season day 0; portions as in `chill_portions_by_day`."""
        self.read(quantity)
        return self._by_day[quantity]

    @property
    def chill_portions_by_day(self) -> Field:
        """Portions since dormancy began (1 October north, 1 April south), constant after 31 May or 30 November."""
        return self.by_day("chill_portions")

    @property
    def dormant_portions(self) -> NDArray[np.float64]:
        """Portions of each whole dormant season (seasons,): the one figure in which an answer tells a site's chill."""
        return self.chill_portions_by_day[:, dormancy_days(self.weather.south)[1]].astype(np.float64)

    @property
    def growing_degree_hours_by_day(self) -> Field:
        """Growing degree hours (ASYMCUR) since season day 0."""
        return self.by_day("growing_degree_hours")

    def part(self, own: slice) -> "Seasons":
        """Some of the seasons by themselves, with what was read of them, without rain."""
        weather = self.weather
        dry = replace(weather, tmin_c=weather.tmin_c[own], tmax_c=weather.tmax_c[own], wet=None)
        return Seasons(dry, {quantity: values[own] for quantity, values in self._by_day.items()})

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
        self.read(*MEASURES)
        return {
            measure: self._portions(first, last)
            if measure == "chill_portions"
            else _between(self.by_day(measure), first, last)
            for measure in MEASURES
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


@lru_cache(maxsize=16)
def _season_hour_weights(south: bool, latitude: float) -> HourWeights:
    """Weights of the hours of all days of a season; kept, since the climates of a latitude are walked several times."""
    return hour_weights(season_days_of_year(south) + 1, latitude)


def _blocks(weather: DailyWeather, first: int, stop: int) -> Iterator[tuple[slice, Field]]:
    """Hourly temperatures (days, 24, seasons) of the season days from first to before stop, a few days at a time."""
    weights = _season_hour_weights(weather.south, weather.latitude)
    low, high = (np.pad(t.T, ((1, 1), (0, 0)), mode="edge") for t in (weather.tmin_c, weather.tmax_c))
    for start in range(first, stop, _BLOCK_DAYS):
        days = slice(start, min(start + _BLOCK_DAYS, stop))
        about = slice(days.start, days.stop + 2)
        block = hourly_temperatures(low[about], high[about], weights.of(days))
        yield days, block.astype(np.float32, copy=False)


def _of_this_earth(weather: DailyWeather) -> DailyWeather:
    """The weather within the temperatures that the chill model is made for; no place passes them.

    Figures that no place has, or that contradict each other, lead a fit beyond: the answer warns of them.
    """
    if weather.tmin_c.min() >= chill.COLDEST_C and weather.tmax_c.max() <= chill.HOTTEST_C:
        return weather
    low, high = (np.clip(days, chill.COLDEST_C, chill.HOTTEST_C) for days in (weather.tmin_c, weather.tmax_c))
    return replace(weather, tmin_c=low, tmax_c=high)


def seasons(weather: DailyWeather) -> Seasons:
    """The seasons of the weather; their hours are walked when something of them is read."""
    return Seasons(_of_this_earth(weather))


def _walk(weather: DailyWeather, wanted: Set[Quantity]) -> dict[Quantity, Field]:
    """Running totals (seasons, SEASON_DAYS) of the quantities wanted, in one pass over the hours."""
    count = len(weather.tmin_c)
    daily = {quantity: np.zeros((SEASON_DAYS, count), np.float32) for quantity in wanted}
    first, last = dormancy_days(weather.south)
    counter = chill.PortionCounter((count,))
    whole = (first, last + 1) if wanted == {"chill_portions"} else (0, SEASON_DAYS)
    for days, hours in _blocks(weather, *whole):
        by_hour = np.moveaxis(hours, 1, 0)
        for quantity, total in daily.items():
            match quantity:
                case "growing_degree_hours":
                    total[days] = heat.growing_degree_hours(hours).sum(axis=1)
                case "hours_below_7_2c":
                    total[days] = chill.hours_below_7_2c(by_hour)
                case "hours_0_to_7_2c":
                    total[days] = chill.hours_0_to_7_2c(by_hour)
                case "utah_units":
                    total[days] = chill.utah_units(hours).sum(axis=1)
                case "chill_portions":
                    for day in range(max(days.start, first), min(days.stop, last + 1)):
                        total[day] = counter.add(hours[day - days.start])
    return {quantity: running_total(np.ascontiguousarray(total.T)) for quantity, total in daily.items()}
