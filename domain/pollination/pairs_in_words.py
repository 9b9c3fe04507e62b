"""Some pairs in words: what each reason says, and the verdict beside its figures.

Every figure is the pair table's; here it is only told.
"""

from collections.abc import Callable, Collection, Iterator, Sequence
from functools import cached_property, lru_cache
from typing import Literal, NamedTuple, TypeVar

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import rounded
from domain.pollination.bloom_overlap import YearsTogether, years_together
from domain.pollination.compatibility import (
    COMPATIBILITIES,
    COMPATIBLE,
    INCOMPATIBLE,
    NOT_TESTED,
    SEMI_COMPATIBLE,
    Compatibility,
    Pollen,
    alleles,
    ploidy,
    pollen_of,
    untested_chances,
)
from domain.pollination.kinship import FULL_SIBLINGS, HALF_SIBLINGS, NAMED_PARTNERS, PARENT_AND_CHILD, UNRELATED
from domain.pollination.pairs import FIGURES, INEFFECTIVE, VERDICTS, PairTable, Verdict, blooming_share, off_years
from domain.tables.cultivars import Cultivar
from domain.tables.words import Sentence, Value, words_of

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


class _Facts:
    """What the reasons ask of one cultivar, read once for all its pairs."""

    def __init__(self, table: PairTable, row: int) -> None:
        self.cultivar = table.cultivars[row]
        self.name, self.id = self.cultivar.name, self.cultivar.id
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
    pollinated, pollen_from = (rows.copy() for rows in np.array(pairs, dtype=np.intp).reshape(-1, 2).T)
    met = years_together(table.windows, pollinated, pollen_from)
    facts = {row: _Facts(table, row) for row in np.unique([pollinated, pollen_from]).tolist()}
    asked = _Asked(
        pollinated,
        pollen_from,
        [facts[row] for row in pollinated.tolist()],
        [facts[row] for row in pollen_from.tolist()],
        ~np.isnan(met.days),
        np.nan_to_num(np.rint(met.days)).astype(np.intp),
    )
    in_bloom = asked.in_bloom
    told_years = _years_in_ten(met, asked) if table.windows.at_site else [None] * len(pairs)
    return [
        PollinationPair(
            pollinated=own.name,
            pollinated_id=own.id,
            pollen_from=source.name,
            pollen_from_id=source.id,
            verdict=VERDICTS[verdict],
            probability=probability,
            compatibility=COMPATIBILITIES[compatibility],
            pollen=source.pollen,
            overlap_days=days,
            flowers_met=flowers,
            years_in_ten=years,
            reasons=reasons,
        )
        for own, source, verdict, probability, compatibility, days, flowers, years, reasons in zip(
            asked.own,
            asked.source,
            table.verdict[pollinated, pollen_from].tolist(),
            _where(in_bloom | (pollinated == pollen_from), rounded(table.chance[pollinated, pollen_from], 2)),
            table.fits.compatibility[pollinated, pollen_from].tolist(),
            _where(in_bloom, asked.days.tolist()),
            _where(in_bloom, rounded(met.flowers, 2)),
            told_years,
            _reasons(table, asked),
            strict=True,
        )
    ]


class _Asked(NamedTuple):
    """The pairs that are asked for (pairs,): rows in the table, what is known of both, and their days in bloom together
    in a usual year, 0 where bloom is not known.
    """

    pollinated: NDArray[np.intp]
    pollen_from: NDArray[np.intp]
    own: list[_Facts]
    source: list[_Facts]
    in_bloom: NDArray[np.bool_]
    days: NDArray[np.intp]


Told = TypeVar("Told")


def _where(known: NDArray[np.bool_], values: Sequence[Told]) -> list[Told | None]:
    """The values that are known, None for the others."""
    return [value if told else None for value, told in zip(values, known.tolist(), strict=True)]


