"""The verdict on every pair of cultivars, as probabilities for all at once and as words for one.

The chance that cultivar j's pollen sets an adequate crop on cultivar i is the product of three chances, each kept
apart: the genes fit, the pollen is viable, and the two bloom together long enough. Matrices are (pollinated, pollen
source).
"""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
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
    years_together,
)
from domain.pollination.compatibility import (
    COMPATIBILITIES,
    COMPATIBLE,
    INCOMPATIBLE,
    SEMI_COMPATIBLE,
    Compatibility,
    Pollen,
    PollenFits,
    alleles,
    ploidy,
    pollen_fits,
    pollen_of,
    untested_chances,
)
from domain.pollination.kinship import FULL_SIBLINGS, HALF_SIBLINGS, NAMED_PARTNERS, PARENT_AND_CHILD, UNRELATED
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.words import Sentence, Value, words_of

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


REMEMBERED_REASONS = 4096
"""Reasons that are kept as they were said."""

ReasonCode = Literal[
    "alleles_differ",
    "alleles_partly_shared",
    "alleles_shared",
    "alleles_disputed",
    "alleles_from_memory",
    "not_tested",
    "parent_and_child",
    "full_siblings",
    "half_siblings",
    "named_partners",
    "same_cultivar",
    "tetraploid_sport",
    "self_fertile",
    "partly_self_fertile",
    "self_incompatible",
    "self_not_tested",
    "off_years",
    "pollen_disputed",
    "triploid_pollen",
    "poor_pollen",
    "ploidy_unknown",
    "crab_ploidy_not_recorded",
    "bloom_unknown",
    "said_to_bloom_together",
    "bloom_together",
    "bloom_partly_together",
    "bloom_apart",
    "bloom_estimated",
    "near_enough",
    "far_for_bees",
    "pair_is_not_crop",
    "reference_bloom",
]


class Reason(Sentence, frozen=True, kw_only=True, gc=False):
    """One reason why a pair fits or not."""

    code: ReasonCode


def reason(code: ReasonCode, **values: Value) -> Reason:
    """A reason in words. Raises as `say` does."""
    return _reason(code, tuple(values.items()))


@lru_cache(maxsize=REMEMBERED_REASONS)
def _reason(code: ReasonCode, values: tuple[tuple[str, Value], ...]) -> Reason:
    """Kept, since most pairs of a list have the same few reasons."""
    said = dict(values)
    words = words_of(code, said)
    return Reason(code=code, values=said, words=words)


