"""A climate in sentences."""

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import month_day
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say
from domain.weather.frost_dates import FrostDates
from domain.weather.seasons import Measure


class ClimateWordFigures(msgspec.Struct, frozen=True):
    """Which words a climate gets."""

    chill_never_short: float
    chill_short_for_most: float
    chill_short_for_nearly_all: float
    frost_hardly_ever_share: float
    frost_seldom_share: float
    frost_any_month_days: float
    summer_too_cool_c: float
    summer_cool_c: float
    summer_mild_c: float
    summer_warm_c: float
    season_dry_days: float
    season_rather_dry_days: float
    season_moderately_wet_days: float
    no_winter_c: float


FIGURES = figures("site_climate", "climate_words", ClimateWordFigures)
WARM_C, HOT_C = 30.0, 35.0
"""Maxima from which days of summer are counted."""
GROWING_SEASON_DAYS = 183


def chill_words(mean: float, poor: float, counted_from: str, counted_to: str) -> Sentence:
    """Chill of a mean and of a poor winter, portions between two dates."""
    if poor >= FIGURES.chill_never_short:
        code = "climate_chill_never_short"
    elif poor >= FIGURES.chill_short_for_most:
        code = "climate_chill_enough_for_most"
    elif poor >= FIGURES.chill_short_for_nearly_all:
        code = "climate_chill_short"
    else:
        code = "climate_chill_next_to_none"
    return say(code, portions=mean, poorest_portions=poor, counted_from=counted_from, counted_to=counted_to)


def chill_as_told(value: float, measure: Measure, counted_from: str, counted_to: str) -> Sentence | None:
    """Chill in the measure and window that the caller counts in; None where that is the portions of `chill_words`."""
    if measure == "chill_portions":
        return None
    return say("climate_chill_as_told", value=value, unit=measure, counted_from=counted_from, counted_to=counted_to)


def winter_words(minimum_c: float, zone: str, means: NDArray[np.float64]) -> Sentence:
    """The cold of winter; means: of the months (12,)."""
    month = str(int(np.argmin(means)) + 1)
    return say("climate_winter", minimum_c=minimum_c, zone=zone, month=month, mean_c=float(means.min()))


def season_words(means: NDArray[np.float64]) -> Sentence | None:
    """A sentence for climates without a winter to speak of."""
    return say("climate_no_winter") if float(np.ptp(means)) < FIGURES.no_winter_c else None


def frost_words(last: FrostDates, first: FrostDates, free_days: float, south: bool) -> Sentence:
    """The frost of a year in one sentence."""
    if min(last.frost_free_share, first.frost_free_share) >= FIGURES.frost_hardly_ever_share:
        return say("climate_frost_hardly_ever")
    if last.frost_free_share >= FIGURES.frost_seldom_share or last.median is None or first.median is None:
        winters = round((1.0 - last.frost_free_share) * 10.0)
        if winters <= 1:
            return say("climate_frost_one_winter")
        if last.ninetieth_percentile is None:
            return say("climate_frost_few_winters", winters=winters)
        return say("climate_frost_some_winters", winters=winters, late=month_day(last.ninetieth_percentile, south))
    late = last.ninetieth_percentile
    if free_days < FIGURES.frost_any_month_days:
        return say("climate_frost_any_month")
    return say(
        "climate_frost_dates",
        last=month_day(last.median, south),
        later_one_year_in_ten=month_day(last.median if late is None else late, south),
        first=month_day(first.median, south),
        free_days=free_days,
    )


def summer_words(warmest_c: float, hot_days: float, very_hot_days: float) -> Sentence:
    """The heat of summer; days above `WARM_C` and above `HOT_C`."""
    if very_hot_days >= 1:
        code = "climate_summer_very_hot_days"
    else:
        code = "climate_summer_hot_days" if hot_days >= 1 else "climate_summer"
    return say(
        code,
        summer=_summer(warmest_c),
        warmest_month_c=warmest_c,
        days=hot_days,
        above_c=WARM_C,
        hotter_days=very_hot_days,
        hotter_above_c=HOT_C,
    )


def _summer(warmest_c: float) -> str:
    if warmest_c < FIGURES.summer_too_cool_c:
        return "too_cool"
    if warmest_c < FIGURES.summer_cool_c:
        return "cool"
    if warmest_c < FIGURES.summer_mild_c:
        return "mild"
    return "warm" if warmest_c < FIGURES.summer_warm_c else "hot"


def rain_words(days: float) -> Sentence:
    """The wetness of the growing season."""
    if days < FIGURES.season_dry_days:
        wetness = "dry"
    elif days < FIGURES.season_rather_dry_days:
        wetness = "rather_dry"
    else:
        wetness = "moderately_wet" if days < FIGURES.season_moderately_wet_days else "wet"
    return say("climate_rain", wetness=wetness, days=days, season_days=GROWING_SEASON_DAYS)
