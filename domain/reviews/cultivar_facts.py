"""What causes of complaints are weighed by of a cultivar at a site: the same for every tree of it there."""

import math

import msgspec
import numpy as np

from domain.fruit.diseases import DISEASES
from domain.fruit.reference import MOTTLING
from domain.orchard_site.conditions import SiteConditions
from domain.pollination.kinship import sport_group
from domain.reviews.cultivars_here import Own
from domain.suitability.to_mind import FIGURES as MIND
from domain.traits.catalogue import Catalogue
from domain.traits.fixed_parts import FIGURES as FIXED
from domain.traits.trait_table import FIGURES as TRAITS


class CultivarFacts(msgspec.Struct, frozen=True):
    """lost: factor of the crop -> share that it takes. diseases: disease -> pressure times susceptibility.

    biennial: how far it crops every other year; None where that is not known. pits: whether its fruit is known to take
    bitter pit easily. mottles: whether its leaves mottle by nature. first_crop_years: years from planting to its first
    crop, on a stock that is not told.
    """

    biennial: float | None
    pits: bool
    mottles: bool
    first_crop_years: float
    lost: dict[str, float]
    diseases: dict[str, float]


def cultivar_facts(own: Own, row: int | None, conditions: SiteConditions, catalogue: Catalogue) -> CultivarFacts:
    """The facts of an own row; of a tree without a name those of the middle cultivar, as far as there is one."""
    cultivar = None if row is None else own.here.sited.cultivars[row]
    biennial = None if cultivar is None else cultivar.numbers.get("biennial")
    pit = None if cultivar is None else cultivar.numbers.get("bitter_pit")
    low, high = FIXED.usual_years_to_first_crop if row is None else own.here.traits.fixed[row].years_to_first_crop
    return CultivarFacts(
        biennial=None if biennial is None else biennial.value,
        pits=pit is not None and pit.value >= MIND.bitter_pit_from,
        mottles=cultivar is not None and sport_group(cultivar, catalogue.tables.by_id) in MOTTLING,
        first_crop_years=(low + high) / 2,
        lost=_lost(own, row),
        diseases=_diseases(own, row, conditions),
    )


def _lost(own: Own, row: int | None) -> dict[str, float]:
    """Factor of the crop -> share that it takes; of a tree without a name what it takes of the middle cultivar."""
    of_crop = [factor for factor in own.fit.factors if factor.outcome == "crop"]
    return {
        factor.code: 1.0 - float(np.median(factor.likely) if row is None else factor.likely[row]) for factor in of_crop
    }


def _diseases(own: Own, row: int | None, conditions: SiteConditions) -> dict[str, float]:
    """Disease -> pressure times susceptibility; one that nobody rated stands in the middle."""
    rated = np.full(len(DISEASES), np.nan) if row is None else own.here.traits.susceptibility[row]
    return {
        disease: float(conditions.pressure[disease]) * (TRAITS.unknown_susceptibility if math.isnan(share) else share)
        for disease, share in zip(DISEASES, rated.tolist(), strict=True)
    }
