"""Rots, leaf spot and blemishes of warm wet summers: black, bitter and white rot, Glomerella, sooty blotch."""

import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import Floats
from domain.hazards.infection_weather import DiseaseFigures, Infection, Orchard
from domain.weather.wetness import wet_hours


def _summer(orchard: Orchard, from_days: float) -> NDArray[np.bool_]:
    """Days from so long after petal fall to picking."""
    return orchard.within(orchard.stages.petal_fall + np.float32(from_days), orchard.stages.picking)


class SummerWetFigures(DiseaseFigures, frozen=True):
    """Wetness (h) for light infection as a number (h C2) over the square of the temperature (C); light and severe."""

    light_h_c2: float
    light_h: float
    severe_h: float
    between_c: tuple[float, float]
    from_days: float


def summer_wet_hours(orchard: Orchard, figures: SummerWetFigures) -> Infection:
    """Rains of the summer that last as long as a severe infection needs."""
    low, high = figures.between_c

    def needed(mean: Floats) -> Floats:
        hours = figures.severe_h / figures.light_h * figures.light_h_c2 / np.maximum(mean, 1.0) ** 2
        return np.where((mean < low) | (mean > high), np.inf, hours).astype(np.float32)

    return Infection(orchard.rain_lasts(needed, _summer(orchard, figures.from_days)))


class WarmRainFigures(DiseaseFigures, frozen=True):
    """Severity of an infection by temperature T (C) between two bounds and by wetness W (h).

    (T - low)^rise (high - T)^fall, over its greatest, times 1 / (1 + wet_scale exp(-wet_rate W)).
    """

    grows_between_c: tuple[float, float]
    rise: float
    fall: float
    wet_scale: float
    wet_rate: float
    from_days: float


class FruitRotFigures(WarmRainFigures, frozen=True):
    """Besides, the temperatures (C) at which lesions on the fruit grow not at all and fastest."""

    fruit_c: tuple[float, float]


class LeafSpotFigures(WarmRainFigures, frozen=True):
    """Besides, the means of the coldest month (C) from which winter kills it to which it does not."""

    winter_c: tuple[float, float]


def colletotrichum_severity(mean_c: Floats, wet_h: Floats, figures: WarmRainFigures) -> Floats:
    """Severity of an infection at a temperature (C) and hours of wetness: 1 at the best warmth in long wetness."""
    low, high = figures.grows_between_c
    rise, fall = figures.rise, figures.fall
    span, both = high - low, rise + fall
    highest = (span * rise / both) ** rise * (span * fall / both) ** fall
    t = np.clip(mean_c, low, high)
    warmth = (t - low) ** rise * (high - t) ** fall / highest
    severity: Floats = warmth / (1.0 + figures.wet_scale * np.exp(-figures.wet_rate * wet_h))
    return severity


def _severities(orchard: Orchard, figures: WarmRainFigures) -> Floats:
    """Severity of every rain of the summer (years, days)."""
    low, high = figures.grows_between_c
    mean, wet = orchard.mean_c, orchard.wet
    counts = _summer(orchard, figures.from_days) & (wet > 0.0) & (mean > low) & (mean < high)
    found = np.zeros_like(mean)
    found[counts] = wet[counts] * colletotrichum_severity(mean[counts], orchard.spell_h[counts], figures)
    return found


def warm_rain_on_fruit(orchard: Orchard, figures: FruitRotFigures) -> Infection:
    """Warm rains of the summer, each by its severity and by how fast lesions on the fruit grow."""
    fruit = _severities(orchard, figures) * np.interp(orchard.mean_c, figures.fruit_c, (0.0, 1.0))
    return Infection(fruit.sum(axis=1))


def warm_rain_on_leaves(orchard: Orchard, figures: LeafSpotFigures) -> Infection:
    """Warm rains of the summer, each by its severity, where winters are mild enough for the fungus to live on."""
    mild = float(np.interp(orchard.winter_mean_c, figures.winter_c, (0.0, 1.0)))
    return Infection(_severities(orchard, figures).sum(axis=1), mild)


class WetHourFigures(DiseaseFigures, frozen=True):
    """Wet hours (h) until a blemish is on the fruit, from some days after petal fall on, each by its warmth (C)."""

    from_days: float
    threshold_h: float
    grows_c: tuple[float, float]


def _hours_so_far(orchard: Orchard, figures: WetHourFigures) -> Floats:
    """Wet hours (years, days) so far each summer, each by its warmth."""
    counted = _summer(orchard, figures.from_days)
    warmth = np.interp(orchard.mean_c, figures.grows_c, (0.0, 1.0))
    total: Floats = np.cumsum(np.where(counted, wet_hours(orchard.wet, orchard.stretch) * warmth, 0.0), axis=1)
    return total


def summer_wet_hours_summed(orchard: Orchard, figures: WetHourFigures) -> Infection:
    """Wet hours left for the blemish to grow, once it is on the fruit, until that is picked."""
    return Infection(np.maximum(_hours_so_far(orchard, figures)[:, -1] - figures.threshold_h, 0.0))


def wet_hours_reached(orchard: Orchard, figures: WetHourFigures) -> Floats:
    """Season day (years,) on which the threshold of wet hours is reached, NaN where it is not before picking."""
    hours = _hours_so_far(orchard, figures)
    reached = hours >= figures.threshold_h
    day: Floats = np.where(reached.any(axis=1), orchard.first_day + np.argmax(reached, axis=1), np.nan)
    return day
