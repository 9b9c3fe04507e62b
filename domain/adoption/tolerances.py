"""Susceptibility to diseases, pests and disorders, 0 immune .. 1 very susceptible, from ratings of many schemes.

Each rating is read on its own scheme's scale (`disease_schemes`). Sources are then weighed by how well they agree with
the others on the cultivars they share: the error of a source is learnt from its residuals against the mean of the
rest, drawn toward its scheme's error where it shares few. The adopted value is the weighted mean, its spread the
formal error or the scatter between sources, whichever is larger. No prior: what no text rates is absent; but what only
weak voices rate (`voices`) moves from the mean of all rated cultivars as far as its error allows.

Scab resistance by the one gene Rvi6 (Vf) holds over much of the world and is overcome in parts of Europe and at single
sites elsewhere, so a carrier's value has a wider spread; a cultivar called a carrier counts as rated resistant.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import msgspec

from domain.adoption import disease_schemes
from domain.adoption.reading import NumberedTrait, marked, named_class, trait_number, weighed
from domain.adoption.voices import FIGURES as VOICES
from domain.adoption.voices import alone, spread_factor
from domain.adoption.weighing import basis_of, by_cultivar, by_document, elected, estimate, pooled, votes_of
from domain.fruit.diseases import DISEASES
from domain.tables.cultivars import Estimate, Finding
from domain.tables.observations import Observation
from domain.tables.parameters import figures

SCALE = "0..1"
SCAB, RVI6 = "scab", "Rvi6"


class ToleranceFigures(msgspec.Struct, frozen=True):
    """How ratings of susceptibility are weighed, and what the gene Rvi6 says."""

    prior_ratings: float
    least_spread: float
    gene_spread: float
    rvi6_susceptibility: float
    rvi6_extra_spread: float
    population_spread: float


FIGURES = figures("adoption", "tolerances", ToleranceFigures)


@dataclass(frozen=True)
class Rated:
    """One source's rating of one cultivar on the common scale."""

    cultivar_id: str
    source_id: str
    value: float
    error: float
    observation: Observation


def adopted_traits() -> dict[str, str]:
    """Trait as rated -> adopted trait: every disease, and the pests and disorders of ``numbered_traits.csv``."""
    diseases = {disease: f"susceptibility_{disease}" for disease in DISEASES}
    return diseases | {trait: one.adopted_trait for trait, one in weighed("by_agreement").items()}


def number(observation: Observation) -> tuple[float, float] | None:
    """(susceptibility, error) that a rating means, None for one that is not read."""
    scale = weighed("by_agreement").get(observation.trait)
    if scale is not None and scale.read_by == "words":
        return _word(observation, scale)
    ends = [end for end in (observation.low, observation.high) if end is not None]
    if ends:
        value = disease_schemes.linear(sum(ends) / len(ends), observation)
        return None if value is None else (value, disease_schemes.FIGURES.numeric_spread)
    return disease_schemes.rating(observation.published, observation.scheme)


def _word(observation: Observation, scale: NumberedTrait) -> tuple[float, float] | None:
    value = trait_number(observation.trait, observation.published)
    return None if value is None or scale.spread is None else (value, scale.spread)


def rated_trait(observation: Observation) -> str | None:
    """The trait an observation rates; general rots count as bitter rot where the text says so."""
    if observation.trait == "rots":
        return "bitter_rot" if marked(observation, "bitter_rot") else None
    return observation.trait if observation.trait in adopted_traits() else None


def ratings(observations: Iterable[Observation]) -> dict[str, list[Rated]]:
    """Trait -> ratings on the common scale, one of each source and cultivar (its mean if it prints several)."""
    told: defaultdict[tuple[str, str, str], list[tuple[float, float, Observation]]] = defaultdict(list)
    for observation in observations:
        if observation.trait == "scab_gene" and _gene(observation) == RVI6:
            gene = (FIGURES.rvi6_susceptibility, FIGURES.gene_spread, observation)
            told[SCAB, observation.cultivar_id, observation.source_id].append(gene)
        case = rated_trait(observation)
        rating = number(observation) if case else None
        if case and rating:
            told[case, observation.cultivar_id, observation.source_id].append((*rating, observation))
    rated: defaultdict[str, list[Rated]] = defaultdict(list)
    traits = adopted_traits()
    for (case, cultivar_id, source_id), several in sorted(told.items(), key=lambda item: item[0]):
        value = sum(number for number, _, _ in several) / len(several)
        error = sum(error for _, error, _ in several) / len(several)
        error *= spread_factor(traits[case], source_id)
        rated[case].append(Rated(cultivar_id, source_id, value, error, several[0][2]))
    return dict(rated)


