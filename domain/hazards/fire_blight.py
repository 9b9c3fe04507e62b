"""Fire blight: days of bloom on which blossoms are infected.

Four conditions must meet (Biggs A. R., Turechek W. W., Fire blight of apples and pears: epidemiological concepts, Plant
Health Progress, 2010, after Steiner and Lightner): an open flower; enough degree hours within a window of degree days,
in which the bacteria multiply on it; wetness, by rain of the day, by more rain on the day before or by dew; and a warm
enough mean of the day.
"""

import numpy as np

from domain.common.arrays import Floats
from domain.hazards.infection_weather import DiseaseFigures, Infection, Orchard
from domain.weather.heat import degree_days
from domain.weather.wetness import dew_chance

LONGEST_WINDOW_DAYS = 10
"""On days warm enough to infect, the degree days of the window pass within this time."""


class BlossomFigures(DiseaseFigures, frozen=True):
    """Degree hours (C) above a warmth, the window (degree days, C) they must fall in, and the days flowers are open."""

    hours_above_c: float
    degree_hours: float
    window_base_c: float
    window_dd: float
    least_mean_c: float
    heavy_rain_share: float
    earlier_days: float
    later_days: float


def blossom_infection_days(orchard: Orchard, figures: BlossomFigures) -> Floats:
    """Days a year (years,) on which all conditions meet in the bloom."""
    first = orchard.stages.first_bloom - np.float32(figures.earlier_days)
    last = orchard.stages.petal_fall + np.float32(figures.later_days)
    start = max(int(np.floor(first.min())) - orchard.first_day, 0)
    days = slice(start, int(np.ceil(last.max())) - orchard.first_day + 1)
    tmin, tmax, wet = orchard.tmin_c[:, days], orchard.tmax_c[:, days], orchard.wet[:, days]
    open_flowers = orchard.within(first, last)[:, days]
    mean = np.float32(0.5) * (tmin + tmax)

    def total(daily: Floats) -> Floats:
        counted = np.where(open_flowers, daily, 0.0)
        summed: Floats = np.pad(np.cumsum(counted, axis=1), ((0, 0), (1, 0)))
        return summed

    hours = total(24.0 * degree_days(tmin, tmax, figures.hours_above_c))
    warmth = total(np.maximum(mean - figures.window_base_c, 0.0))
    potential = np.zeros_like(hours[:, 1:])
    width = potential.shape[1]
    for window in range(1, LONGEST_WINDOW_DAYS + 1):
        lag = min(window, width)
        fits = warmth[:, lag:] - warmth[:, : width + 1 - lag] <= figures.window_dd
        potential[:, lag - 1 :] = np.where(fits, hours[:, lag:] - hours[:, : width + 1 - lag], potential[:, lag - 1 :])

    yesterday = np.pad(wet[:, :-1], ((0, 0), (1, 0)))
    dry = (1.0 - wet) * (1.0 - figures.heavy_rain_share * yesterday) * (1.0 - dew_chance(wet))
    ready = open_flowers & (potential >= figures.degree_hours) & (mean >= figures.least_mean_c)
    infected: Floats = np.where(ready, 1.0 - dry, 0.0).sum(axis=1)
    return infected


def blossom_infection(orchard: Orchard, figures: BlossomFigures) -> Infection:
    """Blossom infection days of a year."""
    return Infection(blossom_infection_days(orchard, figures))