class PollinationPair(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """How far pollen from one cultivar serves another. `probability` is null where bloom is not known.

    flowers_met: share of the pollinated cultivar's flowers that open while the source blooms, over the years.
    years_in_ten: years in which the two meet long enough and bees fly in those days, if the pollen is accepted, less
    what the off years take of a source that bears every other year, as they do of `probability`. Null without a site,
    or where bloom is not known.
    """

    pollinated: str
    pollinated_id: str
    pollen_from: str
    pollen_from_id: str
    verdict: Verdict
    probability: float | None
    compatibility: Compatibility
    pollen: Pollen
    overlap_days: int | None
    flowers_met: float | None
    years_in_ten: float | None
    reasons: tuple[Reason, ...]


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
        """The pairs of some of the cultivars: a pair is the same in any company."""
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


class _Facts:
    """What the reasons ask of one cultivar, read once for all its pairs."""

    def __init__(self, table: PairTable, row: int) -> None:
        self.cultivar = table.cultivars[row]
        self.name = self.cultivar.name
        self.known = bool(table.windows.known[row])
        self._pollen_chance = float(table.fits.pollen_chance[row])
        self._full = table.windows.full[row]

    @cached_property
    def alleles(self) -> frozenset[str]:
        return alleles(self.cultivar)

    @cached_property
    def pollen(self) -> Pollen:
        return pollen_of(self.cultivar)

    @cached_property
    def of_pollen(self) -> tuple[Reason, ...]:
        """The reasons of the cultivar as a source, whatever it pollinates."""
        return (*_reasons_of_off_years(self.cultivar), *_reasons_of_pollen(self.cultivar, self._pollen_chance))

    @cached_property
    def blooming_share(self) -> float:
        return blooming_share(self.cultivar)

    @cached_property
    def blooms_with(self) -> frozenset[str]:
        finding = self.cultivar.findings.get("blooms_with")
        return frozenset(() if finding is None else finding.value.split())

    @cached_property
    def full(self) -> float:
        return float(np.median(self._full))

    @cached_property
    def guessed(self) -> bool:
        offset = self.cultivar.numbers.get("bloom_offset_days")
        return offset is None or offset.basis == "imputed"


def explain(table: PairTable, pairs: Sequence[tuple[int, int]]) -> list[PollinationPair]:
    """Some pairs in words, each as the rows of the pollinated cultivar and of its pollen source in the table."""
    pollinated, pollen_from = np.array(pairs, dtype=np.intp).reshape(-1, 2).T
    met = years_together(table.windows, pollinated, pollen_from)
    years = zip(met.days.tolist(), met.enough.tolist(), met.flowers.tolist(), met.foraging.tolist(), strict=True)
    facts = {row: _Facts(table, row) for row in {row for pair in pairs for row in pair}}
    return [
        _explained(table, (i, facts[i]), (j, facts[j]), _Meeting(*one))
        for (i, j), one in zip(pairs, years, strict=True)
    ]


class _Meeting(NamedTuple):
    """`YearsTogether` of one pair."""

    days: float
    enough: float
    flowers: float
    foraging: float


_Row = tuple[int, _Facts]


def _explained(table: PairTable, pollinated: _Row, pollen_from: _Row, met: _Meeting) -> PollinationPair:
    (i, own), (j, source) = pollinated, pollen_from
    in_bloom = not math.isnan(met.days)
    days = round(met.days) if in_bloom else None
    return PollinationPair(
        pollinated=own.name,
        pollinated_id=own.cultivar.id,
        pollen_from=source.name,
        pollen_from_id=source.cultivar.id,
        verdict=VERDICTS[table.verdict[i, j]],
        probability=round(float(table.chance[i, j]), 2) if in_bloom or i == j else None,
        compatibility=COMPATIBILITIES[table.fits.compatibility[i, j]],
        pollen=source.pollen,
        overlap_days=days,
        flowers_met=round(met.flowers, 2) if in_bloom else None,
        years_in_ten=_years_in_ten(met, source) if in_bloom and table.windows.at_site else None,
        reasons=tuple(_reasons(table, pollinated, pollen_from, days)),
    )


def _years_in_ten(met: _Meeting, source: _Facts) -> float:
    """Years of ten in which the two meet, bees fly, and the source has flowers enough."""
    flown = 1.0 if math.isnan(met.foraging) else met.foraging
    return round(10.0 * met.enough * flown * source.blooming_share, 1)


def off_years(source: Cultivar) -> float:
    """Share of years in which a source blooms little: half for a strictly biennial cultivar, none below the middle."""
    biennial = source.numbers.get("biennial")
    if biennial is None:
        return 0.0
    return min(max(biennial.value - FIGURES.strongly_biennial, 0.0), FIGURES.most_off_years)


def blooming_share(source: Cultivar) -> float:
    """What off years leave of a source over the years: such a year has few flowers, seldom none."""
    return 1.0 - off_years(source) * (1.0 - FIGURES.off_year_flowers)


def _reasons(table: PairTable, pollinated: _Row, pollen_from: _Row, days: int | None) -> list[Reason]:
    (i, own), (j, source) = pollinated, pollen_from
    found = _reasons_of_genes(table, i, j, own, source)
    if i != j and not (table.fits.same_genotype[i, j] and table.verdict[i, j] == INEFFECTIVE):
        found += [*source.of_pollen, *_reasons_of_bloom(table, float(table.together[i, j]), own, source, days)]
    return found


def _reasons_of_genes(table: PairTable, i: int, j: int, one: _Facts, other: _Facts) -> list[Reason]:
    female, male, fits = one.cultivar, other.cultivar, table.fits
    if i == j:
        return [_reason_of_self(female)]
    if fits.same_genotype[i, j]:
        if ploidy(male) == 4 and ploidy(female) != 4:
            return [reason("tetraploid_sport", pollen_from=male.name)]
        return [reason("same_cultivar", pollinated=female.name, pollen_from=male.name), _reason_of_self(female)]
    own, brought = one.alleles, other.alleles
    if fits.from_memory[i, j]:
        shared = len(brought & own)
        share = "all" if brought <= own else "none" if not shared else "some"
        return [reason("alleles_from_memory", pollinated=female.name, share=share, pollen_from=male.name)]
    code = fits.compatibility[i, j]
    if code == INCOMPATIBLE:
        carried = _in_order(brought)
        return [reason("alleles_shared", pollinated=female.name, pollen_from=male.name, alleles=carried)]
    if code == SEMI_COMPATIBLE:
        return [reason("alleles_partly_shared", alleles=_in_order(brought & own))]
    if code == COMPATIBLE:
        return [reason("alleles_differ")]
    if own and brought:
        return [reason("alleles_disputed")]
    times = 100.0 * untested_chances()[fits.kin[i, j]]
    if fits.kin[i, j] == UNRELATED:
        return [reason("not_tested", times_in_100=times)]
    return [reason(_KIN[int(fits.kin[i, j])], pollinated=female.name, pollen_from=male.name, times_in_100=times)]


_KIN: dict[int, ReasonCode] = {
    PARENT_AND_CHILD: "parent_and_child",
    FULL_SIBLINGS: "full_siblings",
    HALF_SIBLINGS: "half_siblings",
    NAMED_PARTNERS: "named_partners",
}


def _reason_of_self(cultivar: Cultivar) -> Reason:
    finding = cultivar.findings.get("self_fertility")
    code: ReasonCode = "self_not_tested" if finding is None else _SELF_FERTILITY[finding.value]
    return reason(code, cultivar=cultivar.name)


_SELF_FERTILITY: dict[str, ReasonCode] = {
    "self_incompatible": "self_incompatible",
    "partly_self_fertile": "partly_self_fertile",
    "self_fertile": "self_fertile",
}


def _reasons_of_pollen(male: Cultivar, chance: float) -> list[Reason]:
    sets = ploidy(male)
    pollen = pollen_of(male)
    if pollen != "unknown" and FIGURES.ineffective_chance <= chance < FIGURES.effective_chance:
        return [reason("pollen_disputed", pollen_from=male.name)]
    if pollen == "poor" and sets == 3:
        return [reason("triploid_pollen", pollen_from=male.name)]
    if pollen == "poor":
        return [reason("poor_pollen", pollen_from=male.name)]
    if pollen == "unknown":
        return [reason("ploidy_unknown", pollen_from=male.name)]
    if sets is None and "pollen" not in male.findings:
        return [reason("crab_ploidy_not_recorded", pollen_from=male.name)]
    return []


def _reasons_of_off_years(male: Cultivar) -> list[Reason]:
    return [reason("off_years", pollen_from=male.name)] if off_years(male) >= FIGURES.told_off_years else []


def _reasons_of_bloom(table: PairTable, together: float, own: _Facts, source: _Facts, days: int | None) -> list[Reason]:
    where = "here" if table.windows.at_site else "reference"
    if days is None:
        missing = tuple(one.name for one in (own, source) if not one.known)
        return [reason("bloom_unknown", cultivars=missing, where=where)]
    found = []
    if source.cultivar.id in own.blooms_with:
        found.append(reason("said_to_bloom_together"))
    elif together >= FIGURES.effective_chance:
        found.append(reason("bloom_together", where=where, days=days))
    elif together >= FIGURES.ineffective_chance:
        found.append(reason("bloom_partly_together", where=where, days=days))
    else:
        apart = source.full - own.full
        later, earlier = (source, own) if apart > 0 else (own, source)
        found.append(reason("bloom_apart", later=later.name, days=round(abs(apart)), earlier=earlier.name, where=where))
    guessed = tuple(one.name for one in (own, source) if one.guessed)
    if guessed:
        found.append(reason("bloom_estimated", cultivars=guessed))
    return found


def _in_order(names: Collection[str]) -> tuple[str, ...]:
    return tuple(sorted(names, key=_allele_order))


def _allele_order(name: str) -> tuple[int, str]:
    digits = name.lstrip("S")
    return (int(digits) if digits.isdigit() else 1000, name)
