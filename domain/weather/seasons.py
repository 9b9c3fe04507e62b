"""What the seasons of a site bring: chill, heat and cold of each, computed once and read many times.

The hours of all seasons are walked for what is read and not before, in blocks of days so that memory stays bounded;
the results are kept by day. Frost, the winter minimum and monthly means need no hours.
"""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import running_total
from domain.common.season_days import SEASON_DAYS, YEAR_DAYS, season_day
from domain.weather import chill
from domain.weather.hour_tables import DayCounter, Index, as_steps, degree_hours
from domain.weather.hourly import HourWeights, hour_by_hour, hour_weights, hourly_temperatures
from domain.weather.weather_generator import DailyWeather, season_days_of_year

Field = NDArray[np.float32]
Measure = Literal["hours_below_7_2c", "hours_0_to_7_2c", "utah_units", "chill_portions"]
Quantity = Measure | Literal["growing_degree_hours"]
MEASURES: tuple[Measure, ...] = ("hours_below_7_2c", "hours_0_to_7_2c", "utah_units", "chill_portions")

DORMANCY_FROM = {False: "10-01", True: "04-01"}
DORMANCY_TO = {False: "05-31", True: "11-30"}
"""First and last day of the one window in which chill is compared, by hemisphere (south True)."""

_BLOCK_DAYS = 16
_COUNTED_AT_ONCE = 12_000
"""Days of all seasons that are counted at once, so that they stay in the processor's cache."""
_COUNTED: Mapping[Measure, Callable[[NDArray[np.floating]], NDArray[Any]]] = {
    "hours_below_7_2c": chill.is_below_7_2c,
    "hours_0_to_7_2c": chill.is_0_to_7_2c,
    "utah_units": chill.utah_units,
}
"""Measures that look at an hour by itself, and what each makes of it."""
COUNTED: frozenset[Quantity] = frozenset(_COUNTED)
"""These measures, which can be counted on some days alone."""


@dataclass(frozen=True, eq=False)
class Seasons:
    """The seasons of a site; all by-day arrays (seasons, SEASON_DAYS), cumulative to the end of the season day."""

    weather: DailyWeather
    _by_day: dict[Quantity, Field] = field(default_factory=dict, repr=False)
    """What was read so far, or was known from the start."""
    _counted: dict[Measure, "_Counted"] = field(default_factory=dict, repr=False)
    """What was counted within some days alone."""

    def count(self, measures: Collection[Quantity], first: int, last: int) -> None:
        """Count hours or units from one season day to another alone, both counted, for `gained` to read: where no other
        day is asked for, the hours of the others need not be walked. Portions are not counted so.
        """
        there = {  # each read once: another thread may count meanwhile
            measure: counted
            for measure in _COUNTED
            if measure in measures and (counted := self._counted.get(measure)) is not None
        }
        first = min([first, *(one.first for one in there.values())])
        last = max([last, *(one.last for one in there.values())])
        wanted = tuple(
            measure
            for measure in _COUNTED
            if measure in measures
            and not self.has(measure)
            and not (measure in there and there[measure].first <= first and last <= there[measure].last)
        )
        if wanted:
            self._counted.update(_counted_within(self.weather, wanted, first, last))

    def gained(self, measure: Measure, first: int, last: int) -> Field:
        """Hours, units or portions (seasons,) from one season day to another, both counted; of portions the gain."""
        counted = self._counted.get(measure)
        if counted is not None and counted.first <= first and last <= counted.last:
            total, start = counted.total, counted.first
        else:
            total, start = self.by_day(measure), 0
        before = total[:, first - 1 - start] if first > start else np.float32(0.0)
        gained: Field = total[:, last - start] - before
        return gained

    def read(self, *quantities: Quantity) -> None:
        """Walk the hours once for all of these; what is read without it is walked for by itself.

        ValueError for a missing temperature or one outside -90 to 60 C, where portions are among them.
        """
        missing = frozenset(quantities) - self._by_day.keys()
        if missing:
            self._by_day.update(_walk(self.weather, missing))

    def has(self, *quantities: Quantity) -> bool:
        """Whether all of these are known already."""
        return self._by_day.keys() >= set(quantities)

    def know(self, found: Mapping[Quantity, Field]) -> None:
        """Take quantities that were walked for elsewhere; what is known already stays."""
        self._by_day.update({quantity: values for quantity, values in found.items() if quantity not in self._by_day})

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
        self.count(COUNTED, first, last)
        return {
            measure: self._portions(first, last)
            if measure == "chill_portions"
            else self.gained(measure, first, last).astype(np.float64)
            for measure in MEASURES
        }

    def _portions(self, first: int, last: int) -> NDArray[np.float64]:
        dormancy = dormancy_days(self.weather.south)
        if first == dormancy[0] and last <= dormancy[1]:
            return self.chill_portions_by_day[:, last].astype(np.float64)
        counter = DayCounter(len(self.weather.tmin_c))
        total = np.zeros(len(self.weather.tmin_c))
        for _, index in _blocks(self.weather, first, last + 1):
            total += counter.portions(index).sum(axis=0, dtype=np.float64)
        return total


