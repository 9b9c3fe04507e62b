"""How the tree grows and bears: vigour, form, habit, fruiting habit, precocity, alternation, cropping, drop.

Classes are turned into numbers by the meaning their texts give (``fruits/apple/reading/trait_words.csv``); one text's
"high" and another's "good" differ. Numbers on 0..1: 0 never or little, 1 always or most. Vigour is 1 very weak .. 5
very strong on the same rootstock, 3 a medium tree. Where no text speaks, a triploid is taken for stronger than the
mean and a spur or columnar tree for weaker (`imputed`, ``imputed_numbers.csv``); everything else stays absent.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import msgspec

from domain.adoption.reading import (
    NumberedTrait,
    Row,
    Spread,
    classes_of,
    marked,
    named_class,
    table,
    trait_number,
    weighed,
)
from domain.adoption.voices import spread_factor
from domain.adoption.weighing import (
    FROM_MEMORY,
    Read,
    basis_of,
    by_cultivar,
    by_document,
    elected,
    estimate,
    pooled,
    votes_of,
)
from domain.tables.cultivars import Estimate, Finding
from domain.tables.observations import Observation
from domain.tables.parameters import figures

Key = tuple[str, str]


class GrowthFigures(msgspec.Struct, frozen=True):
    """Scored crops, and how much an old text weighs."""

    crop_score_least: float
    crop_score_most: float
    old_text_spread_factor: float
    old_text_vote: float


FIGURES = figures("adoption", "growth", GrowthFigures)


class ImputedNumber(Row, frozen=True, kw_only=True):
    """A number that a class of the cultivar foretells where no text speaks."""

    from_trait: str
    from_value: str
    trait: str
    value: float
    spread: Spread
    unit: str


def number(observation: Observation, scale: NumberedTrait) -> tuple[float, float] | None:
    """(number, error) that an observation means on the scale of its trait, None for words that are not read."""
    error = scale.spread or 0.0
    if observation.trait == "productivity" and observation.low is not None:
        low, high = FIGURES.crop_score_least, FIGURES.crop_score_most
        return (observation.low - low) / (high - low), error
    if observation.trait in ("precocity", "precocity_years") and observation.low is not None:
        return (observation.low + (observation.high or observation.low)) / 2.0, error
    value = trait_number(observation.trait, observation.published)
    if value is None:
        return None
    return value, error * (FIGURES.old_text_spread_factor if marked(observation, "old_text") else 1.0)


def readings(observations: Iterable[Observation]) -> dict[Key, list[Read]]:
    """(cultivar, trait) -> what each document says; general knowledge only where no text says anything."""
    scales = weighed("texts_first")
    told: defaultdict[Key, list[Read]] = defaultdict(list)
    for one in observations:
        scale = scales.get(one.trait)
        read = number(one, scale) if scale else None
        if scale and read:
            error = read[1] * spread_factor(scale.adopted_trait, one.source_id)
            told[one.cultivar_id, scale.adopted_trait].append((read[0], error, one))
    return {
        key: by_document([reading for reading in several if reading[2].source_id != FROM_MEMORY] or several)
        for key, several in told.items()
    }


def weighed_mean(trait: str, texts: Sequence[Read]) -> Estimate:
    """The weighted mean of what documents say of a trait that is adopted from words."""
    scale = next(scale for scale in weighed("texts_first").values() if scale.adopted_trait == trait)
    value, spread = pooled([v for v, _, _ in texts], [e for _, e, _ in texts], scale.least_spread)
    used = [one for _, _, one in texts]
    return estimate(value, spread, scale.unit, used, basis_of(one.source_id for one in used))


def numbers(observations: Iterable[Observation]) -> dict[Key, Estimate]:
    """(cultivar, trait) -> weighted mean of the classes that texts give."""
    return {key: weighed_mean(key[1], texts) for key, texts in readings(observations).items()}


def _classes(observations: Sequence[Observation], adopted_trait: str) -> dict[tuple[str, str], Finding]:
    """(cultivar, trait) -> class by vote; of several traits that name it the later in ``named_classes.csv`` counts."""
    found: dict[tuple[str, str], Finding] = {}
    for trait in classes_of(adopted_trait):
        for cultivar_id, told in by_cultivar(observations, frozenset({trait})).items():
            named = [
                (name, FIGURES.old_text_vote if marked(one, "old_text") else 1.0, one)
                for one in told
                if (name := named_class(adopted_trait, trait, one.published))
            ]
            if named:
                found[cultivar_id, adopted_trait] = elected(votes_of(named), [one for _, _, one in named])
    return found


def _imputed(findings: Mapping[tuple[str, str], Finding]) -> dict[tuple[str, str], Estimate]:
    """Numbers that classes foretell, of the first row that fits; by the alphabet of the foretelling traits."""
    rows = table("imputed_numbers", ImputedNumber, ("from_trait", "from_value", "trait"))
    found: dict[tuple[str, str], Estimate] = {}
    for one in rows:
        for (cultivar_id, trait), finding in findings.items():
            if (trait, finding.value) == (one.from_trait, one.from_value):
                found.setdefault((cultivar_id, one.trait), estimate(one.value, one.spread, one.unit, (), "imputed"))
    return found


def adopt(
    observations: Sequence[Observation], findings: Mapping[tuple[str, str], Finding]
) -> dict[tuple[str, str], Estimate | Finding]:
    """Everything of growth and bearing; `findings` bring ``ploidy`` for the vigour of triploids."""
    form = _classes(observations, "growth_form")
    return {
        **_imputed({**findings, **form}),
        **numbers(observations),
        **form,
        **_classes(observations, "habit"),
        **_classes(observations, "fruiting_habit"),
    }
