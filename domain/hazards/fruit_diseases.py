"""Rots, leaf spot and blemishes of warm wet summers: black, bitter and white rot, Glomerella, sooty blotch."""

import numpy as np
from numpy.typing import NDArray

from domain.hazards.infection_weather import InfectionWeather, Orchard
from domain.tree_year.curves import Floats
from domain.weather.wetness import spell_hours, wet_hours

BLACK_ROT_LIGHT_H_C2 = 3527.7
BLACK_ROT_SEVERE = 13.0 / 4.5
BLACK_ROT_C = (8.0, 32.0)
"""Wetness (h) for light infection of leaves is the first over the square of the temperature (C), about 5 h at the
optimum of 26.6 C; severe infection takes 13 h there against 4.5 (Arauz L. F., Sutton T. B., Temperature and wetness
duration requirements for apple infection by Botryosphaeria obtusa, Phytopathology 79:440-444, 1989). That the same
ratio holds at other temperatures is an assumption, the upper bound of temperature is from memory."""

BLACK_ROT_HALF_DAYS = 8.0
"""Common practice, no source, as the other counts of half pressure here: black rot is a disease of hot wet summers and
little thought of where a summer brings half as many infections."""

BITTER_ROT_C = (13.0, 34.01)
BITTER_ROT_RISE, BITTER_ROT_FALL = 1.78, 1.09
BITTER_ROT_WET = (14.0, 0.137)
"""Severity of infection by Colletotrichum: 0.00145 (T - 13)^1.78 (34.01 - T)^1.09 times 25 / (1 + 14 exp(-0.137 W)), T
the temperature (C), W hours of wetness (Epidemiology of apple leaf spot, Fitopatologia Brasileira 27, 2002, abstract).
Bitter rot of the fruit is by the same fungi: lesions need more than 15 C, and wet days (European Journal of Plant
Pathology, 2018, New Zealand); spores germinate best at 26 to 27 C (New England Tree Fruit Management Guide)."""

ROT_GROWS_C = (15.0, 30.0)
"""Lesions on the fruit grow not at all at the first, fastest at the second temperature (the same two texts: more than
15 C in New Zealand, 86 F in New England)."""

BITTER_ROT_HALF_DAYS = 4.0
GLOMERELLA_HALF_DAYS = 9.0

GLOMERELLA_WINTER_C = (-2.0, 8.0)
"""The leaf spot overwinters in dormant buds and twigs, not in fallen leaves or mummies (same source); it is a yearly
disease in North Carolina (NC State Extension) and southern Brazil. That colder winters than this (mean of the coldest
month, C) keep it away, by degrees, is from memory."""

FRUIT_FROM_DAYS = 20.0
"""Days from petal fall until the rots are counted; common practice, no source."""


def _summer(orchard: Orchard) -> NDArray[np.bool_]:
    return orchard.within(orchard.stages.petal_fall + np.float32(FRUIT_FROM_DAYS), orchard.stages.picking)


def black_rot_weather(orchard: Orchard) -> InfectionWeather:
    """Rains of the summer that last as long as black rot needs."""
    mean = orchard.mean_c
    needed = BLACK_ROT_SEVERE * BLACK_ROT_LIGHT_H_C2 / np.maximum(mean, 1.0) ** 2
    needed = np.where((mean < BLACK_ROT_C[0]) | (mean > BLACK_ROT_C[1]), np.inf, needed).astype(np.float32)
    return InfectionWeather(
        disease="black_rot",
        measure="summer days whose rain infects severely",
        by_year=np.where(_summer(orchard), orchard.rain_lasts(needed), 0.0).sum(axis=1),
        half_pressure=BLACK_ROT_HALF_DAYS,
    )


