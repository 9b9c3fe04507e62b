"""Susceptibility to diseases, pests and disorders, 0 immune .. 1 very susceptible, from ratings of many schemes.

Each rating is read on its own scheme's scale (`disease_schemes`). Sources are then weighed by how well they agree with
the others on the cultivars they share: the error of a source is learnt from its residuals against the mean of the
rest, drawn toward its scheme's error where it shares few. The adopted value is the weighted mean, its spread the
formal error or the scatter between sources, whichever is larger. No prior: what no text rates is absent.

Scab resistance by the one gene Rvi6 (Vf) holds over much of the world and is overcome in parts of Europe and at single
sites elsewhere, so a carrier's value has a wider spread; a cultivar called a carrier counts as rated resistant.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from domain.adoption.disease_schemes import NUMERIC_ERROR, linear, rating
from domain.adoption.weighing import basis_of, by_cultivar, class_number, elected, estimate, pooled
from domain.tables.cultivars import DISEASES, Estimate, Finding
from domain.tables.observations import Observation

SCALE = "0..1"
PRIOR_RATINGS = 6.0
"""How many shared ratings the scheme's own error is worth when a source's reliability is learnt."""

CASES = {
    # trait as observed -> adopted trait
    **{disease: f"susceptibility_{disease}" for disease in DISEASES},
    "woolly_apple_aphid": "woolly_apple_aphid",
    "codling_moth": "codling_moth",
    "bitter_pit": "bitter_pit",
    "water_core": "water_core",
    "sunburn": "sunburn",
}

DISORDER_WORDS: Mapping[str, Mapping[str, float]] = {
    "bitter_pit": {
        "very susceptible": 0.9, "highly susceptible": 0.9, "extremely susceptible": 0.95, "prone": 0.72,
        "susceptible": 0.72, "sensitive": 0.7, "some observed": 0.5, "slight in a few seasons": 0.35,
        "low susceptibility": 0.25, "not prone": 0.15,
    },
    "water_core": {
        "can have serious problems": 0.75, "frequent": 0.75, "develops": 0.6, "susceptible": 0.7,
        "highly susceptible": 0.9, "moderately susceptible": 0.55, "resistant": 0.15, "none": 0.08,
    },
    "sunburn": {
        "susceptible": 0.72, "sensitive": 0.72, "more sensitive": 0.72, "high incidence": 0.82, "less tolerant": 0.68,
        "can be a problem": 0.6, "resistant": 0.2, "most tolerant": 0.15,
    },
}  # fmt: skip
"""Words of the disorders, each by its own: `prone` to bitter pit is not a class of any scale."""

HEAT_WORDS: Mapping[str, float] = {
    "withstands tropical heat": 0.85, "good": 0.8, "good colour and shape at a warm site": 0.75,
    "adaptable and stable in subtropical climate": 0.7, "stable yield in subtropical climate": 0.68,
    "crops in the semi-arid tropics at 3.2 and 4.9 t/ha": 0.7, "fruit small and poorly coloured": 0.45,
    "stressed by hot dry summers: smaller crop and fruit than treated trees": 0.45,
    "poor colour and shape at low altitude": 0.25, "poor": 0.2,
}  # fmt: skip
"""Heat tolerance as told, 1 is best: how tree and fruit come through a hot summer."""

WORD_ERROR = 0.18
LEAST_SPREAD = 0.06
GENE_ERROR = 0.15
RVI6_VALUE, RVI6_EXTRA_SPREAD = 0.12, 0.12

GENES = {"vf": "Rvi6", "rvi6": "Rvi6", "rvi6 (vf)": "Rvi6", "va": "Rvi10 (Va)", "vr": "Vr"}
"""Scab genes as printed -> the name used here: Vf is Rvi6; Vr of the Pillnitz series is left under its old name."""


@dataclass(frozen=True)
class Rated:
    """One source's rating of one cultivar on the common scale."""

    cultivar_id: str
    source_id: str
    value: float
    error: float
    observation: Observation


def _number(observation: Observation) -> tuple[float, float] | None:
    if observation.trait in DISORDER_WORDS:
        value = class_number(observation, DISORDER_WORDS[observation.trait])
        return None if value is None else (value, WORD_ERROR)
    ends = [end for end in (observation.low, observation.high) if end is not None]
    if ends:
        value = linear(sum(ends) / len(ends), observation.unit, observation.scheme)
        return None if value is None else (value, NUMERIC_ERROR)
    return rating(observation.published, observation.scheme)


