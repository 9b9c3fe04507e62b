"""Which figures of the site the caller has not told, those that would narrow the answer most first."""

from collections.abc import Callable

from domain.climate.site import Site
from domain.climate.site_years import SiteYears

PORTIONS_OF_A_DECISION = 4.0
DEGREES_OF_A_DECISION = 2.0
DAYS_OF_A_DECISION = 5.0
"""Spreads of chill (portions), winter minimum (C) and frost (days) that begin to change which cultivars are advised:
half a step between neighbouring cultivars or zones."""

Question = tuple[Callable[[Site], object], Callable[[SiteYears], float], str]

QUESTIONS: tuple[Question, ...] = (
    (
        lambda site: site.winter_minimum,
        lambda years: years.spread.winter_minimum_c / DEGREES_OF_A_DECISION,
        "The hardiness zone, or how cold the coldest night of a usual winter is.",
    ),
    (
        lambda site: site.last_spring_frost,
        lambda years: years.spread.last_frost_days / DAYS_OF_A_DECISION,
        "The usual date of the last spring frost, and the date it passes one year in ten.",
    ),
    (
        lambda site: site.winter_chill,
        lambda years: years.spread.chill_portions / PORTIONS_OF_A_DECISION,
        "The winter chill as a nearby weather station counts it, with the measure and the dates of the count.",
    ),
    (
        lambda site: site.apples_bloom_here,
        lambda years: years.spread.bloom_days / DAYS_OF_A_DECISION,
        "When apples are usually in full bloom there.",
    ),
    (
        lambda site: site.rain_days_in_growing_season,
        lambda years: 0.6,
        "The number of rainy days from spring to early autumn: it decides scab and rots.",
    ),
    (
        lambda site: site.ground,
        lambda years: 0.5,
        "Drainage, soil pH and hours of sun at the spot, and whether fruit trees stood there before.",
    ),
)


def worth_finding_out(site: Site, years: SiteYears) -> tuple[str, ...]:
    """Sentences on what is missing, most useful first; records or normals answer the questions on temperature."""
    open_questions = [
        (-weight(years), order, words)
        for order, (told, weight, words) in enumerate(QUESTIONS)
        if told(site) is None and weight(years) >= 0.5
    ]
    return tuple(words for _, _, words in sorted(open_questions))
