"""Small tables of published values that the tests compare with; each row names its source (climate_sources.csv)."""

import datetime as dt
from functools import cache

import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import day_of_year, season_start
from domain.weather.normals import MonthlyNormals
from domain.weather.seasons import Seasons, seasons
from domain.weather.weather_generator import DailyWeather, overlapping_seasons, simulate
from tests.published.cases import DATA, rows

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

FIRST_DAYS = {
    "brussels": dt.date(1976, 1, 1),
    "champion": dt.date(1982, 1, 1),
    "tunis": dt.date(1979, 1, 1),
    "cordoba": dt.date(1991, 1, 1),
    "seattle": dt.date(2012, 1, 1),
}
LATITUDES = {"brussels": 50.85, "champion": 40.47, "tunis": 36.8, "cordoba": -31.4, "seattle": 47.6}


def months(row: dict[str, str]) -> tuple[float, ...]:
    return tuple(float(row[month]) for month in MONTHS)


@cache
def station_normals() -> dict[str, tuple[float, MonthlyNormals]]:
    """Latitude and normals of each place of station_normals.csv."""
    found: dict[str, dict[str, tuple[float, ...]]] = {}
    latitudes = {}
    for row in rows("station_normals.csv"):
        if row["variable"] in MonthlyNormals.__struct_fields__:
            found.setdefault(row["place_id"], {})[row["variable"]] = months(row)
        latitudes[row["place_id"]] = float(row["latitude"])
    return {place: (latitudes[place], MonthlyNormals(**values)) for place, values in found.items()}


@cache
def simulated(place: str) -> DailyWeather:
    """Two hundred seasons simulated from the normals of a place of station_normals.csv."""
    latitude, normals = station_normals()[place]
    return simulate(normals, latitude)


@cache
def simulated_seasons(place: str) -> Seasons:
    """Chill and heat of the same seasons."""
    return seasons(simulated(place))


@cache
def open_series() -> dict[str, NDArray[np.float64]]:
    with np.load(DATA / "open_series.npz") as archive:
        return {name: archive[name].astype(np.float64) / (1 if name.endswith("rain") else 10) for name in archive.files}


def without_leap_days(place: str) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.intp]]:
    """Minima, maxima and months (0 to 11) of the days of an open daily series, 29 February left out."""
    series = open_series()
    tmin, tmax = series[f"{place}_tmin"], series[f"{place}_tmax"]
    dates = [FIRST_DAYS[place] + dt.timedelta(days=day) for day in range(len(tmin))]
    kept = np.array([(date.month, date.day) != (2, 29) for date in dates])
    return tmin[kept], tmax[kept], np.array([date.month - 1 for date in dates])[kept]


def recorded(place: str) -> DailyWeather:
    """The seasons of an open daily series that begins on 1 January."""
    tmin, tmax, _ = without_leap_days(place)
    south = LATITUDES[place] < 0
    start = day_of_year(season_start(south)) - 1
    return DailyWeather(
        south=south,
        latitude=LATITUDES[place],
        tmin_c=overlapping_seasons(tmin[start:].astype(np.float32)),
        tmax_c=overlapping_seasons(tmax[start:].astype(np.float32)),
    )


def normals_of_record(place: str) -> MonthlyNormals:
    tmin, tmax, month = without_leap_days(place)
    return MonthlyNormals(
        tmin_c=tuple(float(tmin[month == m].mean()) for m in range(12)),
        tmax_c=tuple(float(tmax[month == m].mean()) for m in range(12)),
        rain_mm=tuple(float(amount) for amount in open_series()[f"{place}_rain"]),
    )
