"""What a sport takes from the cultivar it arose on: alleles, ploidy, pollen, chill and bloom; nothing of its fruit.

A mutation that colours the skin or shortens the shoots leaves the rest of the genome as it was. Ripening, colour, size
and spur habit are what sports differ in, so those are never inherited (``fruits/apple/reading/inherited_traits.csv``).
"""

from collections.abc import Mapping
from typing import Literal, TypeVar

import msgspec

from domain.adoption.reading import Row, table
from domain.tables.cultivars import Estimate, Finding


class InheritedTrait(Row, frozen=True, kw_only=True):
    """A trait that a sport takes from its parent; some are lost where the sport is of another ploidy."""

    trait: str
    lost_with_ploidy: Literal["yes", "no"]


Key = tuple[str, str]
T = TypeVar("T", Estimate, Finding)


def inherit(
    numbers: Mapping[Key, Estimate], findings: Mapping[Key, Finding], sport_of: Mapping[str, str]
) -> tuple[dict[Key, Estimate], dict[Key, Finding]]:
    """Adopted values with those of sports filled in from their parents, marked `inherited_from`.

    A value of the sport itself stays, unless it was only imputed. A sport whose own ploidy is another than its
    parent's has other pollen and other alleles, so it inherits none. sport_of: sport id -> parent id; sports of sports
    inherit from the nearest that has the value.
    """
    inherited = table("inherited_traits", InheritedTrait, ("trait",))
    own_numbers, own_findings = dict(numbers), dict(findings)
    for sport in sport_of:
        line = _line(sport, sport_of)
        other_ploidy = _other_ploidy(findings, sport, line)
        for one in inherited:
            if one.lost_with_ploidy == "no" or not other_ploidy:
                _fill(own_numbers, numbers, sport, line, one.trait)
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


def _other_ploidy(findings: Mapping[Key, Finding], sport: str, line: list[str]) -> bool:
    own = findings.get((sport, "ploidy"))
    parents = [findings[parent, "ploidy"] for parent in line if (parent, "ploidy") in findings]
    return own is not None and bool(parents) and own.value != parents[0].value
