"""Diurnal range and rain days of a place, by rules fitted to published station normals.

The climatology has monthly means only. The difference of mean maximum and mean minimum follows dryness, nearness of
the sea, continentality, height, relief and latitude: a Gaussian process (Rasmussen C. E., Williams C. K. I., Gaussian
Processes for Machine Learning, MIT Press, 2006, algorithm 2.1: written from memory of it) with a linear and a smooth
part over some fifty stations on five continents (``reference_tables/climate/station_ranges.csv``), fitted beforehand
(station_rules.py). One place left out (with its neighbours), its error is 1.8 C; most of it is the same in all months
of a place, as a valley has a wide range and a slope a narrow one.

Rain days (1 mm or more) follow the rain of the month and its warmth: showers of warm months are heavier.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from domain.weather.climatology import PlaceClimate, place_climate
from domain.weather.normals import MONTH_DAYS
from domain.weather.station_rules import stored_rules, symmetric
from reference_tables.climate import StationMonths, station_months

Floats = NDArray[np.float64]

RANGE_SPREAD_C = 1.8
"""Standard deviation of the rule's error in a month of a place left out, as the tests measure it."""
TOO_SURE = 1.08
"""By how much the errors of places left out exceed what the process itself gives for them (the tests measure it)."""
LINEAR_C, SMOOTH_C, SMOOTH_LENGTH, LEVEL_C = 2.0, 2.0, 3.0, 3.0
"""Standard deviations of the linear part, the smooth part and the level, and the length of the smooth part in standard
deviations of the predictors together."""
STATION_C, MONTH_C, ROUGH_C = 1.0, 0.8, 1.0
"""What the predictors cannot know: of a station, of a month, and of figures printed in whole degrees."""
NEIGHBOUR_DEGREES = 1.4
LEAST_RANGE_C, GREATEST_RANGE_C = 3.0, 20.0

_MID_MONTH = np.array([17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344])


@dataclass(frozen=True)
class RangeRule:
    """A fitted rule: the scaled predictors of its stations' months (n, k), and the weight of each month (n,).

    precision: (n, n), inverse covariance of the months.
    """

    centre: Floats
    scale: Floats
    months: Floats
    weights: Floats
    mean_c: float
    precision: Floats


def outside_radiation(latitude: float) -> Floats:
    """Sun above the air in mid month (12,), MJ per square metre and day: FAO-56 equations 21 to 25."""
    turn = 2.0 * np.pi * _MID_MONTH / 365.0
    declination, distance = 0.409 * np.sin(turn - 1.39), 1.0 + 0.033 * np.cos(turn)
    phi = np.radians(latitude)
    sunset = np.arccos(np.clip(-np.tan(phi) * np.tan(declination), -1.0, 1.0))
    daily: Floats = (
        37.6
        * distance
        * (sunset * np.sin(phi) * np.sin(declination) + np.cos(phi) * np.cos(declination) * np.sin(sunset))
    )
    return daily


def predictors(place: PlaceClimate, latitude: float) -> Floats:
    """The predictors of the diurnal range (12, k) of a place."""
    sun = outside_radiation(latitude)
    demand = 0.0023 * sun / 2.45 * np.maximum(place.tmean_c + 17.8, 1.0) * np.sqrt(10.0) * 30.4  # Hargreaves, range 10
    moisture = np.log((place.cell_rain_mm + 8.0) / (demand + 30.0))
    month_before = np.log((np.roll(place.cell_rain_mm, 1) + 8.0) / (np.roll(demand, 1) + 30.0))
    amplitude = float(np.ptp(place.tmean_c))
    continentality = 1.7 * amplitude / np.sin(np.radians(abs(latitude) + 10.0)) - 14.0  # after Gorczynski and Conrad
    columns = (
        moisture,
        month_before,
        moisture * continentality / 10.0,
        np.full(12, np.exp(-place.coast_km / 60.0)),
        moisture * place.sea_share,
        np.full(12, abs(latitude) / 10.0),
        (place.tmean_c / 10.0) ** 2,
        sun * amplitude / 200.0,
        np.full(12, place.elevation_m / 1000.0),
        np.full(12, place.relief_m / 200.0),
        sun / 20.0,
        np.full(12, amplitude / 10.0),
        place.tmean_c / 10.0,
        np.full(12, np.log(place.cell_rain_mm.sum() + 100.0)),
    )
    return np.stack(columns, axis=1)


