"""Apple scab: days whose rain infects, by the revised Mills table, and the season of the primary infections.

Sources: Biggs A. R., Table 1, Mills table, West Virginia University, after MacHardy W. E., Gadoury D. M., A revision of
Mills's criteria for predicting apple scab infection periods, Phytopathology 79:304-310, 1989 (hours of wetness by
temperature; conidia need 2.5 h more; night rain counts from 07:00). Gadoury D. M., MacHardy W. E., A model to estimate
the maturity of ascospores of Venturia inaequalis, Phytopathology 72:901-904, 1982 (maturity follows degree days above
0 C); 60 % mature at 500 F and all at 900 F degree days from bud break: Gadoury et al. 1995, as a public page restates.
"""

import numpy as np

from domain.hazards.infection_weather import InfectionWeather, Orchard
from domain.tree_year.curves import Floats

MILLS_F = (34, 36, 37, 39, 41, 43, 45, 46, 48, 50, 52, 54, 55, 57, 59, 61, 75, 77, 79)
MILLS_H = (41, 35, 30, 28, 21, 18, 15, 13, 12, 11, 9, 8, 8, 7, 7, 6, 6, 8, 11)
"""Least hours of leaf wetness for infection by ascospores at each mean temperature."""

CONIDIA_MORE_H = 2.5

SPORES_SPENT_DD = 500.0
"""Degree days above 0 C from green tip until all ascospores are mature (900 F)."""

SECONDARY_DAYS = 45.0
"""Days after the primary season over which leaves and fruit are still young; common practice, no source."""
SECONDARY_WEIGHT = 0.3
"""A secondary infection counts this much of a primary one; common practice, no source."""

HALF_PRESSURE_DAYS = 6.5
"""Infection days that make half of the full pressure. Common practice, no source: a place with three or four in a
spring is known for little scab, one with twice as many as this is sprayed from green tip to June."""


def mills_hours(mean_c: Floats) -> Floats:
    """Hours of wetness that ascospores need at a mean temperature (C); inf below 1.1 C and above 26.1 C."""
    celsius = (np.array(MILLS_F) - 32.0) / 1.8
    hours = np.interp(mean_c, celsius, MILLS_H)
    needed: Floats = np.where((mean_c < celsius[0]) | (mean_c > celsius[-1]), np.inf, hours).astype(np.float32)
    return needed


def spores_spent(orchard: Orchard) -> Floats:
    """Season day (years,) on which all ascospores are mature and, after the next rain, gone."""
    after = orchard.within(orchard.stages.green_tip, np.full_like(orchard.stages.green_tip, 9999.0))
    warmth = np.cumsum(np.where(after, np.maximum(orchard.mean_c, 0.0), 0.0), axis=1)
    day: Floats = orchard.first_day + (warmth < SPORES_SPENT_DD).sum(axis=1).astype(np.float32)
    return day


def infection_days(orchard: Orchard) -> tuple[Floats, Floats]:
    """Days a year (years,) whose rain leads to infection: by ascospores in spring, and by conidia for a while after."""
    needed, spent = mills_hours(orchard.mean_c), spores_spent(orchard)
    primary = orchard.rain_lasts(needed, from_daylight=True)
    secondary = orchard.rain_lasts(needed + np.float32(CONIDIA_MORE_H))
    in_spring = orchard.within(orchard.stages.green_tip, spent)
    afterwards = orchard.within(spent, spent + np.float32(SECONDARY_DAYS))
    return np.where(in_spring, primary, 0.0).sum(axis=1), np.where(afterwards, secondary, 0.0).sum(axis=1)


def scab_weather(orchard: Orchard) -> InfectionWeather:
    """Infection days of a year: primary ones, and secondary ones by their weight."""
    primary, secondary = infection_days(orchard)
    return InfectionWeather(
        disease="scab",
        measure="days whose rain infects, from green tip to early summer",
        by_year=primary + SECONDARY_WEIGHT * secondary,
        half_pressure=HALF_PRESSURE_DAYS,
    )
