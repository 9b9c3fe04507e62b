"""The plain path from weather to advice, as the oracle of the fast one: hour by hour, night by night, row by row.

Nothing is tabled by temperature, no day is walked once for two seasons, no cultivar is reckoned together with another
of the same need, and medians are the library's own.
"""

from collections.abc import Set

import numpy as np
import pytest

from domain.common.arrays import Floats, running_total
from domain.common.season_days import SEASON_DAYS
from domain.hazards import winter_cold
from domain.hazards.frost_at_bloom import FrostTable, crop_after_frost, worthwhile_chance
from domain.suitability import crop_factors
from domain.tree_year import bloom
from domain.tree_year.clock import SiteClock
from domain.weather import chill, heat
from domain.weather.hourly import hour_weights, hourly_temperatures
from domain.weather.seasons import Field, Quantity, dormancy_days
from domain.weather.weather_generator import DailyWeather, season_days_of_year
from tests.domain.hazards.test_frost_table import plain_kept

_COUNTS = {
    "hours_below_7_2c": chill.is_below_7_2c,
    "hours_0_to_7_2c": chill.is_0_to_7_2c,
    "utah_units": chill.utah_units,
}


def walk(weather: DailyWeather, wanted: Set[Quantity]) -> dict[Quantity, Field]:
    """Running totals (seasons, SEASON_DAYS) of what is wanted: every hour of every season by itself."""
    low, high = (np.pad(days.T, ((1, 1), (0, 0)), mode="edge") for days in (weather.tmin_c, weather.tmax_c))
    weights = hour_weights(season_days_of_year(weather.south) + 1, weather.latitude)
    first, last = dormancy_days(weather.south)
    counter = chill.PortionCounter((len(weather.tmin_c),))
    daily: dict[Quantity, Floats] = {quantity: np.zeros((SEASON_DAYS, len(weather.tmin_c))) for quantity in wanted}
    for day in range(SEASON_DAYS):
        one = slice(day, day + 1)
        hours = hourly_temperatures(low[day : day + 3], high[day : day + 3], weights.of(one))[0]
        for quantity, total in daily.items():
            if quantity == "growing_degree_hours":
                total[day] = heat.growing_degree_hours(hours.astype(np.float64)).sum(axis=0)
            elif quantity == "chill_portions":
                total[day] = counter.add(hours) if first <= day <= last else 0.0
            else:
                total[day] = _COUNTS[quantity](hours).sum(axis=0)
    return {quantity: running_total(np.ascontiguousarray(total.T)) for quantity, total in daily.items()}


class EveryNight(FrostTable):
    """What frost leaves, from every cold night of every season."""

    def __init__(self, clock: SiteClock, tmin_c: Floats | None = None) -> None:
        super().__init__(clock, tmin_c)
        self._plain = plain_kept(clock)

    def kept(self, full_bloom: Floats) -> Floats:
        return crop_after_frost(self._plain, full_bloom)

    def chance(self, full_bloom: Floats) -> Floats:
        return crop_after_frost(worthwhile_chance(self._plain), full_bloom)

    def chances(self, *full_bloom: Floats) -> list[Floats]:
        return [self.chance(days) for days in full_bloom]


def take(monkeypatch: pytest.MonkeyPatch) -> None:
    """Take the plain path from here on."""

    def each_by_itself(values: Floats, *, return_inverse: bool) -> tuple[Floats, np.ndarray]:
        assert return_inverse
        return values, np.arange(values.size)

    class PlainArrays:
        """The library, but for what finds rows that are alike."""

        unique = staticmethod(each_by_itself)

        def __getattr__(self, name: str) -> object:
            return getattr(np, name)

    monkeypatch.setattr("domain.weather.seasons._walk", walk)
    monkeypatch.setattr("domain.weather.seasons.Seasons.count", lambda *_: None)  # every day is walked, then
    monkeypatch.setattr("domain.orchard_site.conditions.FrostTable", EveryNight)
    monkeypatch.setattr(crop_factors, "row_medians", lambda values: np.median(values, axis=1))
    monkeypatch.setattr(bloom, "row_middles", lambda values: (np.median(values, axis=1),) * 2)
    for module in (bloom, crop_factors, winter_cold):
        monkeypatch.setattr(module, "np", PlainArrays())
