"""Pollen sources that would serve trees of a list which none serves surely: those that live there and can be had."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from domain.fruit.kinds import pollen_donor
from domain.planting_list.candidates import Candidates
from domain.planting_list.list_answer import NamedCultivar, SuggestedSource
from domain.planting_list.pollen_donors import for_pollen_alone
from domain.pollination.pairs import FIGURES as PAIRS
from domain.tables.cultivars import Cultivar

MOST_SUGGESTED = 3


def suggested_sources(
    found: Candidates, trees: Sequence[int], pollinated: NDArray[np.float64]
) -> tuple[SuggestedSource, ...]:
    """Sources for the trees that none serves surely: pollen donors first, then cultivars that suit the site.

    trees: positions in the pool; pollinated: (trees,) their chances of pollen. Between equals what more documents speak
    of stands first: it can be had.
    """
    table, sited = found.table, found.sited
    lonely = [
        position
        for one, position in enumerate(trees)
        if pollinated[one] < PAIRS.effective_chance
        and table.windows.known[position]
        and not for_pollen_alone(table.cultivars[position])
    ]
    if not lonely:
        return ()
    suited, effective = found.admission.suited, table.effective
    ranked = []
    for source, row in enumerate(found.pool):
        cultivar = sited.cultivars[row]
        serves = [position for position in lonely if effective[position, source]]
        donor = pollen_donor(cultivar)
        lives = suited[row] or (donor and sited.verdict[row] == "not_known")
        if serves and source not in trees and lives:
            chance = round(float(table.chance[serves, source].sum()) / len(serves), 1)
            known = _documents(cultivar)
            ranked.append((-len(serves), not donor, not suited[row], -chance, -known, cultivar.id, source, serves))
    names = table.cultivars
    return tuple(
        SuggestedSource(
            cultivar=names[source].name,
            id=names[source].id,
            kind=names[source].kind,
            serves=tuple(
                NamedCultivar(cultivar=names[position].name, id=names[position].id)
                for position in dict.fromkeys(serves)
            ),
        )
        for *_, source, serves in sorted(ranked)[:MOST_SUGGESTED]
    )


def _documents(cultivar: Cultivar) -> int:
    """How many documents something is known of a cultivar from."""
    numbers = {source for one in cultivar.numbers.values() if one.inherited_from is None for source in one.sources}
    findings = {source for one in cultivar.findings.values() if one.inherited_from is None for source in one.sources}
    return len(numbers | findings)
