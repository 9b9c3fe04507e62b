"""Fire blight: days of bloom on which blossoms are infected.

Four conditions must meet (Biggs A. R., Turechek W. W., Fire blight of apples and pears: epidemiological concepts, Plant
Health Progress, 2010, after Steiner and Lightner; the figures as a manual of a maker of weather stations and the fire
blight key of UMass, Belchertown 2003, state them): an open flower; at least 110 C hours (198 F hours) above 18.3 C
within the last 44 degree days (C) above 4.4 C, in which the bacteria multiply on it; wetness, by rain of the day, by
more rain on the day before or by dew; and a mean of the day of at least 15.6 C.
"""

import numpy as np

from domain.hazards.infection_weather import InfectionWeather, Orchard
from domain.tree_year.curves import Floats
from domain.weather.heat import degree_days
from domain.weather.wetness import dew_chance

DEGREE_HOURS_ABOVE_C, DEGREE_HOURS_NEEDED = 18.3, 110.0
WINDOW_BASE_C, WINDOW_DEGREE_DAYS = 4.4, 44.0
LEAST_MEAN_C = 15.6
LONGEST_WINDOW_DAYS = 10
"""On days warm enough to infect, 44 degree days pass within this time."""

HEAVY_RAIN_SHARE = 0.65
"""Share of wet days with 2.5 mm or more, enough to wet flowers the day after; common practice, no source."""

EARLIER_DAYS, LATER_DAYS = 3.0, 6.0
"""Flowers of other cultivars and stray ones open before first bloom and after petal fall of the middling tree."""

HALF_PRESSURE_DAYS = 0.7
"""Infection days that make half of the full pressure: one is enough to blight the trees. Common practice, no source; a
usual season of Washington, where it is feared, has none to two such events (Smith T., WSU Extension alerts, 2014)."""

ELSEWHERE = 0.1
"""What is left of the pressure where fire blight is not established."""


def blossom_infection_days(orchard: Orchard) -> Floats:
    """Days a year (years,) on which all conditions meet in the bloom."""
    first = orchard.stages.first_bloom - np.float32(EARLIER_DAYS)
    last = orchard.stages.petal_fall + np.float32(LATER_DAYS)
    start = max(int(np.floor(first.min())) - orchard.first_day, 0)
    days = slice(start, int(np.ceil(last.max())) - orchard.first_day + 1)
    tmin, tmax, wet = orchard.tmin_c[:, days], orchard.tmax_c[:, days], orchard.wet[:, days]
    open_flowers = orchard.within(first, last)[:, days]
    mean = np.float32(0.5) * (tmin + tmax)

    def total(daily: Floats) -> Floats:
        counted = np.where(open_flowers, daily, 0.0)
        summed: Floats = np.pad(np.cumsum(counted, axis=1), ((0, 0), (1, 0)))
        return summed

    hours = total(24.0 * degree_days(tmin, tmax, DEGREE_HOURS_ABOVE_C))
    warmth = total(np.maximum(mean - WINDOW_BASE_C, 0.0))
    potential = np.zeros_like(hours[:, 1:])
    width = potential.shape[1]
    for window in range(1, LONGEST_WINDOW_DAYS + 1):
        lag = min(window, width)
        fits = warmth[:, lag:] - warmth[:, : width + 1 - lag] <= WINDOW_DEGREE_DAYS
        potential[:, lag - 1 :] = np.where(fits, hours[:, lag:] - hours[:, : width + 1 - lag], potential[:, lag - 1 :])

    yesterday = np.pad(wet[:, :-1], ((0, 0), (1, 0)))
    dry = (1.0 - wet) * (1.0 - HEAVY_RAIN_SHARE * yesterday) * (1.0 - dew_chance(wet))
    ready = open_flowers & (potential >= DEGREE_HOURS_NEEDED) & (mean >= LEAST_MEAN_C)
    infected: Floats = np.where(ready, 1.0 - dry, 0.0).sum(axis=1)
    return infected


def fire_blight_weather(orchard: Orchard) -> InfectionWeather:
    """Blossom infection days of a year, and the pressure where the bacteria are."""
    return InfectionWeather(
        disease="fire_blight",
        measure="days of bloom on which blossoms are infected",
        by_year=blossom_infection_days(orchard),
        half_pressure=HALF_PRESSURE_DAYS,
        chance_present=1.0 if orchard.fire_blight else ELSEWHERE,
    )
