"""How much steadier or more changeable the weather of a region is than a place's months let expect.

The spread of daily weather is read from the months (domain/weather/variability.py) by a rule that knows no geography.
The same months hold more changeable weather where polar air comes over open plains to a warm coast, as on the Gulf of
Mexico, and steadier weather under the winter monsoon of East Asia and behind ranges, as in New Mexico. Two kinds of
places tell by how much, as a logarithm of measured over expected:

- stations whose daily spread was measured (``reference_tables/climate/station_spreads.csv``), minima and maxima apart,
  in winter (December to February) and between the seasons (March to May, September to November);
- in winter also towns whose mean yearly minimum is generally known (``winter_minima.csv``, from memory, to about 2 C):
  the depth of that minimum below the nights of the coldest month over the depth simulated there.

Between the places it is interpolated (simple kriging, exponential covariance); in summer nothing is changed. Southern
months are turned by half a year. The months' means are left as they are. Each station left out with its neighbours,
the spread of minima is missed by 14 % in winter instead of 22 (root mean square) and by 14 % between the seasons
instead of 20, that of maxima by 17 % instead of 24 and by 14 % instead of 16. Each town left out, its yearly minimum is
missed by 2.9 C instead of 5.3, by 1.7 instead of 2.3 in the median.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from domain.weather.climatology import place_climate
from domain.weather.normals import MonthlyNormals
from domain.weather.station_rules import stored_rules
from domain.weather.variability import Variability, expected_variability
from reference_tables.climate import StationSpread, station_spreads, winter_minima

Floats = NDArray[np.float64]

EARTH_KM = 6371.0
REACH_KM = 1500.0
REGION_SD = 0.3
"""Standard deviation of the logarithm between regions, and the distance over which it fades; results hardly depend on
either."""
STATION_NOISE = 0.1
TOWN_NOISE, TOWN_ERROR_C = 0.2, 2.0
LEAST_LOG, GREATEST_LOG = -0.8, 0.5
SHALLOWEST_C = 4.0

WINTER = np.array([1.0, 1.0, 0.5, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.5, 1.0])
BETWEEN = np.array([0.0, 0.0, 0.5, 1.0, 0.5, 0.0, 0.0, 0.0, 0.5, 1.0, 0.5, 0.0])
"""Shares of winter and of the time between the seasons in each month of the north; the rest is summer."""
_WINTER_MONTHS, _BETWEEN_MONTHS = [11, 0, 1], [2, 3, 4, 8, 9, 10]


@dataclass(frozen=True)
class RegionalSpread:
    """Logarithms (12,), January first, of the day-to-day spread over that which the months let expect."""

    tmin: Floats
    tmax: Floats

    @classmethod
    def even(cls, log: float) -> "RegionalSpread":
        """One logarithm for all months, of minima and maxima alike."""
        return cls(np.full(12, log), np.full(12, log))

    def of(self, expected: Variability) -> tuple[Floats, Floats]:
        """Standard deviations (12,) of minima and maxima that this makes of the expected ones."""
        return expected.tmin_sd_c * np.exp(self.tmin), expected.tmax_sd_c * np.exp(self.tmax)


AS_EXPECTED = RegionalSpread.even(0.0)


@dataclass(frozen=True)
class _Known:
    """Places (n, 3) as unit vectors, what is known there (n, quantities), and the standard deviation of its error."""

    towards: Floats
    logs: Floats
    error: Floats


def _towards(latitude: Floats, longitude: Floats) -> Floats:
    """Unit vectors (n, 3) from the centre of the earth."""
    phi, lam = np.radians(latitude), np.radians(longitude)
    return np.stack([np.cos(phi) * np.cos(lam), np.cos(phi) * np.sin(lam), np.sin(phi)], axis=-1)


def _covariance(a: Floats, b: Floats) -> Floats:
    distance = EARTH_KM * np.arccos(np.clip(a @ b.T, -1.0, 1.0))
    values: Floats = REGION_SD**2 * np.exp(-distance / REACH_KM)
    return values


def station_logs(station: StationSpread) -> tuple[float, float, float, float]:
    """Logarithms of measured over expected spread at a station: of minima in winter, of maxima in winter, of minima
    and of maxima between the seasons.
    """
    place = place_climate(station.latitude, station.longitude, station.elevation_m)
    normals = MonthlyNormals(
        tmin_c=tuple(station.tmin_c.tolist()),
        tmax_c=tuple(station.tmax_c.tolist()),
        rain_mm=tuple(place.rain_mm.tolist()),
    )
    expected = expected_variability(normals, station.latitude)
    turn = 6 if station.latitude < 0 else 0
    tmin = np.roll(np.log(station.tmin_sd_c / expected.tmin_sd_c), turn)
    tmax = np.roll(np.log(station.tmax_sd_c / expected.tmax_sd_c), turn)
    winter = tmin[_WINTER_MONTHS].mean(), tmax[_WINTER_MONTHS].mean()
    between = tmin[_BETWEEN_MONTHS].mean(), tmax[_BETWEEN_MONTHS].mean()
    return float(winter[0]), float(winter[1]), float(between[0]), float(between[1])


@lru_cache(maxsize=64)
def _stations(without: frozenset[str]) -> _Known:
    used = [station for station in station_spreads() if station.place_id not in without]
    latitude, longitude = (np.array([getattr(s, name) for s in used]) for name in ("latitude", "longitude"))
    rules = stored_rules()
    logs = dict(zip(rules["place_id"].tolist(), rules["spread_logs"], strict=True))
    return _Known(
        _towards(latitude, longitude), np.array([logs[s.place_id] for s in used]), np.full(len(used), STATION_NOISE)
    )


@lru_cache(maxsize=256)
def _towns(without: frozenset[str]) -> _Known:
    towns = winter_minima()
    used = np.isfinite(towns.simulated_c) & np.array([name not in without for name in towns.place])
    nights = towns.coldest_nights_c[used]
    simulated = np.maximum(nights - towns.simulated_c[used], SHALLOWEST_C)
    known = np.maximum(nights - towns.known_c[used], SHALLOWEST_C)
    logs = np.clip(np.log(known / simulated), LEAST_LOG, GREATEST_LOG)
    return _Known(
        _towards(towns.latitude[used], towns.longitude[used]),
        np.stack([logs, logs], axis=1),
        np.hypot(TOWN_ERROR_C / simulated, TOWN_NOISE),
    )


def _kriged(here: Floats, known: _Known) -> Floats:
    """What is known, interpolated to one place (quantities,); 0 far from everything."""
    among = _covariance(known.towards, known.towards) + np.diag(known.error**2)
    weights = np.linalg.solve(among, _covariance(known.towards, here[None, :])[:, 0])
    values: Floats = weights @ known.logs
    return values


def regional_spread(latitude: float, longitude: float, without: Iterable[str] = ()) -> RegionalSpread:
    """How the day-to-day spread of a place differs from what its months let expect; far from every place known, not.

    ``without`` leaves out stations (by id) and towns (by name), for tests.
    """
    left_out = frozenset(without)
    here = _towards(np.array([latitude]), np.array([longitude]))[0]
    stations, towns = _stations(left_out), _towns(left_out)
    both = _Known(
        np.concatenate([stations.towards, towns.towards]),
        np.concatenate([stations.logs[:, :2], towns.logs]),
        np.concatenate([stations.error, towns.error]),
    )
    winter = _kriged(here, both)
    between = _kriged(here, _Known(stations.towards, stations.logs[:, 2:], stations.error))
    turn = 6 if latitude < 0 else 0
    tmin, tmax = (np.roll(WINTER * w + BETWEEN * b, turn) for w, b in zip(winter, between, strict=True))
    return RegionalSpread(tmin, tmax)
