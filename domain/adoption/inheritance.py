"""What a sport takes from the cultivar it arose on: alleles, ploidy, pollen, chill and bloom; nothing of its fruit.

A mutation that colours the skin or shortens the shoots leaves the rest of the genome as it was. Ripening, colour, size
and spur habit are what sports differ in, so those are never inherited.
"""

from collections.abc import Mapping
from typing import TypeVar

import msgspec

from domain.tables.cultivars import Estimate, Finding

INHERITED_NUMBERS = ("chill_portions", "bloom_offset_days", "bloom_length_days")
INHERITED_FINDINGS = ("s_genotype", "ploidy", "pollen", "self_fertility")
_LOST_WITH_PLOIDY = frozenset({"s_genotype", "pollen", "self_fertility"})

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
    own_numbers, own_findings = dict(numbers), dict(findings)
    for sport in sport_of:
        line = _line(sport, sport_of)
        for trait in INHERITED_NUMBERS:
            _fill(own_numbers, numbers, sport, line, trait)
        for trait in INHERITED_FINDINGS:
            if trait in _LOST_WITH_PLOIDY and _other_ploidy(findings, sport, line):
                continue
            _fill(own_findings, findings, sport, line, trait)
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
