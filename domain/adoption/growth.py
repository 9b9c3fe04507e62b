"""How the tree grows and bears: vigour, form, habit, fruiting habit, precocity, alternation, cropping, drop.

Classes are turned into numbers by the meaning their texts give; one text's "high" and another's "good" differ. Numbers
on 0..1: 0 never or little, 1 always or most. Vigour is 1 very weak .. 5 very strong on the same rootstock, 3 a medium
tree. Where no text speaks, a triploid is taken for stronger than the mean and a spur or columnar tree for weaker
(`imputed`); everything else stays absent.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from domain.adoption.weighing import FROM_MEMORY, basis_of, by_cultivar, class_number, elected, estimate, pooled
from domain.tables.cultivars import Estimate, Finding
from domain.tables.observations import Observation


@dataclass(frozen=True)
class Numbered:
    """How a trait's classes become numbers: the adopted trait and unit, values by class, error of one text."""

    trait: str
    unit: str
    classes: Mapping[str, float]
    error: float
    floor: float


NUMBERED: Mapping[str, Numbered] = {
    "vigour": Numbered(
        "vigour",
        "1..5",
        {
            "very weak": 1.0, "weak": 2.0, "weak to moderate": 2.5, "moderate, weak in full crop": 2.7,
            "moderate": 3.0, "moderate to vigorous": 3.5, "vigorous": 4.0, "very vigorous": 4.8,
        },
        0.7,
        0.25,
    ),
    "precocity": Numbered(
        "precocity_years",
        "years",
        {
            "very early": 2.0, "precocious (7 kg per tree in the third leaf)": 2.5, "precocious": 2.5, "early": 2.6,
            "high": 2.6, "moderate": 3.5, "medium": 3.5, "low": 5.5, "late": 5.5,
        },
        0.9,
        0.4,
    ),
    "precocity_years": Numbered("precocity_years", "years", {}, 0.8, 0.4),
    "biennial": Numbered(
        "biennial",
        "0..1",
        {
            "annual": 0.15, "consistent": 0.15, "low": 0.18, "medium": 0.5, "moderate": 0.5, "biennial": 0.78,
            "high": 0.8, "strong": 0.88,
        },
        0.18,
        0.06,
    ),
    "productivity": Numbered(
        "productivity",
        "0..1",
        {"low": 0.22, "erratic": 0.3, "medium": 0.5, "moderate": 0.5, "good": 0.65, "high": 0.8},
        0.17,
        0.06,
    ),
    "preharvest_drop": Numbered(
        "preharvest_drop",
        "0..1",
        {"low": 0.15, "medium": 0.5, "moderate": 0.5, "prone": 0.72, "high": 0.82},
        0.18,
        0.06,
    ),
    "hangs_on_tree": Numbered(
        "preharvest_drop",
        "0..1",
        {
            "hangs very well": 0.1, "hangs well": 0.15, "several weeks": 0.15, "until over-ripe": 0.15,
            "until well over-ripe": 0.12,
            "does not drop; stands very late frosts on the tree": 0.08,
            "better than mcintosh; pleasant to eat from 2 weeks before ripe": 0.45,
        },
        0.18,
        0.06,
    ),
}  # fmt: skip

CROP_SCALE = (1.0, 5.0)
"""Crop load scored 1 very sparse .. 5 overloaded."""
OLD_TEXT_ERROR = 1.4
"""Factor on the error of a class derived from a phrase of the nineteenth century: seedling stocks, large trees."""

FORMS = {"spur-type": "spur", "columnar": "columnar", "standard": "standard", "weeping": "weeping"}
HABITS = {
    "spreading": "spreading",
    "upright": "upright",
    "upright-spreading": "upright_spreading",
    "broad upright": "upright_spreading",
    "broad pyramidal": "upright_spreading",
    "compact, upright-spreading": "upright_spreading",
    "drooping": "drooping",
    "columnar": "columnar",
}
FRUITING = {"spur": "spur", "tip": "tip", "partial tip": "partial_tip"}

