"""Ploidy, S-genotype, pollen and self-fertility of cultivars, by agreement of the texts, with the conflicts kept.

- Ploidy: flow cytometry is trusted above calls without a stated method, those above calls inferred from SNP
  heterozygosity (which err 12 times in 187), and weak or doubtful calls least; texts that only name triploids count as
  careful statements. A triploid that only SNPs call is not adopted (they called 3 of 40 known diploids triploid).
  A text that names no ploidy infers one where it finds the pollen viable (poor pollen says less: Winesap is a diploid)
  or prints two or three S-alleles; weak voices and general knowledge infer none. Each is a vote of known reliability
  (`right_inferred`, with the counts behind it); the prior is that of apples at large. What a trait infers of the ploidy
  never judges that trait: pollen and S-genotypes are weighed by a ploidy told without them.
- S-genotype: two alleles of a diploid, three of a triploid, in the common numbering S1, S2 ... as printed; one allele
  alone is no genotype. Texts before general knowledge, which stands only where no text speaks.
- Parentage only rules out: a child must have one allele of each parent, and two diploids have no tetraploid child. What
  it contradicts stays, with half the agreement and the contradiction among its conflicts.
- Pollen: as tested, or else by ploidy (triploids poor, diploids and tetraploids viable: common practice, no source).
"""

import functools
import math
import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Literal

import msgspec

from domain.adoption.kinship import crossed, parents_of
from domain.adoption.reading import Row, Share, lowered, marked, named_class, table
from domain.adoption.voices import alone, weak_voices
from domain.adoption.weighing import FROM_MEMORY, basis_of, by_cultivar, elected, source_ids
from domain.tables.cultivars import Basis, Finding
from domain.tables.observations import Observation
from domain.tables.parameters import figures

Adopted = dict[tuple[str, str], Finding]
Parents = Mapping[str, tuple[str, ...]]
"""Cultivar -> ids of its two parents, blank where the catalogue has none (see `kinship`)."""


class GeneticsFigures(msgspec.Struct, frozen=True):
    """Shares of ploidy calls of a kind that are right, and what general knowledge and contradiction weigh."""

    right_flow_cytometry: float
    right_named: float
    right_stated_call: float
    right_inferred: float
    right_inferred_polyploid: float
    least_agreement_of_inferred: float
    right_weak: float
    memory_vote: float
    memory_agreement_most: float
    agreement_left_if_contradicted: float
    viable_pollen_percent: float


FIGURES = figures("adoption", "genetics", GeneticsFigures)


class PloidyClass(Row, frozen=True, kw_only=True):
    """A ploidy as printed: its share of apples at large, its pollen and how often that is so, or what it means."""

    published: str
    read_as: str = ""
    share: Share | None = None
    pollen: Literal["viable", "poor"] | None = None
    pollen_share: Share | None = None


UNKNOWN_PARENT = "unknown"
"""The parent that a printed pedigree leaves open."""

ALLELE = re.compile(r"S\d+[a-z]?")


@functools.cache
def ploidies_read() -> dict[str, tuple[float, str, float]]:
    """Ploidy -> share of apples at large, pollen, share of cultivars of which that is true."""
    return {
        one.published: (one.share, one.pollen, one.pollen_share)
        for one in table("ploidy_classes", PloidyClass, ("published",))
        if one.share is not None and one.pollen is not None and one.pollen_share is not None
    }


def _printed(observation: Observation) -> str:
    """The ploidy that an observation names, as a number of sets: the words of the texts and their figures are one."""
    words: dict[str, str] = {
        one.published: one.read_as for one in table("ploidy_classes", PloidyClass, ("published",)) if one.read_as
    }
    return words.get(lowered(observation.published), observation.published)


PLOIDY_TOLD_BY = frozenset({"ploidy", "pollen_viability", "s_alleles"})


def _inferred(observation: Observation) -> bool:
    return observation.trait != "ploidy" or marked(observation, "inferred_call")


