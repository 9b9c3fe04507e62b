"""Planting lists for wishes and cultivars judged at a site: chosen, explained, and what holds them back."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from domain import cautions
from domain.cultivars import Cultivar
from domain.planting_list.answer import AdvisedAgainst, PlantingLists, Search
from domain.planting_list.candidates import Candidates, candidates
from domain.planting_list.diversity import BestLists, best_lists
from domain.planting_list.problem import POINTS
from domain.planting_list.relaxation import bindings
from domain.planting_list.rows import ListInWords
from domain.planting_list.sited import SitedCultivars
from domain.planting_list.wishes import Wishes
from domain.pollination.compatibility import sport_group
from domain.pollination.pairs import Reason
from domain.suitability import words

MOST_ADVISED_AGAINST = 12


def lists_for(wished: Wishes, sited: SitedCultivars, by_id: Mapping[str, Cultivar]) -> PlantingLists:
    """Choose and explain planting lists among cultivars judged at a site. by_id: the catalogue."""
    found = candidates(wished, sited, by_id, sport_groups(sited.cultivars, by_id))
    best = best_lists(found.problem, wished.lists) if found.problem.places > 0 else None
    choices = () if best is None else best.choices
    return PlantingLists(
        planting_lists=tuple(
            ListInWords(wished, found, one.choice.chosen).in_words(rank, one.choice.worth)
            for rank, one in enumerate(choices, start=1)
        ),
        bound=round(choices[0].choice.bound / POINTS, 4) if choices else None,
        search=Search(
            candidates=int(np.unique(found.planted).size),
            could_be_on_a_best_list=choices[0].kept if choices else 0,
            proven_optimal=all(one.choice.proven for one in choices),
        ),
        binding=bindings(wished, found, best),
        advised_against=_advised_against(wished, sited),
        assumptions=wished.room.assumptions,
        warnings=(),
        worth_finding_out=(),
        cautions=_cautions(found, best),
    )


def sport_groups(cultivars: tuple[Cultivar, ...], by_id: Mapping[str, Cultivar]) -> NDArray[np.int64]:
    """(n,) a number for each sport group."""
    roots = [sport_group(cultivar, by_id) for cultivar in cultivars]
    return np.unique(np.array(roots), return_inverse=True)[1].astype(np.int64)


def _advised_against(wished: Wishes, sited: SitedCultivars) -> tuple[AdvisedAgainst, ...]:
    """What not to plant here: what the caller named first, then what is widely recommended elsewhere."""
    named = wished.named
    rows = [row for row, verdict in enumerate(sited.verdict) if verdict == "not_here"]
    rows.sort(key=lambda row: (sited.cultivars[row].id not in named, -sited.cultivars[row].recommended_by, row))
    return tuple(
        AdvisedAgainst(
            cultivar=sited.name(row),
            reasons=(
                Reason(
                    sited.limiting[row],
                    words.verdict("not_here", sited.name(row), float(sited.likely_years[row]), sited.limiting[row]),
                ),
            ),
        )
        for row in rows[:MOST_ADVISED_AGAINST]
    )


def _cautions(found: Candidates, best: BestLists | None) -> tuple[cautions.Caution, ...]:
    told = [cautions.DIGGING, cautions.WINDFALLS, cautions.LADDERS, cautions.RESISTANT_NOT_IMMUNE]
    if best is not None and any(one.choice.unserved for one in best.choices):
        told.append(cautions.PLANT_HEALTH)  # grafting a partner's branch is then advised
    return tuple(told)