def _case(observation: Observation) -> str | None:
    """The trait an observation rates; general rots count as bitter rot where the text says so."""
    if observation.trait == "rots":
        return "bitter_rot" if "bitter rot" in observation.scheme or "Colletotrichum" in observation.scheme else None
    return observation.trait if observation.trait in CASES else None


def ratings(observations: Iterable[Observation]) -> dict[str, list[Rated]]:
    """Trait -> ratings on the common scale, one of each source and cultivar (its mean if it prints several)."""
    told: defaultdict[tuple[str, str, str], list[tuple[float, float, Observation]]] = defaultdict(list)
    for observation in observations:
        if observation.trait == "scab_gene" and _gene(observation) == "Rvi6":
            told["scab", observation.cultivar_id, observation.source_id].append((RVI6_VALUE, GENE_ERROR, observation))
        case = _case(observation)
        number = _number(observation) if case else None
        if case and number:
            told[case, observation.cultivar_id, observation.source_id].append((*number, observation))
    rated: defaultdict[str, list[Rated]] = defaultdict(list)
    for (case, cultivar_id, source_id), several in sorted(told.items(), key=lambda item: item[0]):
        value = sum(number for number, _, _ in several) / len(several)
        error = sum(number for _, number, _ in several) / len(several)
        rated[case].append(Rated(cultivar_id, source_id, value, error, several[0][2]))
    return dict(rated)


def source_errors(rated: Sequence[Rated]) -> dict[str, float]:
    """Source -> error of its ratings, learnt from residuals against the mean of the other sources."""
    by_name: defaultdict[str, list[Rated]] = defaultdict(list)
    for one in rated:
        by_name[one.cultivar_id].append(one)
    own = {one.source_id: one.error for one in rated}
    errors = dict(own)
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
            source_id: math.sqrt((PRIOR_RATINGS * error**2 + squares[source_id]) / (PRIOR_RATINGS + counts[source_id]))
            for source_id, error in own.items()
        }
    return errors


def _carriers(observations: Sequence[Observation]) -> frozenset[str]:
    """Cultivars that some text calls carriers of Rvi6."""
    return frozenset(one.cultivar_id for one in observations if _gene(one) == "Rvi6")


def _gene(observation: Observation) -> str | None:
    """The scab gene that a text gives the cultivar, in its own column or in the words of its rating."""
    if observation.trait == "scab_gene":
        return GENES.get(observation.published.lower(), observation.published)
    told = observation.trait == "scab" and ("Rvi6" in observation.scheme or "Vf gene" in observation.published)
    return "Rvi6" if told else None


def adopt(observations: Sequence[Observation]) -> dict[tuple[str, str], Estimate | Finding]:
    """(cultivar, trait) -> susceptibilities, disorders, heat tolerance and scab genes, for what some text rates."""
    adopted: dict[tuple[str, str], Estimate | Finding] = {}
    carriers = _carriers(observations)
    for case, rated in ratings(observations).items():
        errors = source_errors(rated)
        groups: defaultdict[str, list[Rated]] = defaultdict(list)
        for one in rated:
            groups[one.cultivar_id].append(one)
        for cultivar_id, group in groups.items():
            value, spread = pooled([o.value for o in group], [errors[o.source_id] for o in group], LEAST_SPREAD)
            if case == "scab" and cultivar_id in carriers:
                spread = math.hypot(spread, RVI6_EXTRA_SPREAD)
            used = [one.observation for one in group]
            adopted[cultivar_id, CASES[case]] = estimate(
                value, spread, SCALE, used, basis_of(one.source_id for one in group)
            )
    adopted.update(_heat_tolerance(observations))
    adopted.update(_scab_genes(observations))
    return adopted


def _heat_tolerance(observations: Iterable[Observation]) -> dict[tuple[str, str], Estimate]:
    found: dict[tuple[str, str], Estimate] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({"heat_tolerance"})).items():
        numbers = [(number, one) for one in told if (number := class_number(one, HEAT_WORDS)) is not None]
        if numbers:
            value, spread = pooled([number for number, _ in numbers], [WORD_ERROR] * len(numbers), LEAST_SPREAD)
            used = [one for _, one in numbers]
            basis = basis_of(one.source_id for one in used)
            found[cultivar_id, "heat_tolerance"] = estimate(value, spread, SCALE, used, basis)
    return found


def _scab_genes(observations: Sequence[Observation]) -> dict[tuple[str, str], Finding]:
    found: dict[tuple[str, str], Finding] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({"scab_gene", "scab"})).items():
        votes: defaultdict[str, float] = defaultdict(float)
        used = []
        for one in told:
            if gene := _gene(one):
                votes[gene] += 1.0
                used.append(one)
        if votes:
            found[cultivar_id, "scab_gene"] = elected(votes, used)
    return found
