"""A climate in sentences, and what would be worth finding out of it."""

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import month_day
from domain.site_climate.figures import ClimateSpread
from domain.site_climate.site import Site
from domain.tables.parameters import figures
from domain.weather.frost_dates import FrostDates

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


class ClimateWordFigures(msgspec.Struct, frozen=True):
    """Which words a climate gets, and which figure is worth asking for."""

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
    frost_days_worth: float
    minimum_worth_c: float
    chill_worth: float
    summer_worth_c: float
    place_weight: float
    height_weight: float
    autumn_weight: float
    chill_weight: float
    rain_weight: float


FIGURES = figures("site_climate", "climate_words", ClimateWordFigures)
ONE_FROST = "Only about one winter of ten brings a frost at all."


def day_words(date: str) -> str:
    """``04-20`` as ``20 April``."""
    return f"{int(date[3:])} {MONTHS[int(date[:2]) - 1]}"


def chill_words(mean: float, poor: float, hours: float) -> str:
    """Chill of a mean and of a poor winter (portions of the dormant season; hours below 7.2 C of its core)."""
    amount = f"about {mean:.0f} chill portions a winter ({poor:.0f} in the poorest of ten)"
    if poor >= FIGURES.chill_never_short:
        return f"Winter chill is never short: {amount}."
    if poor >= FIGURES.chill_short_for_most:
        return f"Winter chill, {amount}, is enough for most apples, short for the most demanding in mild winters."
    if poor >= FIGURES.chill_short_for_nearly_all:
        return f"Winter chill is short for many apples: {amount}, or {hours:.0f} hours below 7.2 C."
    return f"There is next to no winter chill: {amount}. Only cultivars that need very little can be thought of."


def frost_words(last: FrostDates, first: FrostDates, free_days: float, south: bool) -> str:
    """The frost of a year in one sentence."""
    if min(last.frost_free_share, first.frost_free_share) >= FIGURES.frost_hardly_ever_share:
        return "Frost hardly ever comes."
    if last.frost_free_share >= FIGURES.frost_seldom_share:
        share = round((1.0 - last.frost_free_share) * 10.0)
        return f"Only about {share} winters of ten bring a frost at all." if share > 1 else ONE_FROST
    if last.median is None or first.median is None:
        return "Frost comes in about half of the winters."
    spring, autumn = month_day(last.median, south), month_day(first.median, south)
    if free_days < FIGURES.frost_any_month_days:
        return "Frost can come in any month."
    late = "" if last.ninetieth_percentile is None else day_words(month_day(last.ninetieth_percentile, south))
    return (
        f"The last spring frost falls about {day_words(spring)} (after {late} one year in ten), the first of autumn "
        f"about {day_words(autumn)}; some {free_days:.0f} days lie between."
    )


def summer_words(warmest_c: float, hot_days: float, very_hot_days: float) -> str:
    """The heat of summer."""
    if warmest_c < FIGURES.summer_too_cool_c:
        kind = "too cool to ripen any but the earliest apples"
    elif warmest_c < FIGURES.summer_cool_c:
        kind = "cool"
    elif warmest_c < FIGURES.summer_mild_c:
        kind = "mild"
    elif warmest_c < FIGURES.summer_warm_c:
        kind = "warm"
    else:
        kind = "hot"
    days = f", with {hot_days:.0f} days above 30 C" if hot_days >= 1 else ""
    very = f" and {very_hot_days:.0f} above 35 C" if very_hot_days >= 1 else ""
    return f"Summers are {kind}: the warmest month has {warmest_c:.0f} C{days}{very}."


def rain_words(days: float) -> str:
    """The wetness of the growing season, 183 days long."""
    if days < FIGURES.season_dry_days:
        kind = "dry"
    elif days < FIGURES.season_rather_dry_days:
        kind = "rather dry"
    elif days < FIGURES.season_moderately_wet_days:
        kind = "moderately wet"
    else:
        kind = "wet"
    return f"The growing season is {kind}: rain on {days:.0f} of its 183 days."


def season_words(means: NDArray[np.float64]) -> str | None:
    """A sentence for climates without a winter to speak of."""
    if float(np.ptp(means)) < FIGURES.no_winter_c:
        return "The months hardly differ: there is no winter by which a tree could keep its time."
    return None


def worth_finding_out(site: Site, spread: ClimateSpread, poor_winter_portions: float) -> tuple[str, ...]:
    """What the caller could ask a neighbour, a grower or a weather service, the most telling first."""
    deep = site.monthly_normals is not None or site.daily_records is not None or site.hourly_records is not None
    wanted: list[tuple[float, str]] = []
    if site.latitude is None or site.longitude is None:
        wanted.append((FIGURES.place_weight, "The place: its latitude and longitude bring in its own climate."))
    elif site.elevation_m is None and not deep:
        wanted.append((FIGURES.height_weight, "The height above the sea: a hundred metres change half a degree."))
    frost = spread.last_frost_days / FIGURES.frost_days_worth
    if site.last_spring_frost is None and frost > 1.0:
        words = f"The usual date of the last spring frost: it is open by {spread.last_frost_days:.0f} days or so."
        wanted.append((frost, words))
    if site.first_autumn_frost is None and frost > 1.0:
        wanted.append((FIGURES.autumn_weight * frost, "The usual date of the first autumn frost."))
    cold = spread.winter_minimum_c / FIGURES.minimum_worth_c
    if site.winter_minimum is None and cold > 1.0:
        words = f"How cold a usual winter gets, or the hardiness zone: it is open by {spread.winter_minimum_c:.0f} C."
        wanted.append((cold, words))
    chill = spread.chill_portions / FIGURES.chill_worth
    if chill > 1.0 and poor_winter_portions < FIGURES.chill_never_short:
        if site.winter_chill is None:
            wanted.append(
                (FIGURES.chill_weight * chill, "The winter chill that growers nearby count, and over which days.")
            )
        elif site.winter_chill.counted_from is None:
            wanted.append((chill, "Over which days the winter chill was counted."))
    summer = spread.summer_mean_c / FIGURES.summer_worth_c
    if site.warmest_month_mean_c is None and not deep and summer > 1.0:
        wanted.append((summer, "The mean temperature of the warmest month: it decides what ripens."))
    if site.bloom_date is None and spread.bloom_days > FIGURES.frost_days_worth:
        words = "When apples bloom nearby: the middle of bloom is open by "
        wanted.append((spread.bloom_days / FIGURES.frost_days_worth, f"{words}{spread.bloom_days:.0f} days."))
    if site.rain_days_in_growing_season is None and (
        site.monthly_normals is None or not site.monthly_normals.rain_days
    ):
        wanted.append((FIGURES.rain_weight, "How many days of the growing season bring rain: diseases follow it."))
    ordered = sorted(wanted, key=lambda want: -want[0])
    return tuple(words for _, words in ordered)


def winter_words(minimum_c: float, zone: str, means: NDArray[np.float64]) -> str:
    """The cold of winter."""
    month = MONTHS[int(np.argmin(means))]
    return (
        f"The lowest temperature of a winter averages {minimum_c:.0f} C (USDA zone {zone}); {month} has a mean of "
        f"{means.min():.0f} C."
    )
