"""How the map agrees with where the orchards are: figures fixed before the map was first made.

A prefecture's score is the share of its land, over the ten cultivars, on which the verdict is `plant`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from examples.orchard_map.cells import Cell, harvest_t

GROWS_APPLES_T = 1000.0
"""A prefecture of so much harvest counts as one that grows apples: fourteen of them, 99 tonnes of 100."""

Floats = np.ndarray[Any, np.dtype[np.float64]]
Verdicts = Mapping[tuple[Cell, str], str]


@dataclass(frozen=True)
class Agreement:
    """rank_correlation: of score and harvest per land (Spearman), over prefectures whose harvest is published.

    told_apart: chance that one that grows apples scores above one that does not, ties half. harvest_on_good_land,
    land_that_is_good: shares, as if each prefecture's orchards lay evenly over it.
    """

    prefectures: int
    rank_correlation: float
    told_apart: float
    harvest_on_good_land: float
    land_that_is_good: float


def scores(verdicts: Verdicts) -> dict[str, float]:
    """Score of each prefecture. verdicts: of each cell and cultivar in one climate."""
    good: dict[str, float] = {}
    land: dict[str, float] = {}
    for (cell, _), verdict in verdicts.items():
        land[cell.prefecture] = land.get(cell.prefecture, 0.0) + cell.area
        good[cell.prefecture] = good.get(cell.prefecture, 0.0) + cell.area * (verdict == "plant")
    return {prefecture: good[prefecture] / land[prefecture] for prefecture in land}


def land_of(verdicts: Verdicts) -> dict[str, float]:
    """Land of each prefecture, in cells at the equator."""
    found: dict[str, float] = {}
    for cell in {cell for cell, _ in verdicts}:
        found[cell.prefecture] = found.get(cell.prefecture, 0.0) + cell.area
    return found


def agreement(verdicts: Verdicts) -> Agreement:
    """The figures of one climate."""
    harvest, score, land = harvest_t(), scores(verdicts), land_of(verdicts)
    known = [prefecture for prefecture in score if prefecture in harvest]
    tonnes = np.array([harvest[one] for one in known])
    area = np.array([land[one] for one in known])
    mine = np.array([score[one] for one in known])
    grows = tonnes >= GROWS_APPLES_T
    return Agreement(
        prefectures=len(known),
        rank_correlation=rank_correlation(mine, tonnes / area),
        told_apart=told_apart(mine[grows], mine[~grows]),
        harvest_on_good_land=float((tonnes * mine).sum() / tonnes.sum()),
        land_that_is_good=float((area * mine).sum() / area.sum()),
    )


def rank_correlation(a: Floats, b: Floats) -> float:
    """Correlation of the ranks of two series (n,), those that are equal sharing theirs (Spearman)."""
    return float(np.corrcoef(_ranks(a), _ranks(b))[0, 1])


def told_apart(above: Floats, below: Floats) -> float:
    """Share of pairs of the two (n,), (m,) in which the first is the greater; ties count half."""
    more = above[:, None] > below[None, :]
    same = above[:, None] == below[None, :]
    return float((more + 0.5 * same).mean())


def _ranks(values: Sequence[float] | Floats) -> Floats:
    _, place, times = np.unique(np.asarray(values), return_inverse=True, return_counts=True)
    last = np.cumsum(times)
    middle: Floats = (last - (times - 1) / 2.0)[place]
    return middle
