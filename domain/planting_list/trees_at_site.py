"""What a planting list needs to know of each cultivar at the site, from its suitability there."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from domain.planting_list.pollen_donors import DonorJudged
from domain.pollination.bloom_overlap import BloomWindows, one_after_the_other, side_by_side
from domain.pollination.pairs import PairTable
from domain.suitability.factors import FactorCode, Verdict
from domain.suitability.warmer import worse_verdict
from domain.tables.cultivars import Cultivar
from domain.tables.words import Sentence
from domain.traits.told_near_by import ToldNearBy

Floats = NDArray[np.float32]


@dataclass(frozen=True)
class SitedCultivars:
    """n cultivars at one site. Season days count from midsummer; NaN is unknown."""

    cultivars: tuple[Cultivar, ...]
    crop_chance: Floats
    """(n, years) chance of a worthwhile crop, given pollen."""
    windows: BloomWindows
    harvest_first: Floats
    """(n,) season day of the median first and last picking."""
    harvest_last: Floats
    storage_weeks: Floats
    """(n, 2) weeks that the fruit keeps, low and high."""
    keeps_surely: Floats
    """(n,) weeks that it keeps at the cautious end of what is known."""
    likely_years: Floats
    """(n,) years of ten with a worthwhile crop."""
    rank_value: Floats
    worth: Floats
    """(n,) the rank value, known in this part of the world or not: a list prices that by what it is told."""
    sound: Floats
    """(n,) share of sound fruit without spraying."""
    verdict: tuple[Verdict, ...]
    limiting: tuple[FactorCode, ...]
    said: tuple[Sentence, ...]
    """The verdict in a sentence."""
    chill_years: Floats
    """(n,) years of ten in which the winter is cold enough."""
    south: bool
    told: Mapping[str, frozenset[ToldNearBy]] = field(default_factory=dict)
    """Cultivar id -> what sources tell of it near by."""
    judged_share: float = 1.0
    """What causes in the ground of which no source gives a figure leave of the crop of all alike."""
    passed_over: NDArray[np.float64] | None = None
    """(n,) how far sources that speak of this part of the world pass each over, 0 to 1; None where nobody asked."""
    known_here: NDArray[np.bool_] | None = None
    """(n,) who is known in this part of the world (`proven.Proven`); None where nobody asked."""
    pairs: PairTable | None = None
    """Every pair of them; None where it is to be worked out for those that are asked of."""

    @cached_property
    def row(self) -> dict[str, int]:
        """Row of each cultivar id."""
        return {cultivar.id: row for row, cultivar in enumerate(self.cultivars)}

    def name(self, row: int) -> str:
        """Denomination of a row."""
        return self.cultivars[row].name

    def has_verdict(self, *verdicts: Verdict) -> NDArray[np.bool_]:
        """(n,) whether the verdict is one of these."""
        return np.array([verdict in verdicts for verdict in self.verdict], dtype=np.bool_)


def patchwork(pieces: Sequence[tuple[SitedCultivars, str]]) -> SitedCultivars:
    """Single cultivars of several tables of one site, each by its id, as one table in this order; without pairs."""
    rows = [(sited, sited.row[cultivar_id]) for sited, cultivar_id in pieces]

    def of_each(name: str) -> Floats:
        return np.stack([getattr(sited, name)[row] for sited, row in rows])

    return replace(
        rows[0][0],
        cultivars=tuple(sited.cultivars[row] for sited, row in rows),
        windows=one_after_the_other([sited.windows.of([row]) for sited, row in rows]),
        verdict=tuple(sited.verdict[row] for sited, row in rows),
        limiting=tuple(sited.limiting[row] for sited, row in rows),
        said=tuple(sited.said[row] for sited, row in rows),
        told={},
        pairs=None,
        passed_over=None,
        known_here=None,
        keeps_surely=of_each("keeps_surely"),
        crop_chance=of_each("crop_chance"),
        harvest_first=of_each("harvest_first"),
        harvest_last=of_each("harvest_last"),
        storage_weeks=of_each("storage_weeks"),
        likely_years=of_each("likely_years"),
        rank_value=of_each("rank_value"),
        worth=of_each("worth"),
        sound=of_each("sound"),
        chill_years=of_each("chill_years"),
    )


def with_donors(sited: SitedCultivars, donors: Sequence[DonorJudged]) -> SitedCultivars:
    """The same cultivars, those that are planted for their pollen alone judged as such: they ripen nothing."""
    verdict, limiting, said = list(sited.verdict), list(sited.limiting), list(sited.said)
    rank, worth = sited.rank_value.copy(), sited.worth.copy()
    first, last = sited.harvest_first.copy(), sited.harvest_last.copy()
    for one in donors:
        verdict[one.row], limiting[one.row], said[one.row] = one.verdict, one.limiting, one.said
        rank[one.row] = worth[one.row] = one.rank_value
        first[one.row] = last[one.row] = np.nan
    return replace(
        sited,
        verdict=tuple(verdict),
        limiting=tuple(limiting),
        said=tuple(said),
        rank_value=rank,
        worth=worth,
        harvest_first=first,
        harvest_last=last,
    )


def holding(now: SitedCultivars, then: SitedCultivars) -> SitedCultivars:
    """The same cultivars so that a list of them holds in both climates.

    Years of both stand side by side, so that crops and pollen are judged over all of them; of rank, soundness, likely
    years and verdict the worse counts; picking is that of `now`.
    """
    worse = then.rank_value < now.rank_value
    limiting = tuple(b if bad else a for a, b, bad in zip(now.limiting, then.limiting, worse.tolist(), strict=True))
    said = tuple(b if bad else a for a, b, bad in zip(now.said, then.said, worse.tolist(), strict=True))
    return replace(
        now,
        crop_chance=np.hstack([now.crop_chance, then.crop_chance]),
        windows=side_by_side(now.windows, then.windows),
        pairs=None,
        likely_years=np.minimum(now.likely_years, then.likely_years),
        rank_value=np.minimum(now.rank_value, then.rank_value),
        worth=np.minimum(now.worth, then.worth),
        sound=np.minimum(now.sound, then.sound),
        chill_years=np.minimum(now.chill_years, then.chill_years),
        verdict=tuple(worse_verdict(a, b) for a, b in zip(now.verdict, then.verdict, strict=True)),
        limiting=limiting,
        said=said,
    )
