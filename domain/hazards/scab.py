"""Apple scab: days whose rain infects, by the revised Mills table, and the season of the primary infections."""

import numpy as np

from domain.common.arrays import Floats
from domain.hazards.infection_weather import DiseaseFigures, Infection, Orchard


class ScabFigures(DiseaseFigures, frozen=True):
    """Hours of wetness (h) at each mean temperature (F) as the table prints them, and the season of the spores."""

    wetness_f: tuple[float, ...]
    wetness_h: tuple[float, ...]
    conidia_more_h: float
    spores_spent_dd: float
    secondary_days: float
    secondary_weight: float


def mills_hours(mean_c: Floats, figures: ScabFigures) -> Floats:
    """Hours of wetness that ascospores need at a mean temperature (C); inf outside the temperatures of the table."""
    celsius = (np.array(figures.wetness_f) - 32.0) / 1.8
    hours = np.interp(mean_c, celsius, figures.wetness_h)
    needed: Floats = np.where((mean_c < celsius[0]) | (mean_c > celsius[-1]), np.inf, hours).astype(np.float32)
    return needed


def spores_spent(orchard: Orchard, figures: ScabFigures) -> Floats:
    """Season day (years,) on which all ascospores are mature and, after the next rain, gone."""
    after = orchard.within(orchard.stages.green_tip, np.full_like(orchard.stages.green_tip, 9999.0))
    warmth = np.cumsum(np.where(after, np.maximum(orchard.mean_c, 0.0), 0.0), axis=1)
    day: Floats = orchard.first_day + (warmth < figures.spores_spent_dd).sum(axis=1).astype(np.float32)
    return day


def infection_days(orchard: Orchard, figures: ScabFigures) -> tuple[Floats, Floats]:
    """Days a year (years,) whose rain leads to infection: by ascospores in spring, and by conidia for a while after.

    Night rain counts for ascospores from daylight.
    """
    spent, later = spores_spent(orchard, figures), np.float32(figures.conidia_more_h)
    in_spring = orchard.within(orchard.stages.green_tip, spent)
    afterwards = orchard.within(spent, spent + np.float32(figures.secondary_days))
    primary = orchard.rain_lasts(lambda mean: mills_hours(mean, figures), in_spring, from_daylight=True)
    return primary, orchard.rain_lasts(lambda mean: mills_hours(mean, figures) + later, afterwards)


def scab_infection(orchard: Orchard, figures: ScabFigures) -> Infection:
    """Infection days of a year: primary ones, and secondary ones by their weight."""
    primary, secondary = infection_days(orchard, figures)
    return Infection(primary + figures.secondary_weight * secondary)