IMPUTED_VIGOUR = {"3": (4.0, 0.8), "spur": (2.3, 0.7), "columnar": (2.0, 0.7)}


def _number(observation: Observation, scale: Numbered) -> tuple[float, float] | None:
    if observation.trait == "productivity" and observation.low is not None:
        low, high = CROP_SCALE
        return (observation.low - low) / (high - low), scale.error
    if observation.trait in ("precocity", "precocity_years") and observation.low is not None:
        return (observation.low + (observation.high or observation.low)) / 2.0, scale.error
    value = class_number(observation, scale.classes)
    if value is None:
        return None
    return value, scale.error * (OLD_TEXT_ERROR if observation.scheme.startswith("classes derived") else 1.0)


def numbers(observations: Iterable[Observation]) -> dict[tuple[str, str], Estimate]:
    """(cultivar, trait) -> weighted mean of the classes that texts give; general knowledge only where none does."""
    told: defaultdict[tuple[str, str], list[tuple[float, float, Observation]]] = defaultdict(list)
    for one in observations:
        scale = NUMBERED.get(one.trait)
        number = _number(one, scale) if scale else None
        if scale and number:
            told[one.cultivar_id, scale.trait].append((*number, one))
    scales = {scale.trait: scale for scale in NUMBERED.values()}
    adopted: dict[tuple[str, str], Estimate] = {}
    for key, several in told.items():
        texts = [reading for reading in several if reading[2].source_id != FROM_MEMORY] or several
        scale = scales[key[1]]
        value, spread = pooled([v for v, _, _ in texts], [e for _, e, _ in texts], scale.floor)
        used = [one for _, _, one in texts]
        adopted[key] = estimate(value, spread, scale.unit, used, basis_of(one.source_id for one in used))
    return adopted


def _classes(
    observations: Iterable[Observation], trait: str, names: Mapping[str, str], adopted_trait: str
) -> dict[tuple[str, str], Finding]:
    found: dict[tuple[str, str], Finding] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({trait})).items():
        votes: defaultdict[str, float] = defaultdict(float)
        used = [one for one in told if one.published.lower() in names]
        for one in used:
            votes[names[one.published.lower()]] += 0.5 if one.scheme.startswith("classes derived") else 1.0
        if votes:
            found[cultivar_id, adopted_trait] = elected(votes, used)
    return found


def forms(observations: Sequence[Observation]) -> dict[tuple[str, str], Finding]:
    """(cultivar, ``growth_form``) -> standard, spur, columnar or weeping; a columnar habit or the gene names it too."""
    found = _classes(observations, "habit", {"columnar": "columnar"}, "growth_form")
    for cultivar_id, told in by_cultivar(observations, frozenset({"columnar_gene"})).items():
        found[cultivar_id, "growth_form"] = elected({"columnar": 1.0}, told)
    return {**found, **_classes(observations, "growth_form", FORMS, "growth_form")}


def adopt(
    observations: Sequence[Observation], findings: Mapping[tuple[str, str], Finding]
) -> dict[tuple[str, str], Estimate | Finding]:
    """Everything of growth and bearing; `findings` bring ``ploidy`` for the vigour of triploids."""
    form = forms(observations)
    adopted: dict[tuple[str, str], Estimate | Finding] = {
        **numbers(observations),
        **form,
        **_classes(observations, "habit", HABITS, "habit"),
        **_classes(observations, "fruiting_habit", FRUITING, "fruiting_habit"),
    }
    for (cultivar_id, trait), finding in sorted({**findings, **form}.items()):
        guess = IMPUTED_VIGOUR.get(finding.value) if trait in ("ploidy", "growth_form") else None
        if guess and (cultivar_id, "vigour") not in adopted:
            adopted[cultivar_id, "vigour"] = estimate(*guess, "1..5", (), "imputed")
    return adopted