def _likeness(a: Floats, b: Floats) -> Floats:
    """Covariance (len(a), len(b)) of the diurnal ranges of months with the scaled predictors a and b."""
    inner = a @ b.T
    apart = (a**2).sum(axis=1)[:, None] + (b**2).sum(axis=1)[None, :] - 2.0 * inner
    smooth = SMOOTH_C**2 * np.exp(-0.5 * apart / SMOOTH_LENGTH**2)
    covariance: Floats = LINEAR_C**2 * inner / a.shape[1] + smooth + LEVEL_C**2
    return covariance


def fit(stations: Iterable[StationMonths]) -> RangeRule:
    """The rule that the stations give."""
    used = tuple(stations)
    places = [place_climate(s.latitude, s.longitude, s.elevation_m) for s in used]
    x = np.concatenate([predictors(place, s.latitude) for place, s in zip(places, used, strict=True)])
    y = np.concatenate([s.range_c for s in used])
    centre, scale = x.mean(axis=0), x.std(axis=0)
    months = (x - centre) / scale
    station = np.repeat(np.arange(len(used)), 12)
    rough = np.repeat([s.rough for s in used], 12)
    noise = STATION_C**2 * (station[:, None] == station[None, :]) + np.diag(MONTH_C**2 + ROUGH_C**2 * rough)
    precision = np.linalg.inv(_likeness(months, months) + noise)
    return RangeRule(centre, scale, months, precision @ (y - y.mean()), float(y.mean()), precision)


def neighbours(station: StationMonths) -> frozenset[str]:
    """Ids of the station and of those within about 150 km of it, which are left out together."""
    shrink = np.cos(np.radians(station.latitude))
    return frozenset(
        other.place_id
        for other in station_months()
        if np.hypot(other.latitude - station.latitude, (other.longitude - station.longitude) * shrink)
        < NEIGHBOUR_DEGREES
    )


@lru_cache(maxsize=64)
def range_rule(without: frozenset[str] = frozenset()) -> RangeRule:
    """The rule of all stations, as stored, or fitted to all but those left out."""
    if not without:
        stored = stored_rules()
        months = stored["months"]
        precision = symmetric(stored["precision"], len(months))
        return RangeRule(
            stored["centre"], stored["scale"], months, stored["weights"], float(stored["mean_c"]), precision
        )
    return fit(s for s in station_months() if s.place_id not in without)


def diurnal_range(place: PlaceClimate, latitude: float, rule: RangeRule | None = None) -> Floats:
    """Mean daily maximum less mean daily minimum of each month (12,), C; its spread is RANGE_SPREAD_C."""
    used = range_rule() if rule is None else rule
    months = (predictors(place, latitude) - used.centre) / used.scale
    values = used.mean_c + _likeness(months, used.months) @ used.weights
    clipped: Floats = np.clip(values, LEAST_RANGE_C, GREATEST_RANGE_C)
    return clipped


def range_spread(place: PlaceClimate, latitude: float, rule: RangeRule | None = None) -> float:
    """Standard deviation (C) of the rule's error that is common to all months of a place.

    1.2 C where stations of like climates are known, twice as much on tropical highlands and where hardly any are.
    """
    used = range_rule() if rule is None else rule
    months = (predictors(place, latitude) - used.centre) / used.scale
    known = _likeness(months, used.months)
    left = _likeness(months, months) - known @ used.precision @ known.T
    return TOO_SURE * float(np.sqrt(max(float(left.mean()), 0.0) + STATION_C**2))


def fit_rain_days() -> Floats:
    """Constant, power of the month's rain and factor of its warmth (3,) in the logarithm of rain days."""
    rows, days = [], []
    for station in station_months():
        if station.rain_mm is None or station.rain_days is None:
            continue
        warmth = np.maximum(place_climate(station.latitude, station.longitude, station.elevation_m).tmean_c, 0.0)
        for month in np.nonzero(station.rain_mm > 3.0)[0]:
            rows.append((1.0, np.log(station.rain_mm[month]), warmth[month]))
            days.append(np.log(max(float(station.rain_days[month]), 0.3)))
    rule: Floats = np.linalg.lstsq(np.array(rows), np.array(days), rcond=None)[0]
    return rule


def rain_days(rain_mm: Floats, tmean_c: Floats) -> Floats:
    """Days with 1 mm of rain or more in each month (12,); one place left out, the error is about 3 days a month."""
    constant, power, warmth = stored_rules()["rain_days"]
    days: Floats = np.exp(constant + power * np.log(np.maximum(rain_mm, 0.1)) + warmth * np.maximum(tmean_c, 0.0))
    return np.minimum(days, MONTH_DAYS * 0.95)
