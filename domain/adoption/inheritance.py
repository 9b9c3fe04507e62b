"""What a sport takes from the cultivar it arose on: all but what sports are picked for.

A mutation that colours the skin or shortens the shoots leaves the rest of the genome as it was. Ripening, colour, size
and spur habit are what sports differ in, so those are never inherited (``fruits/apple/reading/inherited_traits.csv``);
on what wood it bears is, where no text gives the sport a form of its own.
A number of the sport's own that rests on few texts is pooled with the parent's, which is its prior.
"""

from collections.abc import Mapping
from typing import Literal, TypeVar

import msgspec

from domain.adoption.reading import Row, table
from domain.adoption.weighing import MOST_SOURCES
from domain.tables.cultivars import Estimate, Finding
from domain.tables.parameters import figures


class InheritedTrait(Row, frozen=True, kw_only=True):
    """A trait that a sport takes from its parent; some are lost where the sport is of another ploidy."""

    trait: str
    lost_with_ploidy: Literal["yes", "no"]
    lost_with_form: Literal["yes", "no"]
    lost_if_earlier: Literal["yes", "no"]
    pooled: Literal["yes", "no"]


class InheritanceFigures(msgspec.Struct, frozen=True):
    """How far a sport may differ from its parent, and how little told of it is pooled."""

    parent_spread_factor: float
    few_values: int
    earlier_days: float


FIGURES = figures("adoption", "inheritance", InheritanceFigures)

Key = tuple[str, str]
T = TypeVar("T", Estimate, Finding)


def inherit(
    numbers: Mapping[Key, Estimate], findings: Mapping[Key, Finding], sport_of: Mapping[str, str]
) -> tuple[dict[Key, Estimate], dict[Key, Finding]]:
    """Adopted values with those of sports filled in from their parents, marked `inherited_from`.

    A value of the sport itself stays, unless it was only imputed, or is a number of few texts, which is
    pooled. A sport whose own ploidy is another than its
    parent's has other pollen and other alleles, so it inherits none; one picked weeks before its parent is not known to
    keep as long. sport_of: sport id -> parent id; sports of sports
    inherit from the nearest that has the value.
    """
    inherited = table("inherited_traits", InheritedTrait, ("trait",))
    own_numbers, own_findings = dict(numbers), dict(findings)
    for sport in sport_of:
        line = _line(sport, sport_of)
        other_ploidy = _other_ploidy(findings, sport, line)
        other_form = findings.get((sport, "growth_form")) is not None
        earlier = _earlier(numbers, sport, line)
        for one in inherited:
            lost = (
                (one.lost_with_ploidy == "yes" and other_ploidy)
                or (one.lost_with_form == "yes" and other_form)
                or (one.lost_if_earlier == "yes" and earlier)
            )
            if not lost:
                _fill(own_numbers, numbers, sport, line, one.trait)
                if one.pooled == "yes":
                    _pool(own_numbers, numbers, sport, line, one.trait)
                _fill(own_findings, findings, sport, line, one.trait)
    return own_numbers, own_findings


def _line(sport: str, sport_of: Mapping[str, str]) -> list[str]:
    """Parents from the nearest to the first; a loop in the table ends the line."""
    line: list[str] = []
    parent = sport_of.get(sport)
    while parent is not None and parent != sport and parent not in line:
        line.append(parent)
        parent = sport_of.get(parent)
    return line


def _fill(filled: dict[Key, T], own: Mapping[Key, T], sport: str, line: list[str], trait: str) -> None:
    value = own.get((sport, trait))
    if value is not None and value.basis != "imputed":
        return
    for parent in line:
        found = own.get((parent, trait))
        if found is not None and found.basis != "imputed":
            filled[sport, trait] = msgspec.structs.replace(found, inherited_from=parent)
            return


def _pool(filled: dict[Key, Estimate], own: Mapping[Key, Estimate], sport: str, line: list[str], trait: str) -> None:
    """Where few texts tell a sport's number, draw it toward the nearest parent's, each weighed by its precision."""
    value = own.get((sport, trait))
    parent = next((p for p in line if (p, trait) in own and own[p, trait].basis != "imputed"), None)
    if value is None or parent is None or value.basis == "imputed" or value.observations > FIGURES.few_values:
        return
    prior = own[parent, trait]
    weights = (value.deviation**-2, (prior.deviation * FIGURES.parent_spread_factor) ** -2)
    middle = (weights[0] * value.value + weights[1] * prior.value) / sum(weights)
    filled[sport, trait] = msgspec.structs.replace(
        value,
        value=round(middle, 3),
        deviation=round(sum(weights) ** -0.5, 3),
        sources=tuple(sorted({*value.sources, *prior.sources}))[:MOST_SOURCES],
        inherited_from=parent,
    )


def _other_ploidy(findings: Mapping[Key, Finding], sport: str, line: list[str]) -> bool:
    own = findings.get((sport, "ploidy"))
    parents = [findings[parent, "ploidy"] for parent in line if (parent, "ploidy") in findings]
    return own is not None and bool(parents) and own.value != parents[0].value


def _earlier(numbers: Mapping[Key, Estimate], sport: str, line: list[str]) -> bool:
    """Whether a sport is picked weeks before the nearest of its line whose picking is known."""
    days = [
        numbers[one, "ripening_offset_days"].value for one in (sport, *line) if (one, "ripening_offset_days") in numbers
    ]
    known = (sport, "ripening_offset_days") in numbers and len(days) > 1
    return known and days[1] - days[0] >= FIGURES.earlier_days
