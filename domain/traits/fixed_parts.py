"""What an answer says of a cultivar wherever it is planted; made once from the tables."""

import math

import msgspec

from domain.common import cautions
from domain.common.cautions import Caution
from domain.suitability.suitability_answer import Tolerance, TreeHabit
from domain.tables.cultivars import DISEASES, Cultivar

SUSCEPTIBILITY_CLASSES: tuple[tuple[float, Tolerance], ...] = (
    (0.25, "resistant"),
    (0.45, "moderately_resistant"),
    (0.75, "susceptible"),
    (2.0, "very_susceptible"),
)
USUAL_YEARS_TO_FIRST_CROP = (2, 5)
"""Dwarf trees two to five years, semi-dwarf three to five (answers of several extension services)."""


class FixedParts(msgspec.Struct, frozen=True, kw_only=True):
    """The parts of a `Suitability` that no site changes. tolerances: by disease, in the order of DISEASES."""

    aliases: tuple[str, ...]
    years_to_first_crop: tuple[int, int]
    storage_weeks: tuple[int, int] | None
    tolerances: tuple[Tolerance, ...]
    tree: TreeHabit
    cautions: tuple[Caution, ...]


def tolerance_class(susceptibility: float | None) -> Tolerance:
    """The class of a susceptibility between 0 (immune) and 1."""
    if susceptibility is None:
        return "unknown"
    return next(name for bound, name in SUSCEPTIBILITY_CLASSES if susceptibility < bound)


def vigour_words(vigour: float | None) -> str | None:
    """Words for a vigour of 1 to 5."""
    if vigour is None:
        return None
    return ("very weak", "weak", "moderate", "strong", "very strong")[min(4, max(0, round(vigour) - 1))]


def fixed_parts(cultivar: Cultivar) -> FixedParts:
    """Gather them from the adopted traits."""
    number = {trait: estimate.value for trait, estimate in cultivar.numbers.items()}
    found = {trait: finding.value for trait, finding in cultivar.findings.items()}
    tolerances = tuple(tolerance_class(number.get(f"susceptibility_{disease}")) for disease in DISEASES)
    warned = [cautions.TRIPLOID] if found.get("ploidy") == "3" else []
    if any(tolerance != "unknown" for tolerance in tolerances):
        warned.append(cautions.RESISTANT_NOT_IMMUNE)
    return FixedParts(
        aliases=tuple(alias.name for alias in cultivar.aliases if alias.kind != "spelling")[:6],
        years_to_first_crop=_first_crop(number.get("precocity_years")),
        storage_weeks=_storage(number.get("storage_weeks_low"), number.get("storage_weeks_high")),
        tolerances=tolerances,
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
        return USUAL_YEARS_TO_FIRST_CROP
    return (max(1, math.floor(years - 0.5)), math.ceil(years + 1.0))


def _storage(low: float | None, high: float | None) -> tuple[int, int] | None:
    return None if low is None or high is None else (round(low), round(high))
