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

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import among
from domain.fruit.kinds import KINDS
from domain.pollination.kinship import kin_of, sport_group
from domain.tables.cultivars import Cultivar, Finding
from domain.tables.parameters import figures

Compatibility = Literal["compatible", "semi_compatible", "incompatible", "not_tested"]
Pollen = Literal["viable", "poor", "unknown"]

COMPATIBILITIES: tuple[Compatibility, ...] = ("not_tested", "compatible", "semi_compatible", "incompatible")
NOT_TESTED, COMPATIBLE, SEMI_COMPATIBLE, INCOMPATIBLE = range(4)
"""Codes of the compatibility matrix, in the order of `COMPATIBILITIES`."""

ROWS_AT_ONCE = 64
"""Pollinated cultivars that are compared at once: all of a catalogue would take several times what is kept of them."""


class CompatibilityFigures(msgspec.Struct, frozen=True):
    """Chances that pollen fits and that it is viable, and trust in what is found."""

    untested_chance: float
    untested_parent_chance: float
    untested_sibling_chance: float
    untested_half_sibling_chance: float
    named_partners_chance: float
    texts_to_believe: float
    compatible_chance: float
    semi_compatible_chance: float
    incompatible_chance: float
    memory_trust: float
    clear_trust: float
    viable_pollen_chance: float
    poor_pollen_chance: float
    diploid_share: float
    self_incompatible_chance: float
    partly_self_fertile_chance: float
    self_fertile_chance: float
    unknown_self_chance: float
    tetraploid_pollen_chance: float
    own_compatible_from: float
    own_semi_compatible_from: float


FIGURES = figures("pollination", "compatibility", CompatibilityFigures)


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
    kin: NDArray[np.int8]
    """Kin of each pair by printed pedigrees, or that texts name them as partners, an index of `kinship.KIN`."""
    from_memory: NDArray[np.bool_]
    """Pairs for which a genotype from memory was used."""

    def of(self, rows: NDArray[np.intp]) -> "PollenFits":
        """What genes say of the pairs of the cultivars at these rows alone."""
        return PollenFits(
            group=self.group[rows],
            compatibility=among(self.compatibility, rows),
            chance=among(self.chance, rows),
            chance_without_memory=among(self.chance_without_memory, rows),
            pollen_chance=self.pollen_chance[rows],
            pollen_known=self.pollen_known[rows],
            same_genotype=among(self.same_genotype, rows),
            kin=among(self.kin, rows),
            from_memory=among(self.from_memory, rows),
        )


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
    return KINDS[cultivar.kind].pollen_unrecorded


def pollen_chance(cultivar: Cultivar) -> float:
    """Chance that the pollen is viable, by the finding on pollen or ploidy and how far the evidence agrees."""
    finding = cultivar.findings.get("pollen") or cultivar.findings.get("ploidy")
    usual = (
        FIGURES.diploid_share * FIGURES.viable_pollen_chance + (1 - FIGURES.diploid_share) * FIGURES.poor_pollen_chance
    )
    of_its_kind = KINDS[cultivar.kind].pollen_chance_unrecorded
    if of_its_kind is not None:
        usual = of_its_kind
    if finding is None:
        return usual
    said = FIGURES.poor_pollen_chance if pollen_of(cultivar) == "poor" else FIGURES.viable_pollen_chance
    trust = _trust(finding)
    return trust * said + (1 - trust) * usual


def self_chance(cultivar: Cultivar) -> float:
    """Chance of an adequate crop with the cultivar's own pollen alone.

    What texts say moves what holds for any apple, as far as they agree and the more the more there are: growers say
    self-fertile of trees that stand among others.
    """
    finding = cultivar.findings.get("self_fertility")
    if ploidy(cultivar) == 4:
        usual = FIGURES.tetraploid_pollen_chance
    else:
        usual = FIGURES.poor_pollen_chance if pollen_of(cultivar) == "poor" else FIGURES.unknown_self_chance
    if finding is None:
        return usual
    said = {
        "self_incompatible": FIGURES.self_incompatible_chance,
        "partly_self_fertile": FIGURES.partly_self_fertile_chance,
        "self_fertile": FIGURES.self_fertile_chance,
    }[finding.value]
    texts = max(finding.observations, 1)
    trust = _trust(finding) * texts / (texts + FIGURES.texts_to_believe)
    return trust * said + (1 - trust) * usual


