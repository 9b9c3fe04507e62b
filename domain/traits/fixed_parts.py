"""What an answer says of a cultivar wherever it is planted; made once from the tables."""

import math

import msgspec

from domain.common.cautions import Caution
from domain.fruit.diseases import DISEASE_BY_ID
from domain.fruit.resistance import Resistance, resistance_class
from domain.tables import cautions
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.traits.fruit_like import FruitLike, fruit_like


class FixedFigures(msgspec.Struct, frozen=True):
    """Years to the first crop where nobody says, how far about an adopted figure it may come, and words for vigour."""

    usual_years_to_first_crop: tuple[int, int]
    first_crop_earlier: float
    first_crop_later: float
    vigour_words: tuple[str, str, str, str, str]


FIGURES = figures("traits", "fixed_parts", FixedFigures)


class TreeHabit(msgspec.Struct, frozen=True, kw_only=True):
    """How the tree grows, in words; null where no source tells."""

    growth_form: str | None
    vigour: str | None
    habit: str | None
    fruiting_habit: str | None


class FixedParts(msgspec.Struct, frozen=True, kw_only=True):
    """The parts of a `Suitability` that no site changes. resistances: by disease, in the order of their table."""

    aliases: tuple[str, ...]
    sold_as: tuple[str, ...]
    uses: tuple[str, ...] | None
    fruit: FruitLike
    years_to_first_crop: tuple[int, int]
    resistances: tuple[Resistance, ...]
    tree: TreeHabit
    cautions: tuple[Caution, ...]


def vigour_words(vigour: float | None) -> str | None:
    """Words for a vigour of 1 to 5."""
    if vigour is None:
        return None
    return FIGURES.vigour_words[min(4, max(0, round(vigour) - 1))]


def fixed_parts(cultivar: Cultivar) -> FixedParts:
    """Gather them from the adopted traits."""
    number = {trait: estimate.value for trait, estimate in cultivar.numbers.items()}
    found = {trait: finding.value for trait, finding in cultivar.findings.items()}
    resistances = tuple(resistance_class(number.get(disease.trait)) for disease in DISEASE_BY_ID.values())
    warned = [cautions.TRIPLOID] if found.get("ploidy") == "3" else []
    if any(resistance != "unknown" for resistance in resistances):
        warned.append(cautions.RESISTANT_NOT_IMMUNE)
    return FixedParts(
        aliases=tuple(alias.name for alias in cultivar.aliases if alias.kind != "spelling")[:6],
        sold_as=tuple(alias.name for alias in cultivar.aliases if alias.kind == "trade_designation"),
        uses=tuple(found["uses"].split()) if "uses" in found else None,
        fruit=fruit_like(cultivar),
        years_to_first_crop=_first_crop(number.get("precocity_years")),
        resistances=resistances,
        tree=TreeHabit(
            growth_form=found.get("growth_form"),
            vigour=vigour_words(number.get("vigour")),
            habit=found.get("habit"),
            fruiting_habit=found.get("fruiting_habit"),
        ),
        cautions=tuple(warned),
    )


def _first_crop(years: float | None) -> tuple[int, int]:
    if years is None:
        return FIGURES.usual_years_to_first_crop
    return (max(1, math.floor(years - FIGURES.first_crop_earlier)), math.ceil(years + FIGURES.first_crop_later))
