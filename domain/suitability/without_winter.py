"""Cultivars at a site without a winter: an apple rests there only if its leaves are stripped by hand.

The verdict rests on where a cultivar is grown by that practice, not on chill that never comes: not here, unless it is
stripped. Told the days of stripping, what is grown so is worth a try in a highland, what failed so is not, and of the
rest nobody knows. In a warm lowland none is.
"""

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.cautions import Caution
from domain.fruit.leaf_stripping import Standing, StrippedCultivar, stripped
from domain.orchard_site.conditions import SiteConditions
from domain.site_climate.site_years import SiteYears
from domain.suitability.factors import Verdict
from domain.tables import cautions
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say
from domain.tree_year.leaf_stripping import FIGURES, StrippingCycle, cycles, stripping_day
from domain.weather.normals import MONTH_DAYS, monthly_means


class RankFigures(msgspec.Struct, frozen=True):
    """How a cultivar ranks where there is no winter, by what is known of it with its leaves stripped."""

    grown: float
    planted: float
    share_of_usual: float
    cool_portions: float


RANKS = figures("suitability", "without_winter", RankFigures)
WETTEST_MONTHS = 4
"""Months of a year in which flowers of the wet season set poorly; a dry third and a wet third are what is told."""


class StrippedTree(msgspec.Struct, frozen=True, kw_only=True):
    """A cultivar under leaf stripping: where it stands so and who says it, and its cycles if days were told."""

    standing: Standing
    place: str | None
    cycles: tuple[StrippingCycle, ...]
    crops_a_year: int
    months_to_first_fruit: float
    basis: str
    sources: tuple[str, ...]


def rank_when_stripped(standing: Standing, usual: float) -> float:
    """The rank value where there is no winter: by standing first, and within it as the rest of the site has it."""
    base = {"grown": RANKS.grown, "planted": RANKS.planted}.get(standing, 0.0)
    return base + RANKS.share_of_usual * usual


def stripped_tree(cultivar: Cultivar, days: tuple[str, ...]) -> StrippedTree:
    """What is known of a cultivar under leaf stripping, with a cycle for each day told (MM-DD)."""
    known = stripped(cultivar.id, cultivar.sport_of)
    standing: Standing = "not_known" if known is None else known.standing
    told = cycles(days) if standing != "fails_alone" else ()
    return StrippedTree(
        standing=standing,
        place=None if known is None else known.place,
        cycles=told,
        crops_a_year=min(len(told), FIGURES.crops_a_year),
        months_to_first_fruit=FIGURES.months_to_first_fruit,
        basis="assumed" if known is None else known.basis or "published",
        sources=() if known is None else known.sources,
    )


def verdict_without_winter(cultivar: Cultivar, years: SiteYears) -> tuple[Verdict, Sentence]:
    """The verdict on a cultivar where there is no winter, and its sentence."""
    days = years.leaf_stripping
    warmth = float(monthly_means(years.normals).mean())
    if warmth > FIGURES.warmest_highland_c:
        return "not_here", say("not_here_lowland", cultivar=cultivar.name, mean_c=warmth)
    known = stripped(cultivar.id, cultivar.sport_of)
    if known is None:
        # A cool year without a season may rest a tree or may not: where nobody tells, nobody knows.
        unknown = bool(days) or float(years.seasons.dormant_portions.mean()) >= RANKS.cool_portions
        verdict: Verdict = "not_known" if unknown else "not_here"
        return verdict, say("stripped_not_known" if unknown else "not_here_no_winter", cultivar=cultivar.name)
    if known.standing == "fails_alone":
        return "not_here", say("stripped_fails_alone", cultivar=cultivar.name, place=known.place)
    if not days:
        return "not_here", say("not_here_unless_stripped", cultivar=cultivar.name, place=known.place)
    return "worth_trying", _worth_trying(cultivar, known)


def _worth_trying(cultivar: Cultivar, known: StrippedCultivar) -> Sentence:
    code = "stripped_grown" if known.standing == "grown" else "stripped_planted"
    return say(code, cultivar=cultivar.name, place=known.place)


def site_words(conditions: SiteConditions) -> tuple[Sentence, ...]:
    """What is said of a site without a winter, or of stripping told where there is one; nothing elsewhere."""
    years = conditions.years
    if years.without_winter:
        drier = stripping_day(driest_day(years))
        if not years.leaf_stripping:
            return (say("no_winter_no_calendar", stripped_on=drier),)
        in_rain = [cycle.stripped_on for cycle in cycles(years.leaf_stripping) if _wet(years, cycle)]
        return (say("stripping_told"), *(say("stripping_blooms_in_rain", day=day, drier=drier) for day in in_rain))
    return (say("stripping_with_winter"),) if years.leaf_stripping else ()


def _rain(years: SiteYears) -> NDArray[np.float64]:
    """Rain of each month (12,), or its rain days where no rain is known."""
    return np.array(years.normals.rain_mm or years.normals.rain_days or (0.0,) * 12)


def driest_day(years: SiteYears) -> float:
    """Day of the year in the middle of the driest month, the months beside it counting half."""
    rain = _rain(years)
    driest = int(np.argmin(rain + 0.5 * (np.roll(rain, 1) + np.roll(rain, -1))))
    return float(np.cumsum(MONTH_DAYS)[driest] - MONTH_DAYS[driest] / 2.0)


def rains_begin(years: SiteYears) -> float:
    """Day of the year on which the months begin that bring more than their share of rain, up to the wettest of all."""
    rain = _rain(years)
    first = int(np.argmax(rain))
    for _ in MONTH_DAYS:
        if rain[first - 1] <= rain.mean():
            break
        first = (first - 1) % 12
    return float(np.cumsum(MONTH_DAYS)[first] - MONTH_DAYS[first])


def _wet(years: SiteYears, cycle: StrippingCycle) -> bool:
    """Whether a cycle flowers in one of the four wettest months."""
    rain = _rain(years)
    return bool(rain[int(cycle.bloom.from_day[:2]) - 1] >= np.sort(rain)[-WETTEST_MONTHS]) and bool(np.ptp(rain) > 0)


def site_cautions(conditions: SiteConditions) -> tuple[Caution, ...]:
    """The caution on rest breaking, where there is no winter."""
    return (cautions.NO_REST_BREAKING,) if conditions.years.without_winter else ()
