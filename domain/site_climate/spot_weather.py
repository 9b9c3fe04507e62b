"""The weather of the spot in the climate of its place: cold air by how it lies, warm days by how its ground slopes.

What was measured at the spot itself, or told of it, is not counted a second time; the answer says so.
"""

from dataclasses import replace

import msgspec
import numpy as np

from domain.common.assumptions import Assumption
from domain.common.season_days import YEAR_DAYS
from domain.site_climate.figures import Fitted
from domain.site_climate.predicted_figures import FROST_DAYS_PER_C
from domain.site_climate.site import Site, Slope
from domain.tables.words import assume
from domain.weather.cold_air import FIGURES as COLD_AIR
from domain.weather.cold_air import lie_m, with_minima_shifted
from domain.weather.normals import MONTH_DAYS
from domain.weather.seasons import seasons
from domain.weather.slope_sun import with_maxima_shifted
from domain.weather.weather_generator import DailyWeather, Field, season_days_of_year

SPRING_DAYS = {False: np.arange(59, 151), True: np.arange(243, 334)}
"""Days of the year, 0 to 364, of the three months in which apples come into bloom, north and south."""


def at_the_spot(found: Fitted, latitude: float, site: Site, recorded: bool, assumptions: list[Assumption]) -> Fitted:
    """The climate of the place as it is at the spot; what was taken for granted of it is added to the assumptions."""
    metres = _lie_m(site, recorded, assumptions)
    if metres:
        found = _with_weather(found, with_minima_shifted(found.seasons.weather, metres), COLD_AIR.lie_spread_c)
    slope = _slope_of(site, recorded, assumptions)
    return found if slope is None else _on_slope(found, latitude, slope, assumptions)


def _lie_m(site: Site, recorded: bool, assumptions: list[Assumption]) -> float:
    """Metres by which the spot lies higher in the cold air than stations do, as far as nothing else told it."""
    lie = None if site.ground is None else site.ground.lie
    if lie is None or not lie_m(lie):
        return 0.0
    told = [field for field in ("last_spring_frost", "first_autumn_frost") if getattr(site, field) is not None]
    if site.winter_minimum is not None and site.winter_minimum.mean_annual_minimum_c is not None:
        told.append("winter_minimum")
    if recorded:
        assumptions.append(assume("ground/lie", "lie_in_the_records"))
        return 0.0
    if told:
        code = "lie_in_a_figure" if len(told) == 1 else "lie_in_figures"
        assumptions.append(assume("ground/lie", code, figures=tuple(told)))
        return 0.0
    degrees = COLD_AIR.warmer_per_m * lie_m(lie)
    code = "lie_warmer" if degrees > 0 else "lie_colder"
    each_100_m = 100.0 * COLD_AIR.warmer_per_m
    assumptions.append(assume("ground/lie", code, difference_c=abs(degrees), each_100_m_c=each_100_m))
    return lie_m(lie)


def _slope_of(site: Site, recorded: bool, assumptions: list[Assumption]) -> Slope | None:
    """The slope as told, where it was not in what else was told."""
    slope = None if site.ground is None else site.ground.slope
    if slope is None or slope.steepness_deg == 0.0:
        return None
    if recorded:
        assumptions.append(assume("ground/slope", "lie_in_the_records"))
        return None
    if site.bloom_date is not None:
        assumptions.append(assume("ground/slope", "lie_in_a_figure", figures=(site.bloom_field,)))
        return None
    return slope


def _on_slope(found: Fitted, latitude: float, slope: Slope, assumptions: list[Assumption]) -> Fitted:
    """The same climate with the days of a slope, which are warmer or cooler in spring."""
    weather = with_maxima_shifted(found.seasons.weather, latitude, slope.steepness_deg, slope.faces_deg)
    spring = np.isin(season_days_of_year(weather.south), SPRING_DAYS[weather.south])
    shift = float((weather.tmax_c - found.seasons.weather.tmax_c)[:, spring].mean())
    code = "slope_warmer" if shift >= 0.0 else "slope_cooler"
    assumptions.append(assume("ground/slope", code, difference_c=abs(shift)))
    return _with_weather(found, weather)


def _with_weather(found: Fitted, weather: DailyWeather, minima_spread_c: float = 0.0) -> Fitted:
    """The same climate with the days and nights of the spot; minima are known less well by a standard deviation."""
    year = slice(0, YEAR_DAYS)
    month = np.searchsorted(np.cumsum(MONTH_DAYS), season_days_of_year(weather.south)[year], side="right")

    def moved(normals: tuple[float, ...], now: Field, before: Field) -> tuple[float, ...]:
        shift = (now[:, year] - before[:, year]).mean(axis=0, dtype=np.float64)
        return tuple((np.array(normals) + np.array([shift[month == m].mean() for m in range(12)])).tolist())

    old = found.seasons.weather
    normals = msgspec.structs.replace(
        found.normals,
        tmin_c=moved(found.normals.tmin_c, weather.tmin_c, old.tmin_c),
        tmax_c=moved(found.normals.tmax_c, weather.tmax_c, old.tmax_c),
    )
    spread = replace(
        found.spread,
        last_frost_days=float(np.hypot(found.spread.last_frost_days, minima_spread_c * FROST_DAYS_PER_C)),
        winter_minimum_c=float(np.hypot(found.spread.winter_minimum_c, minima_spread_c)),
    )
    return replace(found, normals=normals, seasons=seasons(weather), spread=spread)
