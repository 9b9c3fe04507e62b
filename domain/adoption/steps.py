"""From all published values to all adopted ones: the steps of adoption, in their order, and what sports inherit."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import msgspec

from domain.adoption import (
    adaptation,
    bloom_positions,
    chill_needs,
    companions,
    fruit_traits,
    genetics,
    growth,
    hardiness,
    inheritance,
    picking_lengths,
    ripening_positions,
    tolerances,
)
from domain.adoption.kinship import parents_of
from domain.tables.cultivars import Cultivar, Estimate, Finding
from domain.tables.loading import Tables
from domain.tables.observations import Observation, without_documents
from domain.tree_year.bloom import low_chill_share

Key = tuple[str, str]
Adopted = Mapping[Key, Estimate | Finding]


@dataclass(frozen=True)
class Evidence:
    """What adoption starts from: observations by topic, the cultivars served, and who is a sport of whom."""

    by_topic: Mapping[str, tuple[Observation, ...]]
    cultivar_ids: tuple[str, ...]
    sport_of: Mapping[str, str]
    crab_apples: frozenset[str]
    resolve: Callable[[str], str | None] = field(repr=False)

    def of(self, *topics: str) -> tuple[Observation, ...]:
        """Observations of these topics, one after the other."""
        return tuple(observation for topic in topics for observation in self.by_topic.get(topic, ()))

    @property
    def all(self) -> tuple[Observation, ...]:
        """Every observation that may carry a trait: all but what services recommend."""
        return self.of(*(topic for topic in self.by_topic if topic != "recommendations"))

    @cached_property
    def ripening(self) -> Mapping[Key, Estimate]:
        """Positions of picking, which storage is read by too; fitted once."""
        return ripening_positions.adopt(self.of("ripening"), self.known)

    @cached_property
    def chill(self) -> Adopted:
        """Needs of chill, which the positions of picking are read by too; worked out once."""
        return chill_needs.adopt(self.all, groups_of(self))

    @cached_property
    def known(self) -> ripening_positions.KnownCultivars:
        """What the positions of picking rest on beside dates: sports, and needs of chill, of a sport its tree's."""
        needs = {
            cultivar_id: found.value for (cultivar_id, _), found in self.chill.items() if isinstance(found, Estimate)
        }
        of_trees = {sport: needs[tree] for sport, tree in self.sport_of.items() if tree in needs}
        shares = {cultivar_id: low_chill_share(need) for cultivar_id, need in (of_trees | needs).items()}
        return ripening_positions.KnownCultivars(self.sport_of, shares)


def evidence_of(tables: Tables, without: frozenset[str] = frozenset(), *, from_memory: bool = True) -> Evidence:
    """The evidence of the tables without some documents (`Source.document`), if wanted without general knowledge."""
    by_topic = {
        topic: tuple(
            observation
            for observation in without_documents(observations, tables.sources, without)
            if from_memory or tables.sources[observation.source_id].kind != "memory"
        )
        for topic, observations in tables.by_topic.items()
    }
    return Evidence(
        by_topic=by_topic,
        cultivar_ids=tuple(cultivar.id for cultivar in tables.cultivars),
        sport_of={cultivar.id: cultivar.sport_of for cultivar in tables.cultivars if cultivar.sport_of},
        crab_apples=frozenset(cultivar.id for cultivar in tables.cultivars if cultivar.kind == "crab_apple"),
        resolve=tables.names.resolve,
    )


def _bloom(evidence: Evidence) -> Adopted:
    return bloom_positions.adopt(evidence.of("bloom"), _parents(evidence))


def _companions(evidence: Evidence) -> Adopted:
    return companions.adopt(evidence.of("bloom"), evidence.of("pollination"))


def _ripening(evidence: Evidence) -> Adopted:
    return evidence.ripening


def _picking(evidence: Evidence) -> Adopted:
    return picking_lengths.adopt(evidence.of("ripening"))


