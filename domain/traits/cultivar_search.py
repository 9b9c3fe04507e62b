"""Which cultivars of the catalogue have the traits asked for."""

import functools
from collections.abc import Callable, Iterable, Iterator
from typing import Annotated, Literal

import msgspec

from domain.fruit.diseases import DISEASE_BY_ID, DiseaseId
from domain.fruit.kinds import Kind
from domain.fruit.resistance import resists
from domain.tables.cultivars import Cultivar, Status
from domain.traits.fruit_like import Use
from reference_tables.spelling import key

GrowthForm = Literal["standard", "spur", "columnar", "weeping"]
Ploidy = Literal["2", "3", "4"]

_Offset = Annotated[
    float, msgspec.Meta(ge=-200, le=200, description="Days after Golden Delicious; negative is before.")
]


class CultivarFilters(msgspec.Struct, frozen=True, kw_only=True):
    """Traits that a cultivar must have. A cultivar whose trait is unknown does not have it."""

    q: (
        Annotated[
            str,
            msgspec.Meta(min_length=1, max_length=80, description="Part of a name, in any spelling of Latin letters."),
        ]
        | None
    ) = None
    status: Annotated[Status, msgspec.Meta(description="`advised`: known well enough to advise.")] | None = None
    kind: Annotated[Kind, msgspec.Meta(description="Apple, or crab apple that serves as pollen source.")] | None = None
    use: Annotated[tuple[Use, ...], msgspec.Meta(max_length=5, description="Uses, all of them.")] = ()
    resists: Annotated[
        tuple[DiseaseId, ...],
        msgspec.Meta(max_length=10, description="Diseases, to each at least moderately resistant."),
    ] = ()
    ripens_from_days: (
        Annotated[_Offset, msgspec.Meta(description="Ripens this many days after Golden Delicious, or later.")] | None
    ) = None
    ripens_to_days: (
        Annotated[_Offset, msgspec.Meta(description="Ripens this many days after Golden Delicious, or earlier.")] | None
    ) = None
    least_vigour: (
        Annotated[float, msgspec.Meta(ge=1, le=5, description="Vigour, 1 very weak to 5 very strong.")] | None
    ) = None
    greatest_vigour: (
        Annotated[float, msgspec.Meta(ge=1, le=5, description="Vigour, 1 very weak to 5 very strong.")] | None
    ) = None
    growth_form: Annotated[GrowthForm, msgspec.Meta(description="Form in which the tree grows.")] | None = None
    ploidy: Annotated[Ploidy, msgspec.Meta(description="Sets of chromosomes; 3 gives no useful pollen.")] | None = None
    max_chill_portions: (
        Annotated[float, msgspec.Meta(ge=0, le=150, description="Needs at most this winter chill.")] | None
    ) = None


def search(cultivars: Iterable[Cultivar], filters: CultivarFilters) -> tuple[Cultivar, ...]:
    """The cultivars that have every trait asked for, in the order given.

    Names are compared by their Latin letters and digits: a part without any of them is part of none.
    """
    tests = tuple(_tests(filters))
    return tuple(cultivar for cultivar in cultivars if all(passes(cultivar) for passes in tests))


def _tests(asked: CultivarFilters) -> Iterator[Callable[[Cultivar], bool]]:
    """What a cultivar must pass; nothing is looked at that is not asked for, since most ask for a page of all."""
    if asked.status is not None:
        yield lambda cultivar: cultivar.status == asked.status
    if asked.kind is not None:
        yield lambda cultivar: cultivar.kind == asked.kind
    if asked.q is not None:
        part = key(asked.q)
        yield lambda cultivar: _has_name(cultivar, part)
    if asked.use:
        yield lambda cultivar: _serves(cultivar, asked.use)
    if asked.resists:
        yield lambda cultivar: all(_resists(cultivar, disease) for disease in asked.resists)
    for trait, low, high in (
        ("ripening_offset_days", asked.ripens_from_days, asked.ripens_to_days),
        ("vigour", asked.least_vigour, asked.greatest_vigour),
        ("chill_portions", None, asked.max_chill_portions),
    ):
        if low is not None or high is not None:
            yield functools.partial(_within, trait=trait, low=low, high=high)
    for trait, value in (("growth_form", asked.growth_form), ("ploidy", asked.ploidy)):
        if value is not None:
            yield functools.partial(_is, trait=trait, value=value)


def _has_name(cultivar: Cultivar, part: str) -> bool:
    return part != "" and (part in key(cultivar.name) or any(part in key(alias.name) for alias in cultivar.aliases))


def _serves(cultivar: Cultivar, uses: tuple[Use, ...]) -> bool:
    return "uses" in cultivar.findings and set(uses) <= set(cultivar.findings["uses"].value.split())


def _resists(cultivar: Cultivar, disease: DiseaseId) -> bool:
    estimate = cultivar.numbers.get(DISEASE_BY_ID[disease].trait)
    return resists(None if estimate is None else estimate.value)


def _within(cultivar: Cultivar, trait: str, low: float | None, high: float | None) -> bool:
    estimate = cultivar.numbers.get(trait)
    return estimate is not None and (low is None or estimate.value >= low) and (high is None or estimate.value <= high)


def _is(cultivar: Cultivar, trait: str, value: str) -> bool:
    return trait in cultivar.findings and cultivar.findings[trait].value == value
