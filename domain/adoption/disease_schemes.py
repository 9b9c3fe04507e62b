"""The scales on which texts rate susceptibility, each read by its own meaning: 0 immune .. 1 very susceptible.

A scheme is one text's (or one service's) way of rating. Its classes are mapped by what its legend says has to be done
or was seen, never by a word that another scheme uses for something else: "MR" of a fire-blight table means control
only under high pressure, "resistant" in a list of scab-resistant cultivars means no spraying, "robust" in a list of
robust ones only better than most. Abstracts that name only the extremes of their trial get wide errors. Schemes and
classes are rows of ``fruits/apple/reading/susceptibility_*.csv``; agreement between sources is measured when they are
weighed (see `tolerances`).
"""

import msgspec

from domain.adoption.reading import marked, scheme_of, susceptibility_schemes
from domain.tables.observations import Observation
from domain.tables.parameters import figures


class RatingFigures(msgspec.Struct, frozen=True):
    """How numeric ratings become susceptibilities, and their error."""

    unhurt_in_an_outbreak: float
    rise_if_all_killed: float
    natural_infection_none: float
    natural_infection_step: float
    natural_infection_most: float
    numeric_spread: float


FIGURES = figures("adoption", "disease_schemes", RatingFigures)


def linear(value: float, observation: Observation) -> float | None:
    """Susceptibility of a numeric rating, None for scales that are not read.

    Trees killed of a hundred: unhurt + rise value / 100. A score of natural infection that starts at 0
    for none: none + step value, at most `natural_infection_most`.
    """
    if marked(observation, "trees_killed"):
        return FIGURES.unhurt_in_an_outbreak + FIGURES.rise_if_all_killed * value / 100.0
    if marked(observation, "natural_infection"):
        score = FIGURES.natural_infection_none + FIGURES.natural_infection_step * value
        return min(FIGURES.natural_infection_most, score)
    return None


def rating(published: str, scheme_text: str) -> tuple[float, float] | None:
    """(susceptibility, error) of a printed class, None for a class its scheme does not have."""
    return scheme_of(scheme_text, susceptibility_schemes()).number(published)
