"""The answer of `suitabilities`: structs, and how numbers become them."""

from typing import Literal

import msgspec

from domain.common.cautions import Caution
from domain.fruit.diseases import DiseaseId
from domain.fruit.resistance import Resistance
from domain.suitability.classes import Grade
from domain.suitability.factors import FactorBasis, FactorCode, Outcome, Verdict
from domain.suitability.to_mind import ToMind
from domain.suitability.without_winter import StrippedTree
from domain.tables.cultivars import Cultivar
from domain.tables.words import Value
from domain.traits.fixed_parts import TreeHabit
from domain.traits.fruit_like import FruitLike

# Ten thousand of these make an answer, and none can be part of a cycle: the collector need not look at them.


class YearsInTen(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Years of ten with a worthwhile crop: the middle, and about the 20th and 80th percentile of what we know."""

    likely: int
    low: int
    high: int


class Share(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A share, 0 to 1: the middle, and about the 20th and 80th percentile of what we know."""

    likely: float
    low: float
    high: float


class FactorInput(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A trait of the cultivar that a factor rests on; null where nobody knows."""

    trait: str
    value: float | None
    deviation: float | None
    basis: FactorBasis


class Factor(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """What one thing leaves of an outcome. `share` of the outcome; `years_in_ten` for factors of the crop only.

    `basis` is the weakest of its inputs. `code` and `values` say what `words` say.
    """

    factor: FactorCode
    outcome: Outcome
    years_in_ten: float | None
    share: Share
    basis: FactorBasis
    inputs: tuple[FactorInput, ...]
    code: str
    values: dict[str, Value]
    words: str


class BloomWindow(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Median dates of first bloom, full bloom and petal fall, MM-DD, and how far they may be out (d)."""

    first: str
    full: str
    petal_fall: str
    uncertainty_days: int


class HarvestWindow(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Median dates of the first and the last picking, MM-DD, and how far they may be out (d)."""

    first: str
    last: str
    uncertainty_days: int


class DiseaseStanding(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """The cultivar's resistance beside the pressure of the site."""

    disease: DiseaseId
    resistance: Resistance
    pressure: Literal["low", "moderate", "high"]


class TraitEvidence(msgspec.Struct, frozen=True, kw_only=True):
    """One adopted trait with its basis and the ids of its sources."""

    trait: str
    value: float | str
    deviation: float | None
    unit: str | None
    basis: str
    sources: tuple[str, ...]
    inherited_from: str | None


class OfOneTree(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A sport of the same cultivar, or what it is a sport of."""

    cultivar: str
    id: str


class IfWarmer(msgspec.Struct, frozen=True, kw_only=True):
    """The same cultivar at the site in a climate warmer by so many degrees."""

    warmer_by_c: float
    verdict: Verdict
    code: str
    values: dict[str, Value]
    words: str
    rank_value: float | None
    cropping_years_in_ten: YearsInTen | None
    limiting: FactorCode | None
    bloom: BloomWindow | None
    harvest: HarvestWindow | None


class Suitability(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """One cultivar at the site. Where a warmer climate was asked about, `verdict`, `words`, `limiting` and `rank_value`
    are those of the worse of the two climates, and all else is of today's. `stripped`: where there is no winter, what
    is known of it with its leaves stripped by hand; it then has no bloom or harvest of a year that has a winter.
    `known_here`: those who speak of that part of the world name it, and it is met there clearly more often than
    elsewhere. `sports_beside`: of the same tree and verdict, best first, for which it stands where a `limit` is asked.
    """

    cultivar: str
    id: str
    aliases: tuple[str, ...]
    sold_as: tuple[str, ...]
    asked: str | None = None
    uses: tuple[str, ...] | None
    fruit: FruitLike
    verdict: Verdict
    code: str
    values: dict[str, Value]
    words: str
    rank_value: float | None
    known_here: bool
    sports_beside: tuple[OfOneTree, ...] = ()
    cropping_years_in_ten: YearsInTen | None
    survives_ten_years: float | None
    years_to_first_crop: tuple[int, int]
    sound_fruit_unsprayed: Grade
    quality_here: Grade
    factors: tuple[Factor, ...]
    limiting: FactorCode | None
    bloom: BloomWindow | None
    harvest: HarvestWindow | None
    storage_weeks: tuple[int, int] | None
    diseases: tuple[DiseaseStanding, ...]
    tree: TreeHabit
    to_mind: tuple[ToMind, ...]
    cautions: tuple[Caution, ...]
    if_warmer: IfWarmer | None = None
    stripped: StrippedTree | None = None
    traits: tuple[TraitEvidence, ...] | None = None


def trait_evidence(cultivar: Cultivar) -> tuple[TraitEvidence, ...]:
    """Every adopted trait of a cultivar with its sources."""
    numbers = tuple(
        TraitEvidence(
            trait=trait,
            value=e.value,
            deviation=e.deviation,
            unit=e.unit,
            basis=e.basis,
            sources=e.sources,
            inherited_from=e.inherited_from,
        )
        for trait, e in sorted(cultivar.numbers.items())
    )
    findings = tuple(
        TraitEvidence(
            trait=trait,
            value=f.value,
            deviation=None,
            unit=None,
            basis=f.basis,
            sources=f.sources,
            inherited_from=f.inherited_from,
        )
        for trait, f in sorted(cultivar.findings.items())
    )
    return numbers + findings
