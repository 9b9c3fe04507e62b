"""Cold air that drains downhill: as often and as deep as published, and never where the spot itself was measured."""

from typing import Any

import msgspec
import numpy as np
import pytest

from domain.site_climate.site import Ground, Site
from domain.site_climate.site_years import SiteYears, site_years
from domain.weather.cold_air import FIGURES, clear_calm_share, lie_m, minima_shift, with_minima_shifted
from domain.weather.frost_dates import last_spring_frost
from domain.weather.normals import MonthlyNormals
from domain.weather.weather_generator import DailyWeather, simulate
from tests import shared
from tests.domain.site_climate.test_records import daily, series

WELSH_BORDERS = MonthlyNormals(
    tmin_c=(0.6, 0.5, 1.8, 3.2, 5.9, 8.7, 10.9, 10.7, 8.7, 6.1, 3.0, 0.9),
    tmax_c=(6.8, 7.4, 9.9, 12.6, 16.0, 18.8, 21.0, 20.6, 17.8, 13.8, 9.8, 7.2),
    rain_days=(14.0, 11.0, 12.0, 11.0, 11.0, 10.0, 10.0, 11.0, 10.0, 13.0, 14.0, 14.0),
)
PLACE: dict[str, Any] = {"latitude": 52.4, "longitude": -3.0, "elevation_m": 180}
TOLD_AT_THE_SPOT: list[dict[str, Any]] = [
    {"last_spring_frost": {"median": "05-10"}},
    {"first_autumn_frost": {"frost_free": True}},
    {"winter_minimum": {"mean_annual_minimum_c": -9}},
]


@pytest.fixture(scope="module")
def weather() -> DailyWeather:
    return simulate(WELSH_BORDERS, 52.4)


def at(lie: str | None, **more: Any) -> SiteYears:
    ground = {} if lie is None else {"ground": {"lie": lie}}
    return shared.years(msgspec.convert({**PLACE, **ground, **more}, Site))


def test_a_small_valley_holds_cold_air_as_often_as_published(weather: DailyWeather) -> None:
    """COLPEX: bottom colder than the hills by 1 C on 45 % of the nights, by more than 4 C on 12 %."""
    colder = minima_shift(weather, 75.0 * 70.0 / 75.0) * np.float32(75.0 / 70.0)
    assert (colder >= 1.0).mean() == pytest.approx(0.45, abs=0.03)
    assert (colder > 4.0).mean() == pytest.approx(0.12, abs=0.03)


def test_the_clearest_nights_have_the_published_gradient(weather: DailyWeather) -> None:
    """Hocevar and Martsolf 1971: 6.2 C for 100 m."""
    assert minima_shift(weather, 50.0).max() == pytest.approx(3.1, abs=0.01)
    assert np.array_equal(minima_shift(weather, -20.0), -minima_shift(weather, 20.0))
    assert np.array_equal(minima_shift(weather, 500.0), minima_shift(weather, FIGURES.deepest_m))


def test_dry_nights_have_more_of_it_than_wet_ones(weather: DailyWeather) -> None:
    share = clear_calm_share(weather)
    assert share.min() == 0.0
    assert share.max() == 1.0
    assert weather.wet is not None
    assert share[~weather.wet].mean() > 1.2 * share[weather.wet].mean()


def test_minima_stay_below_maxima(weather: DailyWeather) -> None:
    up = with_minima_shifted(weather, FIGURES.deepest_m)
    assert (up.tmax_c - up.tmin_c).min() >= 0.99
    assert np.array_equal(up.tmax_c, weather.tmax_c)


def test_the_lie_moves_frost_and_the_coldest_night() -> None:
    level, pocket, slope, hilltop = (at(lie) for lie in ("level", "frost_pocket", "slope", "hilltop"))
    frost = [last_spring_frost(years.seasons.weather).median or 0.0 for years in (pocket, level, hilltop, slope)]
    assert frost == sorted(frost, reverse=True)
    assert 5 < frost[0] - frost[1] < 25
    assert 3 < frost[1] - frost[3] < 20
    coldest = [years.seasons.winter_minimum_c.mean() for years in (pocket, level, hilltop, slope)]
    assert coldest == sorted(coldest)
    assert pocket.spread.last_frost_days > level.spread.last_frost_days
    nights = np.array(level.normals.tmin_c) - np.array(pocket.normals.tmin_c)
    assert (nights > 0.2).all()
    assert (nights < -FIGURES.warmer_per_m * lie_m("frost_pocket")).all()
    assert any(a.field == "ground/lie" and "colder" in str(a.assumed) for a in pocket.assumptions)


def test_nothing_told_and_level_ground_are_the_same() -> None:
    assert np.array_equal(at(None).seasons.weather.tmin_c, at("level").seasons.weather.tmin_c)


@pytest.mark.parametrize("told", TOLD_AT_THE_SPOT)
def test_what_was_told_at_the_spot_is_not_counted_twice(told: dict[str, Any]) -> None:
    with_lie, without = at("frost_pocket", **told), at(None, **told)
    assert np.array_equal(with_lie.seasons.weather.tmin_c, without.seasons.weather.tmin_c)
    assert any(a.field == "ground/lie" and "Not counted" in a.why for a in with_lie.assumptions)


def test_a_record_is_of_the_spot() -> None:
    tmin, tmax = series(years=4)
    record = daily(tmin, tmax)
    pocket = site_years(Site(latitude=45.0, daily_records=record, ground=Ground(lie="frost_pocket")))
    alone = site_years(Site(latitude=45.0, daily_records=record))
    assert np.array_equal(pocket.seasons.weather.tmin_c, alone.seasons.weather.tmin_c)


def test_the_lie_holds_in_a_warmer_climate_too() -> None:
    level, pocket = at("level", warming_c=2.0), at("frost_pocket", warming_c=2.0)
    now = at("frost_pocket")
    assert level.seasons.weather.tmin_c.mean() > pocket.seasons.weather.tmin_c.mean()
    assert pocket.seasons.weather.tmin_c.mean() == pytest.approx(now.seasons.weather.tmin_c.mean() + 2.0, abs=0.1)
