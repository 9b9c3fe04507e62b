"""The verdict on every pair of cultivars, as probabilities for all at once and as words for one.

The chance that cultivar j's pollen sets an adequate crop on cultivar i is the product of three chances, each kept
apart: the genes fit, the pollen is viable, and the two bloom together long enough. Matrices are (pollinated, pollen
source).
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.pollination.bloom_overlap import (
    BloomWindows,
    overlap_chance,
    said_together,
    thinned,
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
)
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.words import Value

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
    told_off_years: float
    said_together_chance: float
    settled_neighbours: int


FIGURES = figures("pollination", "pairs", PairFigures)


class Reason(msgspec.Struct, frozen=True):
    """One reason, as a stable code for front ends and a short sentence, with the values in it."""

    code: str
    words: str
    values: dict[str, Value] = {}


class PollinationPair(msgspec.Struct, frozen=True, kw_only=True):
    """How far pollen from one cultivar serves another. `probability` is null where bloom is not known.

    flowers_met: share of the pollinated cultivar's flowers that open while the source blooms, over the years.
    years_in_ten: years in which the two meet long enough and bees fly in those days, if the pollen is accepted, less
    the off years of a source that bears every other year. Null without a site, or where bloom is not known.
    """

    pollinated: str
    pollen_from: str
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

    @property
    def effective(self) -> NDArray[np.bool_]:
        """(pollinated, pollen source) whether the source alone is enough."""
        return np.asarray(self.verdict == EFFECTIVE)

    @property
    def self_chance(self) -> NDArray[np.float32]:
        """(cultivars,) chance of an adequate crop without any other cultivar."""
        return np.ascontiguousarray(np.diagonal(self.chance))


def pair_table(cultivars: Sequence[Cultivar], by_id: Mapping[str, Cultivar], windows: BloomWindows) -> PairTable:
    """Every pair of `cultivars` in both directions and with themselves, in the bloom `windows` of the same order."""
    fits = pollen_fits(cultivars, by_id)
    windows = thinned(windows)
    said, together = said_together(cultivars), overlap_chance(windows)
    together = np.where(said, np.maximum(together, np.float32(FIGURES.said_together_chance)), together)
    viable = np.where(fits.same_genotype, np.float32(1.0), fits.pollen_chance[None, :])
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


def explain(table: PairTable, pairs: Sequence[tuple[int, int]]) -> list[PollinationPair]:
    """Some pairs in words, each as the rows of the pollinated cultivar and of its pollen source in the table."""
    pollinated, pollen_from = np.array(pairs, dtype=np.intp).reshape(-1, 2).T
    met = years_together(table.windows, pollinated, pollen_from)
    years = zip(met.days.tolist(), met.enough.tolist(), met.flowers.tolist(), met.foraging.tolist(), strict=True)
    return [_explained(table, i, j, _Meeting(*one)) for (i, j), one in zip(pairs, years, strict=True)]


class _Meeting(NamedTuple):
    """`YearsTogether` of one pair."""

    days: float
    enough: float
    flowers: float
    foraging: float


def _explained(table: PairTable, i: int, j: int, met: _Meeting) -> PollinationPair:
    in_bloom = not math.isnan(met.days)
    days = round(met.days) if in_bloom else None
    return PollinationPair(
        pollinated=table.cultivars[i].name,
        pollen_from=table.cultivars[j].name,
        verdict=VERDICTS[table.verdict[i, j]],
        probability=round(float(table.chance[i, j]), 2) if in_bloom or i == j else None,
        compatibility=COMPATIBILITIES[table.fits.compatibility[i, j]],
        pollen=pollen_of(table.cultivars[j]),
        overlap_days=days,
        flowers_met=round(met.flowers, 2) if in_bloom else None,
        years_in_ten=_years_in_ten(met, table.cultivars[j]) if in_bloom and table.windows.at_site else None,
        reasons=tuple(_reasons(table, i, j, days)),
    )


def _years_in_ten(met: _Meeting, source: Cultivar) -> float:
    """Years of ten in which the two meet, bees fly, and the source is not in its off year."""
    flown = 1.0 if math.isnan(met.foraging) else met.foraging
    return round(10.0 * met.enough * flown * (1.0 - off_years(source)), 1)


def off_years(source: Cultivar) -> float:
    """Share of years in which a source hardly blooms: half for a strictly biennial cultivar, none below the middle."""
    biennial = source.numbers.get("biennial")
    if biennial is None:
        return 0.0
    return min(max(biennial.value - FIGURES.strongly_biennial, 0.0), FIGURES.most_off_years)


def _reasons(table: PairTable, i: int, j: int, days: int | None) -> list[Reason]:
    found = _reasons_of_genes(table, i, j)
    if i != j and not (table.fits.same_genotype[i, j] and table.verdict[i, j] == INEFFECTIVE):
        found += [
            *_reasons_of_off_years(table.cultivars[j]),
            *_reasons_of_pollen(table.cultivars[j], table.fits, j),
            *_reasons_of_bloom(table, i, j, days),
        ]
    return found


def _reasons_of_genes(table: PairTable, i: int, j: int) -> list[Reason]:
    female, male, fits = table.cultivars[i], table.cultivars[j], table.fits
    if i == j:
        return [_reason_of_self(female)]
    if fits.same_genotype[i, j]:
        if ploidy(male) == 4 and ploidy(female) != 4:
            words = f"{male.name} is a tetraploid sport: its pollen works here, with less set."
            return [Reason("tetraploid_sport", words)]
        words = f"{female.name} and {male.name} are sports of one cultivar and count as one."
        return [Reason("same_cultivar", words), _reason_of_self(female)]
    own, brought = alleles(female), alleles(male)
    if fits.from_memory[i, j]:
        shared = len(brought & own)
        told = "all" if brought <= own else "none" if not shared else "some"
        words = f"From memory, read in no text: {female.name} carries {told} of the S-alleles of {male.name}."
        return [Reason("alleles_from_memory", words)]
    code = fits.compatibility[i, j]
    if code == INCOMPATIBLE:
        names = " and ".join(sorted(brought, key=_allele_order))
        words = f"{female.name} refuses the pollen of {male.name}: it carries {names} itself."
        return [Reason("alleles_shared", words)]
    if code == SEMI_COMPATIBLE:
        names = " and ".join(sorted(brought & own, key=_allele_order))
        words = f"They share {names}: about half of the pollen can work, enough in a garden, with a lighter set."
        return [Reason("alleles_partly_shared", words)]
    if code == COMPATIBLE:
        return [Reason("alleles_differ", "Their S-alleles differ: the pollen is accepted.")]
    if own and brought:
        return [Reason("alleles_disputed", "Sources disagree on the S-alleles of one of the two.")]
    words = "Not tested together: two unrelated cultivars fit about 97 times in 100."
    return [Reason("not_tested", words)]


def _reason_of_self(cultivar: Cultivar) -> Reason:
    finding = cultivar.findings.get("self_fertility")
    name = cultivar.name
    if finding is None:
        return Reason("self_not_tested", f"{name} alone will hardly crop: few apples set with their own pollen.")
    words = {
        "self_incompatible": f"{name} does not set fruit with its own pollen.",
        "partly_self_fertile": f"{name} sets some fruit with its own pollen; with a partner it crops more surely.",
        "self_fertile": f"{name} sets a crop with its own pollen; a partner still helps.",
    }[finding.value]
    return Reason(finding.value, words)


def _reasons_of_pollen(male: Cultivar, fits: PollenFits, j: int) -> list[Reason]:
    sets = ploidy(male)
    pollen = pollen_of(male)
    if pollen != "unknown" and FIGURES.ineffective_chance <= fits.pollen_chance[j] < FIGURES.effective_chance:
        return [Reason("pollen_disputed", f"Sources disagree on the ploidy or the pollen of {male.name}.")]
    if pollen == "poor" and sets == 3:
        return [Reason("triploid_pollen", f"{male.name} is triploid: its pollen is poor and serves nobody.")]
    if pollen == "poor":
        return [Reason("poor_pollen", f"{male.name} has little good pollen.")]
    if pollen == "unknown":
        return [Reason("ploidy_unknown", f"Whether {male.name} is triploid, with poor pollen, is not known.")]
    if sets is None and "pollen" not in male.findings:
        words = f"{male.name} is planted as a pollen source; its ploidy is not recorded."
        return [Reason("crab_ploidy_not_recorded", words)]
    return []


def _reasons_of_off_years(male: Cultivar) -> list[Reason]:
    if off_years(male) < FIGURES.told_off_years:
        return []
    words = (
        f"{male.name} is inclined to rest every other year and then has few flowers: thin it early, or add a source."
    )
    return [Reason("off_years", words)]


def _reasons_of_bloom(table: PairTable, i: int, j: int, days: int | None) -> list[Reason]:
    where = "here" if table.windows.at_site else "at the reference places"
    if days is None:
        missing = [table.cultivars[row].name for row in (i, j) if not table.windows.known[row]]
        return [Reason("bloom_unknown", f"When {' and '.join(missing)} blooms {where} is not known.")]
    together = float(table.together[i, j])
    found = []
    if _said(table.cultivars[i], table.cultivars[j]):
        words = "A text says that they bloom together, or serve each other, where they are grown."
        found.append(Reason("said_to_bloom_together", words))
    elif together >= FIGURES.effective_chance:
        found.append(Reason("bloom_together", f"They bloom together {where} for about {days} days."))
    elif together >= FIGURES.ineffective_chance:
        words = f"They bloom together {where} for about {days} days, in some years too short a time."
        found.append(Reason("bloom_partly_together", words))
    else:
        words = f"{_later(table.windows, i, j, table.cultivars)} Their bloom hardly meets {where}."
        found.append(Reason("bloom_apart", words))
    guessed = [
        table.cultivars[row].name
        for row in (i, j)
        if (offset := table.cultivars[row].numbers.get("bloom_offset_days")) is None or offset.basis == "imputed"
    ]
    if guessed:
        found.append(Reason("bloom_estimated", f"The bloom of {' and '.join(guessed)} is estimated, not observed."))
    return found


def _said(one: Cultivar, other: Cultivar) -> bool:
    finding = one.findings.get("blooms_with")
    return finding is not None and other.id in finding.value.split()


def _later(windows: BloomWindows, i: int, j: int, cultivars: Sequence[Cultivar]) -> str:
    apart = float(np.median(windows.full[j]) - np.median(windows.full[i]))
    late, early = (j, i) if apart > 0 else (i, j)
    return f"{cultivars[late].name} blooms about {round(abs(apart))} days after {cultivars[early].name}."


def _allele_order(name: str) -> tuple[int, str]:
    digits = name.lstrip("S")
    return (int(digits) if digits.isdigit() else 1000, name)