def colletotrichum_severity(mean_c: Floats, wet_h: Floats) -> Floats:
    """Severity of an infection at a temperature (C) and hours of wetness: 1 at the best warmth in long wetness."""
    (low, high), (scale, rate) = BITTER_ROT_C, BITTER_ROT_WET
    span, both = high - low, BITTER_ROT_RISE + BITTER_ROT_FALL
    highest = (span * BITTER_ROT_RISE / both) ** BITTER_ROT_RISE * (span * BITTER_ROT_FALL / both) ** BITTER_ROT_FALL
    t = np.clip(mean_c, low, high)
    warmth = (t - low) ** BITTER_ROT_RISE * (high - t) ** BITTER_ROT_FALL / highest
    severity: Floats = warmth / (1.0 + scale * np.exp(-rate * wet_h))
    return severity


def bitter_rot_weather(orchard: Orchard) -> tuple[InfectionWeather, InfectionWeather, InfectionWeather]:
    """Bitter rot, white rot and Glomerella leaf spot: warm rains of the summer, each by its severity."""
    severity = orchard.wet * colletotrichum_severity(orchard.mean_c, orchard.stretch * spell_hours(orchard.wet))
    leaves = np.where(_summer(orchard), severity, 0.0)
    fruit = leaves * np.interp(orchard.mean_c, ROT_GROWS_C, (0.0, 1.0))
    measure = "warm rains of the summer, each by how severely it infects"
    mild = float(np.interp(orchard.winter_mean_c, GLOMERELLA_WINTER_C, (0.0, 1.0)))
    return (
        InfectionWeather("bitter_rot", measure, fruit.sum(axis=1), BITTER_ROT_HALF_DAYS),
        InfectionWeather("white_rot", measure, fruit.sum(axis=1), BITTER_ROT_HALF_DAYS),
        InfectionWeather("glomerella_leaf_spot", measure, leaves.sum(axis=1), GLOMERELLA_HALF_DAYS, mild),
    )


SOOTY_FROM_DAYS = 10.0
SOOTY_THRESHOLD_H = 250.0
"""Wet hours from 10 days after petal fall until sooty blotch and flyspeck are on the fruit: 200 to 250 to begin
protection, 273 (209 to 310) at first symptoms (Brown E. M., Sutton T. B., An empirical model for predicting the first
symptoms of sooty blotch and flyspeck of apples, Plant Disease 79:1165, 1995); 250 at Winchester, Virginia (Yoder)."""

SOOTY_HALF_H = 150.0
SOOTY_C = (8.0, 20.0)
"""In the cool the blemish grows slowly: hours count not at all at the first mean temperature, fully at the second; from
memory."""


def _sooty_hours(orchard: Orchard) -> Floats:
    """Wet hours (years, days) so far each summer, each by its warmth."""
    stages = orchard.stages
    counted = orchard.within(stages.petal_fall + np.float32(SOOTY_FROM_DAYS), stages.picking)
    warmth = np.interp(orchard.mean_c, SOOTY_C, (0.0, 1.0))
    total: Floats = np.cumsum(np.where(counted, wet_hours(orchard.wet, orchard.stretch) * warmth, 0.0), axis=1)
    return total


def sooty_blotch_weather(orchard: Orchard) -> InfectionWeather:
    """Wet hours left for sooty blotch and flyspeck to grow, once they are on the fruit, until it is picked."""
    return InfectionWeather(
        disease="sooty_blotch_flyspeck",
        measure="wet hours after the first 250 and before picking",
        by_year=np.maximum(_sooty_hours(orchard)[:, -1] - SOOTY_THRESHOLD_H, 0.0),
        half_pressure=SOOTY_HALF_H,
    )


def sooty_blotch_arrives(orchard: Orchard) -> Floats:
    """Season day (years,) on which the threshold of wet hours is reached, NaN where it is not before picking."""
    hours = _sooty_hours(orchard)
    reached = hours >= SOOTY_THRESHOLD_H
    day: Floats = np.where(reached.any(axis=1), orchard.first_day + np.argmax(reached, axis=1), np.nan)
    return day