def _of_pollen_or_alleles(observation: Observation) -> str:
    """The ploidy that a text infers without naming it: of its pollen, or of its S-alleles; blank where it does not."""
    if observation.source_id == FROM_MEMORY or observation.source_id in weak_voices():
        return ""
    if observation.trait == "s_alleles":
        return {2: "2", 3: "3"}.get(len(alleles(observation.published)), "")
    return "2" if _pollen(observation) == "viable" else ""


def _called(observations: Sequence[Observation]) -> list[tuple[Observation, str]]:
    """What each observation says of the ploidy; one that infers it is silent where its document names it."""
    named = [(one, _printed(one)) for one in observations if one.trait == "ploidy"]
    naming = {one.source_id for one, _ in named}
    inferring = [one for one in observations if one.trait != "ploidy" and one.source_id not in naming]
    told = named + [(one, _of_pollen_or_alleles(one)) for one in inferring]
    return [(one, value) for one, value in told if value in ploidies_read()]


def _reliability(observation: Observation, called: str) -> float:
    if marked(observation, "weak_call"):
        return FIGURES.right_weak
    if _inferred(observation):
        return FIGURES.right_inferred if called == "2" else FIGURES.right_inferred_polyploid
    if marked(observation, "flow_cytometry"):
        return FIGURES.right_flow_cytometry
    return FIGURES.right_stated_call if marked(observation, "method_not_seen") else FIGURES.right_named


def ploidy(observations: Iterable[Observation]) -> Adopted:
    """(cultivar, ``ploidy``) -> 2, 3 or 4 with its probability as agreement; one vote of each source.

    p(value) ~ share of apples at large * product over votes of right (where the vote is the value) or (1 - right) / 2.
    """
    found: Adopted = {}
    for cultivar_id, told in by_cultivar(observations, PLOIDY_TOLD_BY).items():
        log_odds = {value: math.log(share) for value, (share, _, _) in ploidies_read().items()}
        votes: defaultdict[tuple[str, str], float] = defaultdict(float)
        called = _called(told)
        for one, value in called:
            votes[one.source_id, value] = max(votes[one.source_id, value], _reliability(one, value))
        for (_, printed), right in votes.items():
            for value in log_odds:
                log_odds[value] += math.log(right if value == printed else (1.0 - right) / 2.0)
        if not votes:
            continue
        highest = max(log_odds.values())
        odds = {value: math.exp(log - highest) for value, log in log_odds.items()}
        best = max(sorted(odds), key=lambda value: odds[value])
        used = [one for one, _ in called]
        agreement = odds[best] / sum(odds.values())
        inferred = all(_inferred(one) for one in used)
        if inferred and best != "2" and agreement < FIGURES.least_agreement_of_inferred:
            continue
        found[cultivar_id, "ploidy"] = Finding(
            value=best,
            agreement=round(agreement, 2),
            basis=basis_of(one.source_id for one in used),
            observations=len(used),
            sources=source_ids(used),
            conflicts=tuple(sorted({f"{one.published}: {one.source_id}" for one, value in called if value != best})),
        )
    return found


def ploidy_without(observations: Iterable[Observation], trait: str) -> Adopted:
    """The ploidies that are told without the values of one trait, to judge that trait by."""
    return ploidy([one for one in observations if one.trait != trait])


def alleles(text: str) -> tuple[str, ...]:
    """The S-alleles of a printed genotype, each once, in the order of their numbers."""
    return tuple(sorted(set(ALLELE.findall(text)), key=lambda allele: (int(re.sub(r"\D", "", allele)), allele)))