def _years_in_ten(met: YearsTogether, asked: _Asked) -> list[float | None]:
    """Years of ten in which the two meet, bees fly, and the source has flowers enough; None where nothing is known."""
    foraging = met.foraging.astype(np.float64)
    flown = np.where(np.isnan(foraging), 1.0, foraging)
    years = 10.0 * met.enough * flown * np.array([source.blooming_share for source in asked.source])
    return [round(told, 1) if known else None for told, known in zip(years.tolist(), asked.in_bloom, strict=True)]


def _reasons(table: PairTable, asked: _Asked) -> Iterator[tuple[Reason, ...]]:
    """The reasons of each pair."""
    pair = asked.pollinated, asked.pollen_from
    one_tree = asked.pollinated == asked.pollen_from
    by_genes_alone = one_tree | (table.fits.same_genotype[pair] & (table.verdict[pair] == INEFFECTIVE))
    for alone, genes, source, bloom in zip(
        by_genes_alone.tolist(), _by_genes(table, asked), asked.source, _by_bloom(table, asked), strict=True
    ):
        yield genes if alone else (*genes, *source.of_pollen, *bloom)


def _by_genes(table: PairTable, asked: _Asked) -> list[tuple[Reason, ...]]:
    """What the genes of each pair say: of most the same, whoever they are."""
    pair, fits = (asked.pollinated, asked.pollen_from), table.fits
    named = fits.same_genotype[pair] | fits.from_memory[pair]
    compatibility, kin = fits.compatibility[pair], fits.kin[pair]
    read = [np.array([bool(one.alleles) for one in side], dtype=np.bool_) for side in (asked.own, asked.source)]
    tested = read[0] & read[1]
    alike = np.select(
        [named, compatibility == COMPATIBLE, compatibility != NOT_TESTED, tested, kin == UNRELATED],
        [_NAMED, COMPATIBLE, _NAMED, len(COMPATIBILITIES), NOT_TESTED],
        _NAMED,
    )

    def said(n: int) -> list[Reason]:
        return _reasons_of_genes(table, int(pair[0][n]), int(pair[1][n]), asked.own[n], asked.source[n])

    return _once_for_alike(alike, said)


def _by_bloom(table: PairTable, asked: _Asked) -> list[tuple[Reason, ...]]:
    """What the bloom of each pair says: of many the same, where no name stands in it but that of one guessed alone."""
    together = table.together[asked.pollinated, asked.pollen_from].astype(np.float64)
    paired = [other.cultivar.id in one.blooms_with for one, other in zip(asked.own, asked.source, strict=True)]
    told = np.select(
        [paired, together >= FIGURES.effective_chance, together >= FIGURES.ineffective_chance], [0, 1, 2], _NAMED
    )
    guessed = [np.array([one.guessed for one in side], dtype=np.bool_) for side in (asked.own, asked.source)]
    size = len(table.cultivars)
    whose = np.select(
        [guessed[0] & guessed[1], guessed[0], guessed[1]], [_NAMED, 1 + asked.pollinated, 1 + size + asked.pollen_from]
    )
    named = ~asked.in_bloom | (told == _NAMED) | (whose == _NAMED)
    alike = np.where(named, _NAMED, (3 * asked.days + told) * (1 + 2 * size) + whose)

    def said(n: int) -> list[Reason]:
        days = int(asked.days[n]) if asked.in_bloom[n] else None
        return _reasons_of_bloom(table, float(together[n]), asked.own[n], asked.source[n], days)

    return _once_for_alike(alike, said)


_NAMED = -1
"""The mark of pairs whose reasons name them."""


def _once_for_alike(alike: NDArray[np.integer], said: Callable[[int], list[Reason]]) -> list[tuple[Reason, ...]]:
    """What is said of each pair by its place: once for all that have the same mark, but for those that are named."""
    made: dict[int, tuple[Reason, ...]] = {}
    found = []
    for n, mark in enumerate(alike.tolist()):
        reasons = made.get(mark)
        if reasons is None:
            reasons = tuple(said(n))
            if mark != _NAMED:
                made[mark] = reasons
        found.append(reasons)
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
