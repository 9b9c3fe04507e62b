"""Powdery mildew, rust and European canker: infection weather of shoots, leaves and bark."""

import numpy as np

from domain.common.arrays import Floats
from domain.common.season_days import YEAR_DAYS
from domain.hazards.infection_weather import DiseaseFigures, Infection, Orchard

MONTHS = 12
QUARTER_DAYS = 91


class ShootFigures(DiseaseFigures, frozen=True):
    """Share of the fastest infection at a day's mean temperature (C), and what of the fungus lives through a winter."""

    rate_c: tuple[float, ...]
    rate: tuple[float, ...]
    shoot_days: float
    winter_c: tuple[float, float]
    winter_alive: tuple[float, float]


def mildew_on_shoots(orchard: Orchard, figures: ShootFigures) -> Infection:
    """Dry days while shoots grow, each by its warmth, times the share of infected buds that the winter left alive."""
    start = orchard.stages.green_tip
    growing = orchard.within(start, start + np.float32(figures.shoot_days))
    rate = np.interp(orchard.mean_c, figures.rate_c, figures.rate)
    alive = np.interp(orchard.winter_minimum_c, figures.winter_c, figures.winter_alive)
    return Infection(np.where(growing, rate * (1.0 - orchard.wet), 0.0).sum(axis=1) * alive)


class SpringWetFigures(DiseaseFigures, frozen=True):
    """Hours of wetness (h) needed at each mean temperature (C), after those in which the source of spores gets wet."""

    wetness_c: tuple[float, ...]
    wetness_h: tuple[float, ...]
    warmest_c: float
    source_wet_h: float
    after_petal_fall_days: float


def spring_wet_hours(orchard: Orchard, figures: SpringWetFigures) -> Infection:
    """Rains from green tip to some time after bloom that last long enough."""
    stages = orchard.stages

    def needed(mean: Floats) -> Floats:
        hours = np.interp(mean, figures.wetness_c, figures.wetness_h) + figures.source_wet_h
        never = (mean < figures.wetness_c[0]) | (mean > figures.warmest_c)
        return np.where(never, np.inf, hours).astype(np.float32)

    spring = orchard.within(stages.green_tip, stages.petal_fall + np.float32(figures.after_petal_fall_days))
    return Infection(orchard.rain_lasts(needed, spring))


class RainyMonthFigures(DiseaseFigures, frozen=True):
    """A month at risk: share of days with rain, mild hours a day; and the summers (C) that hold the disease back."""

    rain_share: float
    rain_days_a_wet_day: float
    mild_c: tuple[float, float]
    mild_hours_a_day: float
    summer_c: tuple[float, float]
    in_summer: tuple[float, float]


def mild_rainy_months(orchard: Orchard, figures: RainyMonthFigures) -> Infection:
    """Months of a year in which rain days and mild hours both pass the limits; half a month where one year in two."""
    year = slice(0, YEAR_DAYS // MONTHS * MONTHS)
    tmin, tmax = orchard.tmin_c[:, year], orchard.tmax_c[:, year]
    cool, warm = figures.mild_c
    mild = 24.0 * (share_below(tmin, tmax, warm) - share_below(tmin, tmax, cool))
    by_month = (len(tmin), MONTHS, -1)
    hours = mild.reshape(by_month).mean(axis=2)
    wet = orchard.wet[:, year].reshape(by_month).mean(axis=2)
    at_risk = (figures.rain_days_a_wet_day * wet > figures.rain_share) & (hours > figures.mild_hours_a_day)
    usual = np.sort(orchard.mean_c[:, year].mean(axis=0))
    held_back = float(np.interp(usual[-QUARTER_DAYS:].mean(), figures.summer_c, figures.in_summer))
    return Infection(at_risk.sum(axis=1).astype(np.float32), held_back)


def share_below(tmin_c: Floats, tmax_c: Floats, limit_c: float) -> Floats:
    """Share of a day (0 to 1) below a temperature, by a sine through its minimum and maximum."""
    half = np.maximum((tmax_c - tmin_c) / 2.0, 1e-3)
    ratio = np.clip((limit_c - (tmax_c + tmin_c) / 2.0) / half, -1.0, 1.0)
    share: Floats = 0.5 + np.arcsin(ratio) / np.pi
    return share