def untested_chances() -> tuple[float, ...]:
    """Chance that pollen fits where genotypes are unknown, in the order of `kinship.KIN`."""
    return (
        FIGURES.untested_chance,
        FIGURES.untested_parent_chance,
        FIGURES.untested_sibling_chance,
        FIGURES.untested_half_sibling_chance,
        FIGURES.named_partners_chance,
    )


def pollen_fits(cultivars: Sequence[Cultivar], by_id: Mapping[str, Cultivar]) -> PollenFits:
    """Every pair of `cultivars` in both directions, and each with itself.

    by_id: the catalogue, for the parents of sports.
    """
    roots = [sport_group(cultivar, by_id) for cultivar in cultivars]
    numbers = {root: number for number, root in enumerate(dict.fromkeys(roots))}
    group = np.array([numbers[root] for root in roots], dtype=np.int64)
    same = group[:, None] == group[None, :]

    kin = kin_of(cultivars, by_id, group, roots)

    masks, trusts, memory = _genotypes(cultivars)
    sets = np.array([ploidy(cultivar) or 2 for cultivar in cultivars])
    selfed = np.array([self_chance(cultivar) for cultivar in cultivars])
    untested_by_kin = np.array(untested_chances())
    by_class = np.array([0.0, FIGURES.compatible_chance, FIGURES.semi_compatible_chance, FIGURES.incompatible_chance])

    def of(rows: slice) -> tuple[NDArray[np.int8], NDArray[np.float32], NDArray[np.float32], NDArray[np.bool_]]:
        """Compatibility, both chances and whose genotype is from memory, of some of the pollinated."""
        alike, female = same[rows], masks[rows, None]
        tested = (female != 0) & (masks != 0)
        strange = np.bitwise_count(masks & ~female)
        classes = np.where(
            strange == 0, INCOMPATIBLE, np.where(strange == np.bitwise_count(masks), COMPATIBLE, SEMI_COMPATIBLE)
        )
        trust = np.where(tested, trusts[rows, None] * trusts, 0.0)
        untested = untested_by_kin[kin[rows]]
        chance = trust * by_class[classes] + (1 - trust) * untested
        from_memory = tested & (memory[rows, None] | memory) & ~alike
        without_memory = np.where(from_memory, untested, chance)
        compatibility = np.where(tested & ~from_memory & (trust >= FIGURES.clear_trust), classes, NOT_TESTED)
        doubled = alike & (sets == 4) & (sets[rows, None] == 2)
        own = np.where(doubled, FIGURES.tetraploid_pollen_chance, selfed[rows, None])
        own_class = np.select(
            [doubled, own >= FIGURES.own_compatible_from, own >= FIGURES.own_semi_compatible_from],
            [SEMI_COMPATIBLE, COMPATIBLE, SEMI_COMPATIBLE],
            INCOMPATIBLE,
        )
        return (
            np.where(alike, own_class, compatibility).astype(np.int8),
            np.where(alike, own, chance).astype(np.float32),
            np.where(alike, own, without_memory).astype(np.float32),
            from_memory,
        )

    blocks = [of(slice(start, start + ROWS_AT_ONCE)) for start in range(0, max(len(cultivars), 1), ROWS_AT_ONCE)]
    compatibility, chance, without_memory, from_memory = (np.concatenate(part) for part in zip(*blocks, strict=True))
    return PollenFits(
        group=group,
        compatibility=compatibility,
        chance=chance,
        chance_without_memory=without_memory,
        pollen_chance=np.array([pollen_chance(cultivar) for cultivar in cultivars], dtype=np.float32),
        pollen_known=np.array([pollen_of(cultivar) != "unknown" for cultivar in cultivars], dtype=np.bool_),
        same_genotype=same,
        kin=kin,
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
    return min(finding.agreement, FIGURES.memory_trust) if _is_guess(finding) else finding.agreement
