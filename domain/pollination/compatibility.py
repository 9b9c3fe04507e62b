"""Whether the pollen of one cultivar can fertilise another, from S-alleles, ploidy and self-fertility.

A pistil refuses the pollen grains that carry one of its own S-alleles (gametophytic self-incompatibility), so the
question has a direction: a triploid S2 S3 S9 refuses all pollen of a diploid S2 S3, which would itself take some of the
triploid's. Two cultivars of one sport group are one genotype. Where a genotype is unknown the pair is not tested,
not unsuitable.

Matrices here are (pollinated, pollen source).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from domain.tables.cultivars import Cultivar, Finding

Compatibility = Literal["compatible", "semi_compatible", "incompatible", "not_tested"]
Pollen = Literal["viable", "poor", "unknown"]

COMPATIBILITIES: tuple[Compatibility, ...] = ("not_tested", "compatible", "semi_compatible", "incompatible")
NOT_TESTED, COMPATIBLE, SEMI_COMPATIBLE, INCOMPATIBLE = range(4)
"""Codes of the compatibility matrix, in the order of `COMPATIBILITIES`."""

UNTESTED_CHANCE = 0.97
"""Two unrelated diploids share both alleles about 3 times in 100: of 29 alleles a few are common (common practice)."""

TESTED_CHANCE = {COMPATIBLE: 0.99, SEMI_COMPATIBLE: 0.90, INCOMPATIBLE: 0.03}
"""Chance of an adequate set by class. Of a semi-compatible source half the pollen can grow (NIAB, Pollen
compatibility); that crops in a garden with somewhat less set ("Jonathan apple is a lower-potency pollenizer of
Topred", 1999). The figures themselves are our reading of those texts."""

MEMORY_TRUST = 0.7
"""Trust in a finding entered without a text: enough to lower a pair, never enough to rule it out."""

CLEAR_TRUST = 0.75
"""Trust in both genotypes together from which the class is stated as tested."""

VIABLE_POLLEN_CHANCE = 0.99
POOR_POLLEN_CHANCE = 0.05
"""Triploids are "worthless as a pollinizer" (Norton, Effective fruit pollination, Cornell); not quite never."""

DIPLOID_SHARE = 0.83
"""Share of diploids among the 1,010 cultivars whose ploidy is tabulated in the sources (840 of 1,010)."""

CRAB_POLLEN_CHANCE = 0.93
"""A crab apple of unrecorded ploidy: nearly all that are planted as pollen sources are diploid (common practice)."""

SELF_CHANCE = {"self_incompatible": 0.03, "partly_self_fertile": 0.5, "self_fertile": 0.85}
"""Chance that a tree alone, with its own pollen, sets an adequate crop (our reading: "partly" is a coin's throw)."""

UNKNOWN_SELF_CHANCE = 0.09
"""31 of 34 cultivars set practically no fruit after selfing (Hirosaki University group, KAKEN report, 1986)."""

TETRAPLOID_POLLEN_CHANCE = 0.75
"""Pollen of autotetraploid sports works on the original diploid and on itself, with lower set; the original's pollen
does not work on them (Adachi et al. 2009)."""


@dataclass(frozen=True)
class PollenFits:
    """What genes say of every pair. Matrices are (pollinated, pollen source), vectors (pollen source,)."""

    group: NDArray[np.int64]
    """Sport group of each cultivar; equal numbers are one genotype."""
    compatibility: NDArray[np.int8]
    chance: NDArray[np.float32]
    """Chance that the source's pollen, if viable and there in time, sets an adequate crop."""
    chance_without_memory: NDArray[np.float32]
    """The same where genotypes entered from memory are taken as unknown."""
    pollen_chance: NDArray[np.float32]
    pollen_known: NDArray[np.bool_]
    same_genotype: NDArray[np.bool_]
    from_memory: NDArray[np.bool_]
    """Pairs for which a genotype from memory was used."""


def sport_group(cultivar: Cultivar, by_id: Mapping[str, Cultivar]) -> str:
    """Id of the original cultivar: follows `sport_of` to its root (the root itself need not be in the catalogue)."""
    root, seen = cultivar.id, {cultivar.id}
    parent = cultivar.sport_of
    while parent is not None and parent not in seen:
        root = parent
        seen.add(parent)
        parent = by_id[parent].sport_of if parent in by_id else None
    return root


def alleles(cultivar: Cultivar) -> frozenset[str]:
    """S-alleles of a complete genotype; empty when unknown or partly known.

    A diploid's genotype is complete with two alleles, a triploid's with three; one allele alone is no genotype.
    """
    finding = cultivar.findings.get("s_genotype")
    if finding is None:
        return frozenset()
    found = frozenset(finding.value.split())
    return found if len(found) >= (3 if ploidy(cultivar) == 3 else 2) else frozenset()


def ploidy(cultivar: Cultivar) -> int | None:
    """Number of chromosome sets, None when unknown."""
    finding = cultivar.findings.get("ploidy")
    return None if finding is None else int(finding.value)


def pollen_of(cultivar: Cultivar) -> Pollen:
    """Pollen as far as known: by a finding on pollen first, then by ploidy (odd ploidy makes poor pollen)."""
    finding = cultivar.findings.get("pollen")
    if finding is not None:
        return "poor" if finding.value == "poor" else "viable"
    sets = ploidy(cultivar)
    if sets is not None:
        return "poor" if sets % 2 else "viable"
    return "viable" if cultivar.kind == "crab_apple" else "unknown"


def pollen_chance(cultivar: Cultivar) -> float:
    """Chance that the pollen is viable, by the finding on pollen or ploidy and how far the evidence agrees."""
    finding = cultivar.findings.get("pollen") or cultivar.findings.get("ploidy")
    usual = DIPLOID_SHARE * VIABLE_POLLEN_CHANCE + (1 - DIPLOID_SHARE) * POOR_POLLEN_CHANCE
    if cultivar.kind == "crab_apple":
        usual = CRAB_POLLEN_CHANCE
    if finding is None:
        return usual
    said = POOR_POLLEN_CHANCE if pollen_of(cultivar) == "poor" else VIABLE_POLLEN_CHANCE
    trust = _trust(finding)
    return trust * said + (1 - trust) * usual


def self_chance(cultivar: Cultivar) -> float:
    """Chance of an adequate crop with the cultivar's own pollen alone: what is found, as far as the sources agree."""
    finding = cultivar.findings.get("self_fertility")
    if ploidy(cultivar) == 4:
        usual = TETRAPLOID_POLLEN_CHANCE
    else:
        usual = POOR_POLLEN_CHANCE if pollen_of(cultivar) == "poor" else UNKNOWN_SELF_CHANCE
    if finding is None:
        return usual
    trust = _trust(finding)
    return trust * SELF_CHANCE[finding.value] + (1 - trust) * usual


def pollen_fits(cultivars: Sequence[Cultivar], by_id: Mapping[str, Cultivar]) -> PollenFits:
    """Every pair of `cultivars` in both directions, and each with itself.

    by_id: the catalogue, for the parents of sports.
    """
    roots = [sport_group(cultivar, by_id) for cultivar in cultivars]
    numbers = {root: number for number, root in enumerate(dict.fromkeys(roots))}
    group = np.array([numbers[root] for root in roots], dtype=np.int64)
    same = group[:, None] == group[None, :]

    masks, trusts, memory = _genotypes(cultivars)
    tested = (masks[:, None] != 0) & (masks[None, :] != 0)
    strange = np.bitwise_count(masks[None, :] & ~masks[:, None])
    classes = np.where(
        strange == 0,
        INCOMPATIBLE,
        np.where(strange == np.bitwise_count(masks)[None, :], COMPATIBLE, SEMI_COMPATIBLE),
    )
    trust = np.where(tested, trusts[:, None] * trusts[None, :], 0.0)
    by_class = np.array([UNTESTED_CHANCE, *(TESTED_CHANCE[code] for code in (1, 2, 3))])[classes]
    chance = trust * by_class + (1 - trust) * UNTESTED_CHANCE
    from_memory = tested & (memory[:, None] | memory[None, :]) & ~same
    without_memory = np.where(from_memory, UNTESTED_CHANCE, chance)
    compatibility = np.where(tested & ~from_memory & (trust >= CLEAR_TRUST), classes, NOT_TESTED)

    sets = np.array([ploidy(cultivar) or 2 for cultivar in cultivars])
    selfed = np.array([self_chance(cultivar) for cultivar in cultivars])
    doubled = same & (sets[None, :] == 4) & (sets[:, None] == 2)
    own = np.where(doubled, TETRAPLOID_POLLEN_CHANCE, selfed[:, None])
    own_class = np.select([own >= 0.75, own >= 0.25], [COMPATIBLE, SEMI_COMPATIBLE], INCOMPATIBLE)
    own_class = np.where(doubled, SEMI_COMPATIBLE, own_class)
    return PollenFits(
        group=group,
        compatibility=np.where(same, own_class, compatibility).astype(np.int8),
        chance=np.where(same, own, chance).astype(np.float32),
        chance_without_memory=np.where(same, own, without_memory).astype(np.float32),
        pollen_chance=np.array([pollen_chance(cultivar) for cultivar in cultivars], dtype=np.float32),
        pollen_known=np.array([pollen_of(cultivar) != "unknown" for cultivar in cultivars], dtype=np.bool_),
        same_genotype=same,
        from_memory=from_memory,
    )


def _genotypes(cultivars: Sequence[Cultivar]) -> tuple[NDArray[np.uint64], NDArray[np.float64], NDArray[np.bool_]]:
    """Each genotype as a set of bits (0 when unknown), the trust in it, and whether it comes from memory."""
    found = [alleles(cultivar) for cultivar in cultivars]
    bits = {name: 1 << place for place, name in enumerate(sorted(frozenset().union(*found)))}
    masks = np.array([sum(bits[name] for name in names) for names in found], dtype=np.uint64)
    findings = [cultivar.findings.get("s_genotype") for cultivar in cultivars]
    trusts = np.array([0.0 if finding is None else _trust(finding) for finding in findings])
    memory = np.array([finding is not None and _is_guess(finding) for finding in findings], dtype=np.bool_)
    return masks, trusts, memory


def _is_guess(finding: Finding) -> bool:
    return finding.basis in ("from-memory", "imputed")


def _trust(finding: Finding) -> float:
    """How far one finding is believed: the agreement of its evidence, capped for one that no text gives."""
    return min(finding.agreement, MEMORY_TRUST) if _is_guess(finding) else finding.agreement