def s_genotypes(observations: Iterable[Observation], ploidies: Adopted) -> Adopted:
    """(cultivar, ``s_genotype``) -> alleles by vote of the texts; more alleles than the ploidy has are kept back.

    The ploidies are those told without the alleles (`ploidy_without`).
    """
    found: Adopted = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({"s_alleles"})).items():
        votes: defaultdict[str, float] = defaultdict(float)
        used = []
        for one in told:
            printed = alleles(one.published)
            if len(printed) >= 2:
                votes[" ".join(printed)] += FIGURES.memory_vote if one.source_id == FROM_MEMORY else 1.0
                used.append(one)
        if not votes:
            continue
        known = ploidies.get((cultivar_id, "ploidy"))
        most = 9 if known is None else int(known.value)
        fitting = {text: weight for text, weight in votes.items() if len(text.split()) <= most}
        against = [f"{text} has more alleles than the ploidy" for text in votes if text not in fitting]
        finding = elected(fitting or votes, used, against)
        if known is not None and len(finding.value.split()) < int(known.value) == 3:
            finding = _doubted(finding, "a triploid has three alleles unless two are alike")
        backers = [one for one in used if " ".join(alleles(one.published)) == finding.value]
        found[cultivar_id, "s_genotype"] = _with_basis(finding, basis_of(one.source_id for one in backers), backers)
    return found


def _with_basis(finding: Finding, basis: Basis, backers: Sequence[Observation]) -> Finding:
    agreement = min(finding.agreement, FIGURES.memory_agreement_most) if basis == "from-memory" else finding.agreement
    return Finding(
        value=finding.value,
        agreement=agreement,
        basis=basis,
        observations=len(backers),
        sources=source_ids(backers),
        conflicts=finding.conflicts,
    )


def _doubted(finding: Finding, why: str) -> Finding:
    return Finding(
        value=finding.value,
        agreement=round(finding.agreement * FIGURES.agreement_left_if_contradicted, 2),
        basis=finding.basis,
        observations=finding.observations,
        sources=finding.sources,
        conflicts=(*finding.conflicts, why),
    )


def ruled_out(adopted: Adopted, parents: Parents) -> Adopted:
    """The findings again, those that parentage contradicts with half their agreement and the contradiction told."""
    checked = dict(adopted)
    for cultivar_id, pair in parents.items():
        child = adopted.get((cultivar_id, "ploidy"))
        of_parents = [adopted.get((parent, "ploidy")) for parent in pair]
        diploid = [finding for finding in of_parents if finding is not None and finding.value == "2"]
        if child is not None and child.value == "4" and len(diploid) == 2:
            checked[cultivar_id, "ploidy"] = _doubted(child, "parentage: two diploids have no tetraploid child")
        genotype = adopted.get((cultivar_id, "s_genotype"))
        known = [adopted[parent, "s_genotype"] for parent in pair if (parent, "s_genotype") in adopted]
        alleles_known = [set(finding.value.split()) for finding in known]
        if genotype is not None and not _could_descend(set(genotype.value.split()), alleles_known):
            why = f"parentage: {' x '.join(parent or 'unknown' for parent in pair)} cannot give these alleles"
            checked[cultivar_id, "s_genotype"] = _doubted(genotype, why)
    return checked


def _could_descend(child: set[str], parents: Sequence[set[str]]) -> bool:
    """Whether the child can have one allele (two from an unreduced gamete) of each parent whose alleles are known."""
    if any(not child & parent for parent in parents):
        return False
    return len(parents) < 2 or child <= parents[0] | parents[1]


def _pollen(observation: Observation) -> str | None:
    """Whether a text calls the pollen viable or poor, None where it does not."""
    if observation.unit == "percent" and observation.low is not None:
        return "viable" if observation.low >= FIGURES.viable_pollen_percent else "poor"
    return named_class("pollen", "pollen_viability", observation.published)


