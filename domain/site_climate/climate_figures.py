"""The few figures by which the climates of two places are compared."""

from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import YEAR_DAYS
from domain.site_climate.site_years import SiteYears
from domain.tables.parameters import figures
from domain.tree_year.clock import SiteClock
from domain.tree_year.ripening import summer_heat
from domain.weather.frost_dates import first_autumn_frost_days, last_spring_frost_days
from domain.weather.normals import monthly_means


@dataclass(frozen=True)
class ClimateFigures:
    """Climate of a place.

    Means of the warmest and the coldest month and of the yearly minima (C); degree days above 10 C from bloom to the
    end of the season and days without frost, both of the middle year; days with rain in the growing season; chill
    portions of the middle winter.
    """

    warmest_month_c: float
    coldest_month_c: float
    yearly_minimum_c: float
    summer_dd10: float
    frost_free_days: float
    rain_days: float
    chill_portions: float


class ComparedFigures(msgspec.Struct, frozen=True):
    """See parameters/site_climate.csv, subject climate_figures."""

    least_dd10: float
    longest_season_days: float


COMPARED = figures("site_climate", "climate_figures", ComparedFigures)

FIGURES = tuple(ClimateFigures.__dataclass_fields__)
"""Their names, in the order of `as_array`."""


def as_array(climate: ClimateFigures) -> NDArray[np.float64]:
    """The figures (7,) as they are compared.

    Heat as its logarithm, since a warm summer doubles it; a season without frost no longer than any apple hangs.
    """
    values = {name: getattr(climate, name) for name in FIGURES}
    values["summer_dd10"] = np.log(max(climate.summer_dd10, COMPARED.least_dd10))
    values["frost_free_days"] = min(climate.frost_free_days, COMPARED.longest_season_days)
    return np.array(list(values.values()), dtype=np.float64)


def climate_figures(years: SiteYears, clock: SiteClock) -> ClimateFigures:
    """The figures of a site's years."""
    weather, months = years.seasons.weather, monthly_means(years.normals)
    last, first = last_spring_frost_days(weather), first_autumn_frost_days(weather, from_day=YEAR_DAYS)
    begins = np.where(np.isnan(last), 0.0, last)
    free = np.where(np.isnan(first), YEAR_DAYS, np.minimum(first - begins, YEAR_DAYS))
    return ClimateFigures(
        warmest_month_c=float(months.max()),
        coldest_month_c=float(months.min()),
        yearly_minimum_c=float(years.seasons.winter_minimum_c.mean()),
        summer_dd10=float(np.median(summer_heat(clock))),
        frost_free_days=float(np.median(free)),
        rain_days=years.rain_days_growing_season,
        chill_portions=float(np.median(clock.chill_total)),
    )