def _parents(evidence: Evidence) -> dict[str, tuple[str, ...]]:
    return parents_of(evidence.of("pollination"), evidence.resolve, evidence.sport_of)


def _adaptation(evidence: Evidence) -> dict[Key, Finding]:
    return adaptation.adopt(evidence.of("fruit"), evidence.cultivar_ids, evidence.crab_apples)


def groups_of(evidence: Evidence) -> dict[str, str]:
    """Cultivar -> group of adaptation, of a sport its parent's."""
    groups = adaptation.groups(_adaptation(evidence), evidence.cultivar_ids)
    for sport, parent in evidence.sport_of.items():  # where a sport was found says nothing of what it needs
        groups[sport] = groups.get(parent, groups[sport])
    return groups


def _chill(evidence: Evidence) -> Adopted:
    return evidence.chill


def _hardiness(evidence: Evidence) -> Adopted:
    return hardiness.adopt(evidence.all, groups_of(evidence))


def _growth(evidence: Evidence) -> Adopted:
    return growth.adopt(evidence.all, genetics.ploidy(evidence.of("pollination")))


def ripening_days(evidence: Evidence) -> dict[str, float]:
    """Cultivar -> adopted days of picking after the reference cultivar; of a sport without its own, its parent's."""
    days = {cultivar_id: found.value for (cultivar_id, _), found in evidence.ripening.items()}
    of_sports = {sport: days[parent] for sport, parent in evidence.sport_of.items() if parent in days}
    return of_sports | days


def _fruit(evidence: Evidence) -> Adopted:
    return fruit_traits.adopt(evidence.all, ripening_days(evidence))


def _heredity(evidence: Evidence) -> Adopted:
    return genetics.adopt(evidence.of("pollination"), evidence.resolve)


def _tolerances(evidence: Evidence) -> Adopted:
    return tolerances.adopt(evidence.all)


STEPS: tuple[Callable[[Evidence], Adopted], ...] = (
    _bloom,
    _companions,
    _ripening,
    _picking,
    _adaptation,
    _chill,
    _hardiness,
    _heredity,
    _tolerances,
    _growth,
    _fruit,
)
"""Every step of adoption; a new trait is one more function here."""
TIMING: tuple[Callable[[Evidence], Adopted], ...] = (_bloom, _ripening)
"""The steps that place cultivars in the season."""


def adopt(
    evidence: Evidence, steps: tuple[Callable[[Evidence], Adopted], ...] = STEPS
) -> tuple[dict[Key, Estimate], dict[Key, Finding]]:
    """Adopted numbers and findings of the cultivars served, keyed (cultivar id, trait); no step overwrites another."""
    served = frozenset(evidence.cultivar_ids)
    numbers: dict[Key, Estimate] = {}
    findings: dict[Key, Finding] = {}
    for step in steps:
        for key, value in step(evidence).items():
            if key[0] not in served:
                continue
            if isinstance(value, Estimate):
                numbers.setdefault(key, value)
            else:
                findings.setdefault(key, value)
    return inheritance.inherit(numbers, findings, evidence.sport_of)


def with_adopted(
    cultivars: tuple[Cultivar, ...], numbers: Mapping[Key, Estimate], findings: Mapping[Key, Finding]
) -> tuple[Cultivar, ...]:
    """The same cultivars with other adopted values: what the program would know had some document not been read."""
    of_numbers: dict[str, dict[str, Estimate]] = {cultivar.id: {} for cultivar in cultivars}
    of_findings: dict[str, dict[str, Finding]] = {cultivar.id: {} for cultivar in cultivars}
    for (cultivar_id, trait), estimate in numbers.items():
        of_numbers[cultivar_id][trait] = estimate
    for (cultivar_id, trait), finding in findings.items():
        of_findings[cultivar_id][trait] = finding
    return tuple(
        msgspec.structs.replace(cultivar, numbers=of_numbers[cultivar.id], findings=of_findings[cultivar.id])
        for cultivar in cultivars
    )
