"""Why a pair fits or not, one reason after another: what genes, pollen and bloom of two cultivars say.

Every figure is the pair table's; here it is only told.
"""

from collections.abc import Collection
from functools import cached_property, lru_cache
from typing import Literal

from domain.pollination.compatibility import (
    COMPATIBLE,
    INCOMPATIBLE,
    SEMI_COMPATIBLE,
    Pollen,
    alleles,
    ploidy,
    pollen_of,
    untested_chances,
)
from domain.pollination.kinship import FULL_SIBLINGS, HALF_SIBLINGS, NAMED_PARTNERS, PARENT_AND_CHILD, UNRELATED
from domain.pollination.pairs import FIGURES, PairTable, blooming_share, off_years
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


class Facts:
    """What the reasons ask of one cultivar, read once for all its pairs."""

    def __init__(self, table: PairTable, row: int, full: float) -> None:
        """full: as the attribute."""
        self.cultivar = table.cultivars[row]
        self.name, self.id = self.cultivar.name, self.cultivar.id
        self.known = bool(table.windows.known[row])
        self._pollen_chance = float(table.fits.pollen_chance[row])
        self.full = full
        """Season day of full bloom in the middle year; as the windows count it."""

    @cached_property
    def alleles(self) -> frozenset[str]:
        """The S-alleles of a complete genotype; empty where it is not known."""
        return alleles(self.cultivar)

    @cached_property
    def pollen(self) -> Pollen:
        """Pollen as far as known."""
        return pollen_of(self.cultivar)

    @cached_property
    def of_pollen(self) -> tuple[Reason, ...]:
        """The reasons of the cultivar as a source, whatever it pollinates."""
        return (*_reasons_of_off_years(self.cultivar), *_reasons_of_pollen(self.cultivar, self._pollen_chance))

    @cached_property
    def blooming_share(self) -> float:
        """What off years leave of it as a source."""
        return blooming_share(self.cultivar)

    @cached_property
    def blooms_with(self) -> frozenset[str]:
        """The cultivars (ids) of which a text says that they bloom with it."""
        finding = self.cultivar.findings.get("blooms_with")
        return frozenset(() if finding is None else finding.value.split())

    @cached_property
    def guessed(self) -> bool:
        """Whether no source tells when it blooms."""
        offset = self.cultivar.numbers.get("bloom_offset_days")
        return offset is None or offset.basis == "imputed"


def reasons_of_genes(table: PairTable, i: int, j: int, one: Facts, other: Facts) -> list[Reason]:
    """What genes say of a pair: the rows of the pollinated cultivar and of the source, and what is known of both."""
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


def reasons_of_bloom(table: PairTable, together: float, own: Facts, source: Facts, days: int | None) -> list[Reason]:
    """What bloom says of a pair. together: chance of bloom together; days: of a usual year, None where nobody knows."""
    where = "here" if table.windows.at_site else "reference"
    if days is None:
        missing = tuple(one.name for one in (own, source) if not one.known)
        return [reason("bloom_unknown", cultivars=missing, where=where)]
    found = []
    if source.id in own.blooms_with:
        found.append(reason("said_to_bloom_together"))
    elif together >= FIGURES.effective_chance:
        found.append(reason("bloom_together", where=where, days=days))
    elif together >= FIGURES.ineffective_chance:
        found.append(reason("bloom_partly_together", where=where, days=days))
    else:
        apart = source.full - own.full
        later, earlier = (source, own) if apart > 0 else (own, source)
        found.append(reason("bloom_apart", later=later.name, days=round(abs(apart)), earlier=earlier.name, where=where))
    if own.guessed or source.guessed:
        guessed = tuple(one.name for one in (own, source) if one.guessed)
        found.append(reason("bloom_estimated", cultivars=guessed))
    return found


def _in_order(names: Collection[str]) -> tuple[str, ...]:
    return tuple(sorted(names, key=_allele_order))


def _allele_order(name: str) -> tuple[int, str]:
    digits = name.lstrip("S")
    return (int(digits) if digits.isdigit() else 1000, name)
