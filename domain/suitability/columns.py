"""The judgement of every cultivar at one site as columns of numbers: what `assess` says, without its words.

For callers that ask of very many sites and can do without sentences, factors and traits. Dates are season days, and
words of a closed set their places, since columns of small numbers cost next to nothing.
"""

from dataclasses import dataclass, replace
from typing import get_args

import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import SEASON_DAYS
from domain.orchard_site.conditions import SiteConditions
from domain.suitability.factors import FactorCode
from domain.suitability.ranking import rank_values
from domain.suitability.site_fit import SiteFit, site_fit
from domain.suitability.suitability_request import Weights
from domain.suitability.verdicts import BEST_FIRST, limiting_factors, verdicts
from domain.suitability.without_winter import rank_when_stripped, stripped_tree, verdict_without_winter
from domain.tables.cultivars import Cultivar
from domain.traits.trait_table import TraitTable

LIMITING: tuple[FactorCode, ...] = get_args(FactorCode)
NOTHING = -1
"""What stands in a column of whole numbers where there is nothing to say."""
RANK_DIGITS = 4


@dataclass(frozen=True, eq=False)
class JudgedColumns:
    """n cultivars at one site.

    verdict: (n,) int8, place in BEST_FIRST. likely, low, high: (n,) int8, cropping years of ten. bloom_full,
    harvest_first: (n,) int16, season day of the median. limiting: (n,) int8, place in LIMITING. NOTHING in any of these
    where an answer has null. rank_value: (n,) float64, NaN where an answer has null.
    """

    cultivars: tuple[Cultivar, ...]
    verdict: NDArray[np.int8]
    likely: NDArray[np.int8]
    low: NDArray[np.int8]
    high: NDArray[np.int8]
    bloom_full: NDArray[np.int16]
    harvest_first: NDArray[np.int16]
    limiting: NDArray[np.int8]
    rank_value: NDArray[np.float64]
    south: bool


def judged_columns(
    conditions: SiteConditions, traits: TraitTable, weights: Weights | None = None, *, no_spray: bool = False
) -> JudgedColumns:
    """Judge every cultivar of a table at a site, in the order of the table. no_spray: as in `assess`."""
    fit = site_fit(conditions, traits)
    verdict = np.array([BEST_FIRST.index(one) for one in verdicts(fit, no_spray=no_spray)], dtype=np.int8)
    limiting = np.array([LIMITING.index(one) for one in limiting_factors(fit, no_spray=no_spray)], dtype=np.int8)
    unknown = verdict == BEST_FIRST.index("not_known")
    likely, low, high = (np.where(unknown, np.int8(NOTHING), years) for years in _years(fit))
    columns = JudgedColumns(
        cultivars=traits.cultivars,
        verdict=verdict,
        likely=likely,
        low=low,
        high=high,
        bloom_full=_days(fit.bloom.middle[1]),
        harvest_first=_days(fit.harvest_first),
        limiting=np.where(unknown, np.int8(NOTHING), limiting),
        rank_value=rank_values(fit, weights or Weights()).astype(np.float64),
        south=fit.south,
    )
    if conditions.years.without_winter:
        columns = _without_winter(columns, conditions)
    known = columns.verdict != BEST_FIRST.index("not_known")
    # One by one, as an answer rounds: numpy rounds the last digit of a few values otherwise.
    ranks = [round(rank, RANK_DIGITS) for rank in columns.rank_value.tolist()]
    columns.rank_value[:] = np.where(known, ranks, np.nan)
    return columns


def _years(fit: SiteFit) -> list[NDArray[np.int8]]:
    """Likely, low and high cropping years of ten, halves up."""
    crop = fit.outcomes["crop"]
    ends = (crop.likely, crop.low, crop.high)
    return [np.floor(10.0 * end.astype(np.float64) + 0.5).astype(np.int8) for end in ends]


def _days(days: NDArray[np.floating]) -> NDArray[np.int16]:
    """Whole season days (n,); NOTHING where a day is unknown or not reached."""
    reached = np.nan_to_num(days.astype(np.float64), nan=SEASON_DAYS) < SEASON_DAYS
    return np.where(reached, np.rint(np.where(reached, days, 0.0)), NOTHING).astype(np.int16)


def _without_winter(columns: JudgedColumns, conditions: SiteConditions) -> JudgedColumns:
    """The same where there is no winter: by the practice of stripping leaves, and no dates of a year with a winter."""
    days = conditions.years.leaf_stripping
    verdict, limiting, rank = columns.verdict.copy(), columns.limiting.copy(), columns.rank_value.copy()
    years = columns.likely.copy(), columns.low.copy(), columns.high.copy()
    for row, cultivar in enumerate(columns.cultivars):
        word, _ = verdict_without_winter(cultivar, conditions.years)
        standing = stripped_tree(cultivar, () if word == "not_here" else days).standing
        by_stripping = bool(days) and word != "not_here"
        verdict[row] = BEST_FIRST.index(word)
        limiting[row] = NOTHING if by_stripping else LIMITING.index("winter_chill")
        rank[row] = rank_when_stripped(standing, float(rank[row]))
        for column in years if by_stripping else ():
            column[row] = NOTHING
    nowhere = np.full(len(columns.cultivars), NOTHING, dtype=np.int16)
    return replace(
        columns,
        verdict=verdict,
        likely=years[0],
        low=years[1],
        high=years[2],
        bloom_full=nowhere,
        harvest_first=nowhere,
        limiting=limiting,
        rank_value=rank,
    )
