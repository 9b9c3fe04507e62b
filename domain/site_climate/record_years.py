"""From the complete seasons of a record to the years of a site.

With fifteen seasons or more the record itself is the ensemble. With fewer its monthly means and day-to-day spread are
the middle of a climate that is known within what so few years leave open, and two hundred years are simulated about it:
nine years cannot show the winter of one year in ten.
"""

from typing import Any

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import running_total
from domain.common.season_days import SEASON_DAYS
from domain.site_climate import predicted_figures as predicted
from domain.site_climate.climate_prior import ClimatePrior, seasonal_modes
from domain.site_climate.figures import ClimateSpread, method_spread
from domain.site_climate.predicted_figures import Blocks
from domain.site_climate.records import Record
from domain.tables.parameters import figures
from domain.weather import chill
from domain.weather.hour_tables import DayCounter, as_steps, degree_hours
from domain.weather.normals import monthly_means
from domain.weather.regional_spread import RegionalSpread
from domain.weather.seasons import Quantity, Seasons, dormancy_days, seasons
from domain.weather.variability import expected_variability

Floats = NDArray[np.float64]


class RecordYearFigures(msgspec.Struct, frozen=True):
    """What a record leaves open of the climate."""

    enough_seasons: int
    year_sd_c: float
    season_sd_c: float
    range_sd_c: float
    range_season_sd_c: float
    station_c: float
    chill_floor: float
    frost_floor_days: float
    minimum_floor_c: float
    summer_floor_c: float
    within_month_share: float


FIGURES = figures("site_climate", "record_years", RecordYearFigures)


DAYS_AT_ONCE = 32


def record_seasons(record: Record) -> Seasons:
    """Chill and heat of the record's own seasons: from its hours if it has them, else from hours made of its days."""
    if record.hours is None:
        return seasons(record.weather)
    hours, count = record.hours, len(record.hours)
    first, last = dormancy_days(record.weather.south)
    portions, degrees = (np.zeros((SEASON_DAYS, count), np.float32) for _ in range(2))
    counter, index = DayCounter(count), as_steps(np.moveaxis(hours, 0, 2)).astype(np.intp)
    portions[first : last + 1] = counter.portions(index[first : last + 1])
    for start in range(0, SEASON_DAYS, DAYS_AT_ONCE):
        days = slice(start, start + DAYS_AT_ONCE)
        degrees[days] = degree_hours(index[days])
    by_hour = np.moveaxis(hours, 2, 0)
    daily: dict[Quantity, NDArray[Any]] = {
        "chill_portions": portions.T,
        "growing_degree_hours": degrees.T,
        "hours_below_7_2c": chill.hours_below_7_2c(by_hour),
        "hours_0_to_7_2c": chill.hours_0_to_7_2c(by_hour),
        "utah_units": chill.utah_units(hours).sum(axis=2),
    }
    return Seasons(record.weather, {quantity: running_total(values) for quantity, values in daily.items()})


def record_spread(made: Seasons) -> ClimateSpread:
    """What the seasons of a long record leave open of the climate: the standard errors of their means."""
    blocks = Blocks(made, 1)
    root = np.sqrt(len(made.weather.tmin_c))
    summer = made.mean_temperature_c[:, :365].reshape(len(made.weather.tmin_c), -1)
    middle = int(np.argmax(np.convolve(summer.mean(axis=0), np.ones(30) / 30.0, mode="valid")))
    warmest = summer[:, middle : middle + 30].mean(axis=1)
    values = (
        predicted.chill(blocks, "chill_portions", None),
        predicted.last_frost(blocks, 0.0),
        predicted.winter_minimum(blocks),
        warmest,
        predicted.bloom(blocks),
    )
    floors = (
        FIGURES.chill_floor,
        FIGURES.frost_floor_days,
        FIGURES.minimum_floor_c,
        FIGURES.summer_floor_c,
        method_spread().bloom_days,
    )
    return ClimateSpread(
        *(float(np.hypot(np.std(v, ddof=1) / root, floor)) for v, floor in zip(values, floors, strict=True))
    )


def prior_of_record(record: Record, latitude: float) -> ClimatePrior:
    """The climate about a short record: its means, its day-to-day spread, and what its few years leave open."""
    count = len(record.weather.tmin_c)
    mean = monthly_means(record.normals)
    spread = np.array(record.normals.tmax_c) - np.array(record.normals.tmin_c)
    expected = expected_variability(record.normals, latitude).tmin_sd_c
    known = np.isfinite(record.tmin_sd_c) & (record.tmin_sd_c > 0)
    # The slow part of the weather mostly moves whole months: what varies within them is the rest.
    ratio = (
        float(np.mean(np.log(record.tmin_sd_c[known] / (FIGURES.within_month_share * expected[known]))))
        if known.any()
        else 0.0
    )
    open_ = 1.0 / np.sqrt(count)
    return ClimatePrior(
        latitude=latitude,
        tmean_c=mean,
        range_c=spread,
        modes=seasonal_modes(
            latitude,
            year_c=float(np.hypot(FIGURES.year_sd_c * open_, FIGURES.station_c)),
            winter_c=float(FIGURES.season_sd_c * open_),
            spring_c=float(FIGURES.season_sd_c * open_),
            range_c=float(FIGURES.range_sd_c * open_),
            range_winter_c=float(FIGURES.range_season_sd_c * open_),
            nights_c=float(FIGURES.range_season_sd_c * open_),
        ),
        rain_mm=None if record.normals.rain_mm is None else np.array(record.normals.rain_mm),
        rain_days=None if record.normals.rain_days is None else np.array(record.normals.rain_days),
        regional=RegionalSpread.even(ratio),
    )
