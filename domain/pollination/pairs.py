"""The verdict on every pair of cultivars, as probabilities for all at once.

The chance that cultivar j's pollen sets an adequate crop on cultivar i is the product of three chances, each kept
apart: the genes fit, the pollen is viable, and the two bloom together long enough. Matrices are (pollinated, pollen
source).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import among
from domain.pollination.bloom_overlap import (
    BloomWindows,
    overlap_chance,
    overlap_of,
    said_together,
)
from domain.pollination.compatibility import (
    PollenFits,
    pollen_fits,
)
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures

Verdict = Literal["effective", "partial", "ineffective", "unknown"]
VERDICTS: tuple[Verdict, ...] = ("unknown", "ineffective", "partial", "effective")
UNKNOWN, INEFFECTIVE, PARTIAL, EFFECTIVE = range(4)
"""Codes of the verdict matrix, in the order of `VERDICTS`."""


class PairFigures(msgspec.Struct, frozen=True):
    """From which chance a source is effective, and what distance leaves of it."""

    effective_chance: float
    ineffective_chance: float
    distance_m: tuple[float, ...]
    distance_share: tuple[float, ...]
    strongly_biennial: float
    most_off_years: float
    off_year_flowers: float
    told_off_years: float
    said_together_chance: float
    settled_neighbours: int


FIGURES = figures("pollination", "pairs", PairFigures)


@dataclass(frozen=True)
class PairTable:
    """Every pair of some cultivars. Matrices are (pollinated, pollen source)."""

    cultivars: tuple[Cultivar, ...]
    windows: BloomWindows
    fits: PollenFits
    together: NDArray[np.float32]
    """Chance of bloom together for long enough."""
    chance: NDArray[np.float32]
    """Chance of an adequate set; 0 where bloom is unknown."""
    verdict: NDArray[np.int8]

    def of(self, rows: NDArray[np.intp]) -> "PairTable":
        """The table of the cultivars at these rows alone; a pair is the same in any company."""
        return PairTable(
            cultivars=tuple(self.cultivars[row] for row in rows),
            windows=self.windows.of(rows),
            fits=self.fits.of(rows),
            together=among(self.together, rows),
            chance=among(self.chance, rows),
            verdict=among(self.verdict, rows),
        )

    @property
    def effective(self) -> NDArray[np.bool_]:
        """(pollinated, pollen source) whether the source alone is enough."""
        return np.asarray(self.verdict == EFFECTIVE)

    @property
    def self_chance(self) -> NDArray[np.float32]:
        """(cultivars,) chance of an adequate crop without any other cultivar."""
        return np.ascontiguousarray(np.diagonal(self.chance))


def pair_table(
    cultivars: Sequence[Cultivar],
    by_id: Mapping[str, Cultivar],
    windows: BloomWindows,
    fits: PollenFits | None = None,
) -> PairTable:
    """Every pair of `cultivars` in both directions and with themselves, in the bloom `windows` of the same order.

    fits: what genes say of them, where that is known already.
    """
    fits = pollen_fits(cultivars, by_id) if fits is None else fits
    said, together = said_together(cultivars), overlap_chance(windows)
    together = np.where(said, np.maximum(together, np.float32(FIGURES.said_together_chance)), together)
    blooming = np.array([blooming_share(cultivar) for cultivar in cultivars], dtype=np.float32)
    viable = np.where(fits.same_genotype, np.float32(1.0), fits.pollen_chance[None, :] * blooming[None, :])
    in_time = viable * together
    chance = fits.chance * in_time
    verdict = np.full(chance.shape, PARTIAL, dtype=np.int8)
    verdict[chance >= FIGURES.effective_chance] = EFFECTIVE
    known = windows.known
    in_bloom = (known[:, None] & known[None, :]) | said
    settled = (fits.pollen_known[None, :] | fits.same_genotype) & in_bloom
    verdict[~settled] = UNKNOWN
    poor = fits.pollen_known & (fits.pollen_chance < FIGURES.ineffective_chance)
    hopeless = fits.chance_without_memory < FIGURES.ineffective_chance
    hopeless |= (settled & (fits.chance_without_memory * in_time < FIGURES.ineffective_chance)) | (
        poor[None, :] & ~fits.same_genotype
    )
    verdict[hopeless] = INEFFECTIVE
    own = np.arange(len(cultivars))
    selfed = np.diagonal(fits.chance)
    verdict[own, own] = np.select(
        [selfed >= FIGURES.effective_chance, selfed >= FIGURES.ineffective_chance], [EFFECTIVE, PARTIAL], INEFFECTIVE
    )
    return PairTable(tuple(cultivars), windows, fits, together, chance, verdict)


class Chances(NamedTuple):
    """Chances of an adequate set between some rows and all cultivars of a table."""

    given: NDArray[np.float32]
    """(rows, cultivars) of the rows, by pollen of each cultivar."""
    serving: NDArray[np.float32]
    """(rows, cultivars) of each cultivar, by pollen of the rows."""


def chances_of(
    rows: NDArray[np.intp], windows: BloomWindows, fits: PollenFits, cultivars: Sequence[Cultivar]
) -> Chances:
    """What `pair_table` says of some rows with all, in both directions, at the cost of these alone."""
    together, said = overlap_of(rows, windows), said_together(cultivars)[rows]
    together = np.where(said, np.maximum(together, np.float32(FIGURES.said_together_chance)), together)
    blooming = np.array([blooming_share(cultivar) for cultivar in cultivars], dtype=np.float32)
    viable, same = fits.pollen_chance * blooming, fits.same_genotype[rows]
    of_all = np.where(same, np.float32(1.0), viable[None, :])
    of_rows = np.where(same, np.float32(1.0), viable[rows, None])
    given, serving = fits.chance[rows] * (of_all * together), fits.chance[:, rows].T * (of_rows * together)
    return Chances(np.asarray(given, dtype=np.float32), np.asarray(serving, dtype=np.float32))


def distance_share(distance_m: float) -> float:
    """Share (0 to 1) of a pollen source's chance that is left at `distance_m` metres."""
    return float(np.interp(distance_m, FIGURES.distance_m, FIGURES.distance_share))


def distance_shares(distance_m: NDArray[np.float64]) -> NDArray[np.float64]:
    """`distance_share` of many distances at once."""
    return np.interp(distance_m, FIGURES.distance_m, FIGURES.distance_share)


def neighbourhood_chance(table: PairTable, usual: NDArray[np.bool_]) -> NDArray[np.float32]:
    """(cultivars,) chance that some tree of a settled neighbourhood serves, if it holds trees like the `usual` ones.

    Trees in a neighbourhood are not known by name, so each is taken as any of the usual cultivars: a cultivar that
    blooms when few others do finds few.
    """
    if not usual.any():
        return np.zeros(len(table.cultivars), dtype=np.float32)
    served = table.chance[:, usual].mean(axis=1)
    return np.asarray(1 - (1 - served) ** FIGURES.settled_neighbours, dtype=np.float32)


def off_years(source: Cultivar) -> float:
    """Share of years in which a source blooms little: half for a strictly biennial cultivar, none below the middle."""
    biennial = source.numbers.get("biennial")
    if biennial is None:
        return 0.0
    return min(max(biennial.value - FIGURES.strongly_biennial, 0.0), FIGURES.most_off_years)


def blooming_share(source: Cultivar) -> float:
    """What off years leave of a source over the years: such a year has few flowers, seldom none."""
    return 1.0 - off_years(source) * (1.0 - FIGURES.off_year_flowers)