def source_errors(rated: Sequence[Rated]) -> dict[str, float]:
    """Source -> error of its ratings, learnt from residuals against the mean of the other sources.

    error^2 = (n0 own^2 + sum of max((x - mean of the others)^2 - 1 / w, 0)) / (n0 + n), where w is the weight of the
    others, own the error of the source's scheme and n0 the ratings that it is worth; repeated three times.
    """
    by_name: defaultdict[str, list[Rated]] = defaultdict(list)
    for one in rated:
        by_name[one.cultivar_id].append(one)
    own = {one.source_id: one.error for one in rated}
    errors, prior = dict(own), FIGURES.prior_ratings
    for _ in range(3):
        squares: defaultdict[str, float] = defaultdict(float)
        counts: defaultdict[str, int] = defaultdict(int)
        for group in by_name.values():
            weights = [errors[one.source_id] ** -2 for one in group]
            total, weighted = sum(weights), sum(w * one.value for w, one in zip(weights, group, strict=True))
            for weight, one in zip(weights, group, strict=True):
                rest = total - weight
                if len(group) > 1:
                    mean = (weighted - weight * one.value) / rest
                    squares[one.source_id] += max((one.value - mean) ** 2 - 1.0 / rest, 0.0)
                    counts[one.source_id] += 1
        errors = {
            source_id: math.sqrt((prior * error**2 + squares[source_id]) / (prior + counts[source_id]))
            for source_id, error in own.items()
        }
    return errors


def carriers_of(observations: Sequence[Observation]) -> frozenset[str]:
    """Cultivars that some text calls carriers of Rvi6."""
    return frozenset(one.cultivar_id for one in observations if _gene(one) == RVI6)


def _gene(observation: Observation) -> str | None:
    """The scab gene that a text gives the cultivar, in its own column or in the words of its rating."""
    if observation.trait == "scab_gene":
        return named_class("scab_gene", "scab_gene", observation.published) or observation.published
    return RVI6 if observation.trait == SCAB and marked(observation, "rvi6_carrier") else None


def adopt(observations: Sequence[Observation]) -> dict[tuple[str, str], Estimate | Finding]:
    """(cultivar, trait) -> susceptibilities, disorders, heat tolerance and scab genes, for what some text rates."""
    adopted: dict[tuple[str, str], Estimate | Finding] = {}
    carriers, traits = carriers_of(observations), adopted_traits()
    for case, rated in ratings(observations).items():
        values = susceptibilities(rated, carriers if case == SCAB else frozenset())
        adopted.update({(cultivar_id, traits[case]): value for cultivar_id, value in values.items()})
    adopted.update(_evenly(observations))
    adopted.update(_scab_genes(observations))
    return adopted


def susceptibilities(rated: Sequence[Rated], carriers: frozenset[str] = frozenset()) -> dict[str, Estimate]:
    """Cultivar -> susceptibility to one disease, from the ratings of all; `carriers` of Rvi6 are known less well."""
    errors = source_errors(rated)
    mean = sum(one.value for one in rated) / len(rated)
    groups: defaultdict[str, list[Rated]] = defaultdict(list)
    for one in rated:
        groups[one.cultivar_id].append(one)
    found: dict[str, Estimate] = {}
    for cultivar_id, group in groups.items():
        value, spread = pooled([o.value for o in group], [errors[o.source_id] for o in group], FIGURES.least_spread)
        if alone(o.source_id for o in group):
            value, spread = _toward(mean, value, spread)
        if cultivar_id in carriers:
            spread = math.hypot(spread, FIGURES.rvi6_extra_spread)
        used = [one.observation for one in group]
        found[cultivar_id] = estimate(value, spread, SCALE, used, basis_of(one.source_id for one in group))
    return found


def _toward(mean: float, value: float, spread: float) -> tuple[float, float]:
    """(value, spread) of weak voices alone, drawn toward the mean of the cultivars rated by the precision of both."""
    told = (spread * VOICES.alone_spread_factor) ** -2
    usual = FIGURES.population_spread**-2
    return (told * value + usual * mean) / (told + usual), (told + usual) ** -0.5


def _evenly(observations: Iterable[Observation]) -> dict[tuple[str, str], Estimate]:
    """Traits of whose sources too few meet to be weighed: every text counts alike."""
    found: dict[tuple[str, str], Estimate] = {}
    for trait, scale in weighed("evenly").items():
        for cultivar_id, told in by_cultivar(observations, frozenset({trait})).items():
            numbers = [(*read, one) for one in told if (read := _word(one, scale)) is not None]
            if numbers:
                texts = by_document(numbers)
                value, spread = pooled([v for v, _, _ in texts], [e for _, e, _ in texts], scale.least_spread)
                used = [one for _, _, one in texts]
                basis = basis_of(one.source_id for one in used)
                found[cultivar_id, scale.adopted_trait] = estimate(value, spread, scale.unit, used, basis)
    return found


def _scab_genes(observations: Sequence[Observation]) -> dict[tuple[str, str], Finding]:
    found: dict[tuple[str, str], Finding] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({"scab_gene", "scab"})).items():
        named = [(gene, 1.0, one) for one in told if (gene := _gene(one))]
        if named:
            found[cultivar_id, "scab_gene"] = elected(votes_of(named), [one for _, _, one in named])
    return found
