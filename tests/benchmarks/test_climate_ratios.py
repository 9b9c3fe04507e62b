"""Costs of the climate as ratios to elementary functions over the same hours, in the same run.

The bounds are generous: they catch a fall back to loops over seasons, not a busy machine. The medians are printed
(``pytest -s``).
"""

import msgspec
import numpy as np
import pytest

from domain.site_climate.site import Site
from domain.site_climate.site_years import site_years
from domain.tree_year.clock import CLOCK_QUANTITIES
from domain.weather.chill import chill_portions
from domain.weather.normals import MonthlyNormals
from domain.weather.seasons import MEASURES, Seasons, seasons
from domain.weather.weather_generator import DailyWeather, simulate
from tests.benchmarks.cost import HOURS, cpu_seconds, in_sines, ratio

pytestmark = pytest.mark.benchmark

NORMALS = MonthlyNormals(
    tmin_c=(-1.6, 0.1, 4.2, 8.5, 13.5, 18.0, 20.3, 19.8, 15.9, 8.8, 3.7, -0.2),
    tmax_c=(8.4, 11.3, 16.4, 21.6, 25.6, 29.6, 31.2, 31.0, 27.5, 21.5, 15.7, 10.2),
)


def walked(weather: DailyWeather) -> Seasons:
    """The seasons of the weather with all that is read of their hours."""
    made = seasons(weather)
    made.read(*MEASURES, "growing_degree_hours")
    return made


def clocked(weather: DailyWeather) -> Seasons:
    """The seasons of the weather with what the clocks of a tree read of their hours."""
    made = seasons(weather)
    made.read(*CLOCK_QUANTITIES)
    return made


def test_chill_portions_of_200_winters() -> None:
    winters = HOURS[: 243 * 24]
    found = ratio(lambda: chill_portions(winters), lambda: np.sin(winters))
    print(f"chill portions of 200 winters: {found:.1f} times numpy.sin of their hours")
    assert found < 4


def test_portions_of_200_simulated_winters() -> None:
    """As sites take them, from daily extremes; `chill_portions` serves hours that somebody has."""
    weather = simulate(NORMALS, 36.0)
    found = in_sines(lambda: seasons(weather).chill_portions_by_day, rounds=5)
    print(f"portions of 200 simulated winters: {found:.2f} sines")
    assert found < 1.6


def test_seasons_from_normals() -> None:
    found = in_sines(lambda: walked(simulate(NORMALS, 36.0)), rounds=5)
    print(f"200 seasons from normals: {found:.1f} sines")
    assert found < 3.5


def test_the_clocks_of_200_seasons() -> None:
    """Portions and degree hours of the days of 200 seasons: what every new site pays at least once."""
    weather = simulate(NORMALS, 36.0)
    found = in_sines(lambda: clocked(weather), rounds=5)
    print(f"portions and degree hours of 200 seasons: {found:.2f} sines")
    assert found < 2.0


def test_cost_is_linear_in_years() -> None:
    few, many = (simulate(NORMALS, 36.0, years=years) for years in (50, 200))
    short, long = cpu_seconds(lambda: walked(few), lambda: walked(many), rounds=5)
    print(f"four times the years: {long / short:.1f} times the cost")
    assert long / short < 8


def test_sixty_years_of_hours() -> None:
    """A record of 525,600 hours, from its decoded request to the seasons, against decoding it."""
    weather = simulate(NORMALS, 36.0, years=60)
    low, high = (series[:, :365].ravel()[:, None] for series in (weather.tmin_c, weather.tmax_c))
    rise = 0.5 - 0.5 * np.cos(2 * np.pi * (np.arange(24) - 4) / 24)
    hours = np.round((low + (high - low) * rise).astype(np.float64), 1).ravel()
    told = {"latitude": 36.0, "hourly_records": {"first_day": "1960-07-01", "temperature_c": hours.tolist()}}
    body, decoder = msgspec.json.encode(told), msgspec.json.Decoder(Site)
    site = decoder.decode(body)
    decoded, made = cpu_seconds(lambda: decoder.decode(body), lambda: site_years(site), rounds=3)
    print(f"60 years of hourly records: {made / decoded:.1f} times decoding them")
    assert made / decoded < 4
