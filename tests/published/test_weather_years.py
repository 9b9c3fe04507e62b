"""Simulated years against real ones of the same place (open daily series), from the normals of the series alone.

The variability of the weather was fitted to these series among others, so these hold a fit.
"""

from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from domain.common.season_days import YEAR_DAYS
from domain.weather.frost_dates import first_autumn_frost_days, last_spring_frost_days
from domain.weather.hourly import hour_weights, hourly_temperatures
from domain.weather.seasons import Seasons, dormancy_days, seasons
from domain.weather.variability import expected_variability
from domain.weather.weather_generator import daily_cycle, season_days_of_year, simulate
from tests.published.cases import rows
from tests.published.tables import LATITUDES, months, normals_of_record, open_series, recorded, station_normals

pytestmark = pytest.mark.fitted_on

LONG = ("brussels", "champion", "tunis", "cordoba")


@cache
def both(place: str) -> tuple[Seasons, Seasons]:
    """Seasons recorded and simulated."""
    return seasons(recorded(place)), seasons(simulate(normals_of_record(place), LATITUDES[place]))


def portions(years: Seasons) -> NDArray[np.float64]:
    return years.chill_portions_by_day[:, dormancy_days(years.weather.south)[1]].astype(np.float64)


@pytest.mark.parametrize("place", LONG)
def test_chill_of_the_same_place(place: str) -> None:
    real, made = (portions(years) for years in both(place))
    assert made.mean() == pytest.approx(real.mean(), rel=0.10)
    assert 0.65 < made.std() / real.std() < 1.5
    assert np.quantile(made, 0.1) == pytest.approx(np.quantile(real, 0.1), rel=0.16)


@pytest.mark.parametrize("place", LONG)
def test_cold_of_the_same_place(place: str) -> None:
    real, made = both(place)
    assert made.winter_minimum_c.mean() == pytest.approx(float(real.winter_minimum_c.mean()), abs=2.5)
    assert 0.5 < made.winter_minimum_c.std() / real.winter_minimum_c.std() < 2.1


@pytest.mark.parametrize("place", ["brussels", "champion", "cordoba"])
def test_frost_dates_of_the_same_place(place: str) -> None:
    real, made = (years.weather for years in both(place))
    assert abs(np.median(last_spring_frost_days(made)) - np.median(last_spring_frost_days(real))) <= 8
    assert abs(np.median(first_autumn_frost_days(made)) - np.median(first_autumn_frost_days(real))) <= 8
    assert 0.6 < np.nanstd(last_spring_frost_days(made)) / np.nanstd(last_spring_frost_days(real)) < 1.6


@pytest.mark.parametrize("place", LONG)
def test_heat_of_the_same_place(place: str) -> None:
    real, made = (years.growing_degree_hours_by_day[:, 364].mean() for years in both(place))
    assert made == pytest.approx(float(real), rel=0.04)


@pytest.mark.parametrize("place", LONG)
def test_persistence_and_slow_anomalies(place: str) -> None:
    """Day follows day, and month differs from month between years, as in the series."""
    found = []
    for years in both(place):
        anomaly = years.mean_temperature_c[:, :YEAR_DAYS] - years.mean_temperature_c[:, :YEAR_DAYS].mean(axis=0)
        days = anomaly.astype(np.float64)
        lag_one = (days[:, 1:] * days[:, :-1]).mean() / days.var()
        blocks = days[:, :360].reshape(len(days), 12, 30).mean(axis=2)
        found.append((lag_one, blocks.std() / days.std()))
    (real_lag, real_slow), (made_lag, made_slow) = found
    assert made_lag == pytest.approx(real_lag, abs=0.12)
    assert made_slow == pytest.approx(real_slow, abs=0.12)


def test_spread_of_stations() -> None:
    """CLIGEN station files: the spread read from normals is within 15 % (median of places, cold half of the year)."""
    ratios = []
    for row in rows("daily_spread.csv"):
        latitude, normals = station_normals()[row["place_id"]]
        expected = expected_variability(normals, latitude)
        minima = row["variable"] == "tmin_sd_c"
        made = expected.tmin_sd_c if minima else expected.tmax_sd_c
        course = daily_cycle(normals.tmin_c if minima else normals.tmax_c)
        # The published figure holds the drift of the season within the month.
        ends = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
        drift = np.array([course[a:b].var() for a, b in pairwise(ends)])
        published = np.sqrt(np.array(months(row)) ** 2 - drift)
        ratios.append(np.log(made / published)[[0, 1, 2, 3, 9, 10, 11]].mean())
    assert np.median(np.abs(ratios)) <= 0.15
    assert abs(np.mean(ratios)) <= 0.08


@pytest.mark.parametrize(("place", "latitude"), [("illinois", 40.5), ("uk", 52.5)])
def test_hours_made_from_the_days_of_an_hourly_series(place: str, latitude: float) -> None:
    series = open_series()[f"{place}_hourly"]
    first = {"illinois": 0, "uk": 23}[place]  # the first midnight
    days = series[first:][: (len(series) - first) // 24 * 24].reshape(-1, 24)
    start = {"illinois": 326, "uk": 92}[place]  # 22 November 2015, 2 April 2020
    low, high = (np.pad(t, 1, mode="edge")[:, None] for t in (days.min(axis=1), days.max(axis=1)))
    weights = hour_weights((start - 1 + np.arange(len(days))) % 365 + 1, latitude)
    made = hourly_temperatures(low, high, weights)[:, :, 0]
    assert np.sqrt(((made - days) ** 2).mean()) < 2.3
    assert abs((made - days).mean()) < 0.3
    assert (made < 7.2).sum() == pytest.approx((days < 7.2).sum(), rel=0.06)


def test_season_days_start_at_midsummer() -> None:
    assert season_days_of_year(south=False)[0] == 181
    assert season_days_of_year(south=True)[0] == 0