def pollen(observations: Iterable[Observation], ploidies: Adopted) -> Adopted:
    """(cultivar, ``pollen``) -> viable or poor: as tested, checked by ploidy, or by ploidy alone.

    One vote of each document; weak voices are heard only where no ploidy is known. The ploidies are those told without
    the pollen (`ploidy_without`).
    """
    found: Adopted = {}
    tested = by_cultivar(observations, frozenset({"pollen_viability"}))
    for cultivar_id, told in tested.items():
        known = ploidies.get((cultivar_id, "ploidy"))
        heard = told if known is None else [one for one in told if one.source_id not in weak_voices()]
        votes: defaultdict[str, float] = defaultdict(float)
        for name in {one.source_id: name for one in heard if (name := _pollen(one))}.values():
            votes[name] += 1.0
        if known is not None and votes:
            votes[ploidies_read()[known.value][1]] += known.agreement
        if votes:
            found[cultivar_id, "pollen"] = elected(votes, heard)
    for (cultivar_id, _), known in ploidies.items():
        if (cultivar_id, "pollen") not in found:
            _, name, share = ploidies_read()[known.value]
            found[cultivar_id, "pollen"] = Finding(
                value=name,
                agreement=round(share * known.agreement, 2),
                basis="from-memory" if known.basis == "from-memory" else "computed",
                observations=known.observations,
                sources=known.sources,
            )
    return found


_NEEDS_NO_OTHER = ("partly_self_fertile", "self_fertile")


def self_fertility(observations: Iterable[Observation]) -> Adopted:
    """(cultivar, ``self_fertility``) -> self_incompatible, partly_self_fertile or self_fertile, by vote.

    That a tree needs no other is heard from weak voices only beside a text that says so too: they tell it of triploids,
    and of trees that stand among others.
    """
    found: Adopted = {}
    for cultivar_id, every in by_cultivar(observations, frozenset({"self_fertility"})).items():
        named = {one.source_id: named_class("self_fertility", one.trait, one.published) for one in every}
        fruitful = [source for source, name in named.items() if name in _NEEDS_NO_OTHER]
        dropped = frozenset(fruitful if alone(fruitful) else ())
        told = [one for one in every if one.source_id not in dropped]
        votes: defaultdict[str, float] = defaultdict(float)
        for source_id, name in named.items():
            if name is not None and source_id not in dropped:
                votes[name] += 1.0
        if votes:
            found[cultivar_id, "self_fertility"] = elected(votes, told)
    return found


def parentage(observations: Iterable[Observation], resolve: Callable[[str], str | None] = lambda _: None) -> Adopted:
    """(cultivar, ``parentage``) -> the cross as most sources print it, whichever parent they name first.

    A table that does not tell which bore the seed says the same cross as a text that does; the text's order is kept.
    A cross with one parent unknown says the same as the only one that names a second beside the parent it knows.
    """
    found: Adopted = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({"parentage"})).items():
        crosses: defaultdict[tuple[str, ...], list[Observation]] = defaultdict(list)
        for one in told:
            crosses[tuple(sorted(resolve(name) or lowered(name) for name in crossed(one.published)))].append(one)
        agreeing: defaultdict[tuple[str, ...], list[Observation]] = defaultdict(list)
        for half in [parents for parents in crosses if UNKNOWN_PARENT in parents]:
            known = set(half) - {UNKNOWN_PARENT}
            fuller = [parents for parents in crosses if UNKNOWN_PARENT not in parents and known < set(parents)]
            if len(fuller) == 1:
                agreeing[fuller[0]] += crosses.pop(half)
        votes: dict[str, float] = {}
        for parents, same in crosses.items():
            in_order = [one.published for one in same if not marked(one, "order_not_told")]
            printed = Counter(in_order or [one.published for one in same])
            cross = max(sorted(printed), key=lambda text: printed[text])
            votes[cross] = float(len({one.source_id for one in same + agreeing[parents]}))
        found[cultivar_id, "parentage"] = elected(votes, told)
    return found


def adopt(observations: Sequence[Observation], resolve: Callable[[str], str | None]) -> Adopted:
    """All findings of heredity; `resolve` turns a parent's printed name into a cultivar id, or None."""
    parents = parents_of(observations, resolve)
    genotypes = s_genotypes(observations, ploidy_without(observations, "s_alleles"))
    without_pollen = ruled_out({**ploidy_without(observations, "pollen_viability"), **genotypes}, parents)
    return {
        **ruled_out({**ploidy(observations), **genotypes}, parents),
        **pollen(observations, {key: finding for key, finding in without_pollen.items() if key[1] == "ploidy"}),
        **self_fertility(observations),
        **parentage(observations, resolve),
    }
