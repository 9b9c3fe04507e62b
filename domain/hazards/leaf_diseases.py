"""Powdery mildew, rust and European canker: infection weather of shoots, leaves and bark."""

import numpy as np

from domain.common.season_days import YEAR_DAYS
from domain.hazards.infection_weather import InfectionWeather, Orchard
from domain.tree_year.curves import Floats

MILDEW_C = (4.0, 10.0, 20.0, 22.0, 30.0)
MILDEW_RATE = (0.0, 0.2, 1.0, 1.0, 0.0)
"""Share of the fastest infection at a day's mean temperature: optimum 20 to 22 C, slow from 4 to 10 C, limited above
30 C; free water is not needed (NIAB, Apple best practice guide, powdery mildew: epidemiology)."""

MILDEW_SHOOT_DAYS = 90.0
"""Days from green tip over which shoots grow; common practice, no source."""

MILDEW_WINTER_C = (-28.0, -12.0)
MILDEW_WINTER_ALIVE = (0.1, 1.0)
"""Infected buds that live through a winter of this minimum: the fungus in them dies from about -12 C (NIAB), most
mildewed buds at -18 F, though some survive (Ohio State University Extension, PLPATH-FRU-21)."""

MILDEW_HALF_DAYS = 11.0
"""Common practice, no source, as the two below. Winchester, Virginia, where mildew is sprayed for, counts 20 to 28 dry
days fit for infection by the end of April or May (Yoder K., Virginia Tech, 2010 to 2016)."""


def mildew_weather(orchard: Orchard) -> InfectionWeather:
    """Dry days while shoots grow, each by its warmth, times the share of infected buds that the winter left alive."""
    start = orchard.stages.green_tip
    growing = orchard.within(start, start + np.float32(MILDEW_SHOOT_DAYS))
    rate = np.interp(orchard.mean_c, MILDEW_C, MILDEW_RATE)
    alive = np.interp(orchard.winter_minimum_c, MILDEW_WINTER_C, MILDEW_WINTER_ALIVE)
    return InfectionWeather(
        disease="powdery_mildew",
        measure="warm dry days while shoots grow, lessened by winter cold",
        by_year=np.where(growing, rate * (1.0 - orchard.wet), 0.0).sum(axis=1) * alive,
        half_pressure=MILDEW_HALF_DAYS,
    )


RUST_C = (2.0, 10.0, 24.0)
RUST_H = (24.0, 5.0, 2.0)
"""Hours of wetness for light infection by cedar-apple rust, none known above 24 C (Aldwinckle H. S., Pearson R. C.,
Seem R. C., Infection periods of Gymnosporangium juniperi-virginianae on apple, Phytopathology 70:1070-1073, 1980)."""
RUST_WARMEST_C = 26.0

RUST_HORNS_H = 4.0
"""Hours that the galls on the juniper must be wet before their spores fly; common practice, no source."""

RUST_AFTER_PETAL_FALL_DAYS = 30.0
"""The galls are spent about a month after bloom; common practice, no source."""

RUST_HALF_DAYS = 9.0
RUST_HOSTS = {True: 1.0, False: 0.05, None: 0.3}


def rust_weather(orchard: Orchard) -> InfectionWeather:
    """Rains from green tip to a month after bloom that last long enough."""
    stages, mean = orchard.stages, orchard.mean_c
    needed = np.interp(mean, RUST_C, RUST_H) + RUST_HORNS_H
    needed = np.where((mean < RUST_C[0]) | (mean > RUST_WARMEST_C), np.inf, needed).astype(np.float32)
    spring = orchard.within(stages.green_tip, stages.petal_fall + np.float32(RUST_AFTER_PETAL_FALL_DAYS))
    return InfectionWeather(
        disease="cedar_apple_rust",
        measure="days whose rain infects, from green tip to a month after bloom",
        by_year=np.where(spring, orchard.rain_lasts(needed), 0.0).sum(axis=1),
        half_pressure=RUST_HALF_DAYS,
        chance_present=RUST_HOSTS[orchard.junipers],
    )


CANKER_RAIN_SHARE = 0.30
RAIN_DAYS_A_WET_DAY = 1.35
CANKER_C = (11.0, 16.0)
CANKER_HOURS_A_DAY = 8.0
"""European canker is a disease of regions where it rains on more than 30 % of the days of a month that has more than
8 h a day at 11 to 16 C (Beresford R. M., Kim K. S., Identification of regional climatic conditions favorable for
development of European canker of apple, Phytopathology 101:135-146, 2011). It rains a little on some more days than
those with 1 mm or more that are counted here as wet: so many for each, common practice, no source."""

CANKER_SUMMER_C = (19.0, 25.0)
CANKER_IN_SUMMER = (1.0, 0.1)
"""Hot summers (mean of the warmest quarter) hold cankers back; the figures are from memory, the paper says that milder
summers north of 52 degrees are the likely reason of the worst attacks."""

CANKER_HALF_MONTHS = 1.5
MONTHS = 12
QUARTER_DAYS = 91


def canker_weather(orchard: Orchard) -> InfectionWeather:
    """Months of a year in which rain days and mild hours both pass the limits; half a month where one year in two."""
    year = slice(0, YEAR_DAYS // MONTHS * MONTHS)
    tmin, tmax = orchard.tmin_c[:, year], orchard.tmax_c[:, year]
    mild = 24.0 * (share_below(tmin, tmax, CANKER_C[1]) - share_below(tmin, tmax, CANKER_C[0]))
    by_month = (len(tmin), MONTHS, -1)
    hours = mild.reshape(by_month).mean(axis=2)
    wet = orchard.wet[:, year].reshape(by_month).mean(axis=2)
    at_risk = (RAIN_DAYS_A_WET_DAY * wet > CANKER_RAIN_SHARE) & (hours > CANKER_HOURS_A_DAY)
    usual = np.sort(orchard.mean_c[:, year].mean(axis=0))
    held_back = float(np.interp(usual[-QUARTER_DAYS:].mean(), CANKER_SUMMER_C, CANKER_IN_SUMMER))
    return InfectionWeather(
        disease="canker",
        measure="months with rain on more than 30 % of days and more than 8 mild hours a day",
        by_year=at_risk.sum(axis=1).astype(np.float32),
        half_pressure=CANKER_HALF_MONTHS,
        chance_present=held_back * orchard.canker,
    )


def share_below(tmin_c: Floats, tmax_c: Floats, limit_c: float) -> Floats:
    """Share of a day (0 to 1) below a temperature, by a sine through its minimum and maximum."""
    half = np.maximum((tmax_c - tmin_c) / 2.0, 1e-3)
    ratio = np.clip((limit_c - (tmax_c + tmin_c) / 2.0) / half, -1.0, 1.0)
    share: Floats = 0.5 + np.arcsin(ratio) / np.pi
    return share