class _Counted(NamedTuple):
    """Running total (seasons, days) of a measure from the first to the last of some season days."""

    first: int
    last: int
    total: Field


def window_days(south: bool, counted_from: str, counted_to: str) -> tuple[int, int]:
    """Season days of the first and last day of a window of dates."""
    first = season_day(counted_from, south)
    return first, season_day(counted_to, south, not_before=first)


def dormancy_days(south: bool) -> tuple[int, int]:
    """Season days of the first and last day of the dormant season."""
    return window_days(south, DORMANCY_FROM[south], DORMANCY_TO[south])


@lru_cache(maxsize=16)
def _season_hour_weights(south: bool, latitude: float) -> HourWeights:
    """Weights of the hours of all days of a season; kept, since the climates of a latitude are walked several times."""
    return hour_weights(season_days_of_year(south) + 1, latitude)


def _neighboured(days: Field, first: int = 0, stop: int = SEASON_DAYS) -> Field:
    """Some days of (seasons, days) as (days + 2, seasons) with the day before and the one after, or repeated ends."""
    before, after = max(first - 1, 0), min(stop + 1, days.shape[1])
    wide = ((before + 1 - first, stop + 1 - after), (0, 0))
    padded: Field = np.pad(days[:, before:after].T, wide, mode="edge")
    return padded


def _blocks(weather: DailyWeather, first: int, stop: int) -> Iterator[tuple[slice, Index]]:
    """Hours (days, 24, seasons) of the season days from first to before stop, some days at a time, as places in the
    tables by temperature. ValueError for a temperature that is missing or out of their range.
    """
    if stop <= first:
        return
    weights = _season_hour_weights(weather.south, weather.latitude)
    low, high = (_neighboured(days, first, stop) for days in (weather.tmin_c, weather.tmax_c))
    if not (low.min() >= chill.COLDEST_C and high.max() <= chill.HOTTEST_C):
        raise ValueError(f"temperatures must lie between {chill.COLDEST_C:g} and {chill.HOTTEST_C:g} C")
    low, high = as_steps(low), as_steps(high)
    for start in range(first, stop, _BLOCK_DAYS):
        days = slice(start, min(start + _BLOCK_DAYS, stop))
        about = slice(days.start - first, days.stop - first + 2)
        yield days, hourly_temperatures(low[about], high[about], weights.of(days)).astype(np.intp)


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


def read_together(several: Sequence[Seasons], *quantities: Quantity) -> None:
    """Read quantities of several seasons of one latitude, as `Seasons.read` does, in one walk: it costs less than two.

    Raises as `Seasons.read` does.
    """
    missing = [seasons for seasons in several if not seasons.has(*quantities)]
    if not missing:
        return
    first = missing[0].weather
    ends = np.cumsum([len(seasons.weather.tmin_c) for seasons in missing])
    joined = replace(
        first,
        tmin_c=np.concatenate([seasons.weather.tmin_c for seasons in missing]),
        tmax_c=np.concatenate([seasons.weather.tmax_c for seasons in missing]),
        wet=None,
        first_years=None,
    )
    walked = _walk(joined, frozenset(quantities))
    for seasons, end in zip(missing, ends.tolist(), strict=True):
        rows = slice(end - len(seasons.weather.tmin_c), end)
        seasons.know({quantity: values[rows].copy() for quantity, values in walked.items()})


def _walk(weather: DailyWeather, wanted: Set[Quantity]) -> dict[Quantity, Field]:
    """Running totals (seasons, SEASON_DAYS) of the quantities wanted."""
    counted = tuple(measure for measure in _COUNTED if measure in wanted)
    daily = _counts(weather, counted) if counted else {}
    if "growing_degree_hours" in wanted:
        daily |= _modelled(weather, with_portions="chill_portions" in wanted)
    elif "chill_portions" in wanted:
        daily["chill_portions"] = _portions(weather)
    return {quantity: running_total(np.ascontiguousarray(total.T)) for quantity, total in daily.items()}


