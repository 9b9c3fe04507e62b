"""From the complete seasons of a record to the years of a site.

With fifteen seasons or more the record itself is the ensemble. With fewer its monthly means and day-to-day spread are
the middle of a climate that is known within what so few years leave open, and two hundred years are simulated about it:
nine years cannot show the winter of one year in ten.
"""

import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import SEASON_DAYS
from domain.site_climate import predicted_figures as predicted
from domain.site_climate.climate_prior import ClimatePrior, seasonal_modes
from domain.site_climate.figures import METHOD_SPREAD, ClimateSpread
from domain.site_climate.predicted_figures import Blocks
from domain.site_climate.records import Record
from domain.weather import chill, heat
from domain.weather.normals import monthly_means
from domain.weather.regional_spread import RegionalSpread
from domain.weather.seasons import Seasons, dormancy_days, seasons
from domain.weather.variability import expected_variability

Floats = NDArray[np.float64]

ENOUGH_SEASONS = 15
YEAR_SD_C, SEASON_SD_C = 0.8, 1.2
"""Standard deviation of one year's mean temperature about the climate, and of its winter against its summer: common
practice of climatology, no source; 30 years then leave 0.15 C open."""


def record_seasons(record: Record) -> Seasons:
    """Chill and heat of the record's own seasons: from its hours if it has them, else from hours made of its days."""
    if record.hours is None:
        return seasons(record.weather)
    hours, count = record.hours, len(record.hours)
    first, last = dormancy_days(record.weather.south)
    counter = chill.PortionCounter((count,))
    portions = np.zeros((SEASON_DAYS, count))
    for day in range(first, last + 1):
        portions[day] = counter.add(np.ascontiguousarray(hours[:, day].T))
    by_hour = np.moveaxis(hours, 2, 0)
    by_day = (
        portions.T,
        heat.growing_degree_hours(hours).sum(axis=2),
        chill.hours_below_7_2c(by_hour),
        chill.hours_0_to_7_2c(by_hour),
        chill.utah_units(hours).sum(axis=2),
    )
    return Seasons(record.weather, *(np.cumsum(daily, axis=1, dtype=np.float64).astype(np.float32) for daily in by_day))


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
    floors = (1.5, 1.0, 0.3, 0.2, METHOD_SPREAD.bloom_days)
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
    ratio = float(np.mean(np.log(record.tmin_sd_c[known] / (0.94 * expected[known])))) if known.any() else 0.0
    open_ = 1.0 / np.sqrt(count)
    return ClimatePrior(
        latitude=latitude,
        tmean_c=mean,
        range_c=spread,
        modes=seasonal_modes(
            latitude,
            year_c=float(np.hypot(YEAR_SD_C * open_, 0.1)),
            winter_c=float(SEASON_SD_C * open_),
            spring_c=float(SEASON_SD_C * open_),
            range_c=float(0.6 * open_),
            range_winter_c=float(0.5 * open_),
        ),
        rain_mm=None if record.normals.rain_mm is None else np.array(record.normals.rain_mm),
        rain_days=None if record.normals.rain_days is None else np.array(record.normals.rain_days),
        regional=RegionalSpread.even(ratio),
    )