def _counts(weather: DailyWeather, wanted: tuple[Measure, ...]) -> dict[Quantity, Field]:
    """Hours or units of each day (SEASON_DAYS, seasons) of the measures that look at an hour by itself."""
    once, following = _each_day_once(weather)
    weights = _season_hour_weights(weather.south, weather.latitude)
    stop = YEAR_DAYS + 1
    low, high = (_neighboured(days, 0, stop) for days in (once.tmin_c, once.tmax_c))
    daily = {measure: np.zeros((stop, low.shape[1]), np.float32) for measure in wanted}
    at_once = max(1, _COUNTED_AT_ONCE // low.shape[1])
    for start in range(0, stop, at_once):
        days = slice(start, min(start + at_once, stop))
        about = slice(days.start, days.stop + 2)
        for measure, hours in _hours_of(low[about], high[about], weights.of(days), wanted).items():
            daily[measure][days] = hours
    end = slice(SEASON_DAYS - 1, SEASON_DAYS)
    low, high = (_neighboured(days, end.start, end.stop) for days in (weather.tmin_c, weather.tmax_c))
    last = _hours_of(low, high, weights.of(end), wanted)
    return {measure: _whole_seasons(daily[measure], following, last[measure]) for measure in wanted}


def _counted_within(
    weather: DailyWeather, wanted: tuple[Measure, ...], first: int, last: int
) -> dict[Measure, _Counted]:
    """The measures wanted from one season day to another, both counted."""
    weights = _season_hour_weights(weather.south, weather.latitude)
    low, high = (_neighboured(days, first, last + 1) for days in (weather.tmin_c, weather.tmax_c))
    daily = {measure: np.zeros((last + 1 - first, low.shape[1]), np.float32) for measure in wanted}
    at_once = max(1, _COUNTED_AT_ONCE // low.shape[1])
    for start in range(first, last + 1, at_once):
        days = slice(start, min(start + at_once, last + 1))
        about = slice(days.start - first, days.stop - first + 2)
        for measure, hours in _hours_of(low[about], high[about], weights.of(days), wanted).items():
            daily[measure][days.start - first : days.stop - first] = hours
    return {
        measure: _Counted(first, last, running_total(np.ascontiguousarray(counted.T)))
        for measure, counted in daily.items()
    }


def _whole_seasons(once: Field, following: NDArray[np.intp], last: NDArray[Any]) -> Field:
    """A quantity of all days (SEASON_DAYS, seasons) from that of days walked once; last: of the last day, which no day
    is known to follow.
    """
    return np.concatenate(
        [once[:, : len(following)], once[1 : SEASON_DAYS - YEAR_DAYS - 1, following], last.astype(np.float32)]
    )


def _hours_of(
    low: Field, high: Field, weights: HourWeights, wanted: tuple[Measure, ...]
) -> dict[Measure, NDArray[Any]]:
    """The same of some days (days, seasons) with their neighbours."""
    shape = (len(low) - 2, low.shape[1])
    total: dict[Measure, NDArray[Any]] = {
        measure: np.zeros(shape, np.float32 if measure == "utah_units" else np.int8) for measure in wanted
    }
    for hour in hour_by_hour(low, high, weights):
        for measure in wanted:
            total[measure] += _COUNTED[measure](hour)
    return total


def _portions(weather: DailyWeather) -> Field:
    """Portions of each day (SEASON_DAYS, seasons), which come in the dormant season alone."""
    daily = np.zeros((SEASON_DAYS, len(weather.tmin_c)), np.float32)
    first, last = dormancy_days(weather.south)
    counter = DayCounter(len(weather.tmin_c))
    for days, index in _blocks(weather, first, last + 1):
        daily[days] = counter.portions(index)
    return daily


def _modelled(weather: DailyWeather, with_portions: bool) -> dict[Quantity, Field]:
    """Growing degree hours of each day (SEASON_DAYS, seasons), and portions, which come in the dormant season alone.

    The end of a season is the beginning of the next, where they follow each other: such days are walked once.
    """
    once, following = _each_day_once(weather)
    count, stop = len(weather.tmin_c), YEAR_DAYS + 1
    heat, portions = (np.zeros((days, n), np.float32) for days, n in ((stop, len(once.tmin_c)), (SEASON_DAYS, count)))
    first, last = dormancy_days(weather.south) if with_portions else (stop, stop)
    for days, index in _blocks(once, 0, first):
        heat[days] = degree_hours(index)
    if with_portions:
        counter = DayCounter(len(once.tmin_c))
        for days, index in _blocks(once, first, last + 1):
            gained, heat[days] = counter.add(index)
            portions[days] = gained[:, :count]
        for days, index in _blocks(once, last + 1, stop):
            heat[days] = degree_hours(index)
    ((_, index),) = _blocks(weather, SEASON_DAYS - 1, SEASON_DAYS)
    modelled: dict[Quantity, Field] = {
        "growing_degree_hours": _whole_seasons(heat, following, degree_hours(index)),
    }
    if with_portions:
        modelled["chill_portions"] = portions
    return modelled


def _each_day_once(weather: DailyWeather) -> tuple[DailyWeather, NDArray[np.intp]]:
    """A year and two days of every season, then the same of the ends that no other season begins with.

    Beside it the row (seasons,) whose first days are the end of each season.
    """
    low, high = weather.tmin_c, weather.tmax_c
    start, end = slice(0, SEASON_DAYS - YEAR_DAYS), slice(YEAR_DAYS, SEASON_DAYS)
    alike = [(days[:-1, end] == days[1:, start]).all(axis=1) for days in (low, high)]
    followed = np.append(alike[0] & alike[1], [False])
    following = np.arange(1, len(low) + 1)
    following[~followed] = len(low) + np.arange(np.count_nonzero(~followed))
    wide = ((0, 0), (0, 2 * YEAR_DAYS + 2 - SEASON_DAYS))
    low, high = (
        np.concatenate([days[:, : YEAR_DAYS + 2], np.pad(days[~followed, end], wide, mode="edge")])
        for days in (low, high)
    )
    return replace(weather, tmin_c=low, tmax_c=high, wet=None), following
