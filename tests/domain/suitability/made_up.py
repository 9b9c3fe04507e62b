"""Made-up apples judged at a site by the public call, so that a test may change one thing known of a cultivar."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import msgspec

from domain.fruit.diseases import DISEASES
from domain.site_climate.site import Site
from domain.suitability.suitabilities import suitabilities
from domain.suitability.suitability_answer import Suitability
from domain.suitability.suitability_request import SuitabilityRequest, Weights
from domain.tables.cultivars import Cultivar, Estimate, Finding
from domain.tables.witnesses import Witness, WitnessPlace
from domain.traits.catalogue import Catalogue
from tests import shared

KNOWN = {
    # trait: value and spread of an apple that is well known and does well in a temperate climate
    "chill_portions": (45.0, 3.0),
    "bloom_offset_days": (0.0, 1.0),
    "bloom_length_days": (13.0, 1.0),
    "ripening_offset_days": (-25.0, 2.0),
    "hardiness_c": (-30.0, 1.0),
    "heat_tolerance": (0.5, 0.1),
    "sunburn": (0.4, 0.1),
    "bitter_pit": (0.3, 0.1),
    "biennial": (0.1, 0.1),
} | {f"susceptibility_{disease}": (0.2, 0.1) for disease in DISEASES}

NONE = dict.fromkeys(("crop", "sound_fruit", "quality", "tree_survival", "proven_in_like_climates"), 0.0)


def apple(
    name: str,
    ratings: float | None = None,
    *,
    without: tuple[str, ...] = (),
    adaptation: str = "temperate",
    **known: Any,
) -> Cultivar:
    """An apple of the usual traits; `trait=value` or `trait=(value, spread)` changes one, `without` drops some.

    ratings: susceptibility to every disease.
    """
    numbers = dict(KNOWN)
    if ratings is not None:
        numbers |= {trait: (ratings, spread) for trait, (_, spread) in KNOWN.items() if trait.startswith("suscept")}
    for trait, given in known.items():
        numbers[trait] = given if isinstance(given, tuple) else (given, numbers[trait][1])
    return Cultivar(
        id=name.lower().replace(" ", "-"),
        name=name,
        status="advised",
        kind="apple",
        numbers={
            trait: Estimate(value=value, deviation=spread, unit="", basis="published")
            for trait, (value, spread) in numbers.items()
            if trait not in without
        },
        findings={
            "adaptation": Finding(value=adaptation, agreement=1.0, basis="published"),
            "uses": Finding(value="dessert", agreement=1.0, basis="published"),
        },
    )


def judged(
    site: Site,
    *apples: Cultivar,
    weights: Mapping[str, float] | None = None,
    no_spray: bool = False,
    witnesses: Sequence[Witness] = (),
    places: Sequence[WitnessPlace] = (),
) -> dict[str, Suitability]:
    """Each apple's suitability by name. weights: outcomes that count, all others not; the usual weights if left out."""
    tables = replace(
        shared.tables(),
        cultivars=apples,
        by_id={one.id: one for one in apples},
        witnesses=tuple(witnesses),
        witness_places=tuple(places),
    )
    weighed = None if weights is None else msgspec.convert({**NONE, **weights}, Weights)
    request = SuitabilityRequest(site=site, weights=weighed, no_spray=no_spray)
    answer = suitabilities(request, Catalogue(tables), shared.conditions(site))
    return {one.cultivar: one for one in answer.suitabilities}


def ranks(site: Site, *apples: Cultivar, weights: Mapping[str, float] | None = None) -> list[float]:
    """Their rank values in the order given; each must have one."""
    found = judged(site, *apples, weights=weights)
    values = [found[one.name].rank_value for one in apples]
    assert all(value is not None for value in values)
    return [value for value in values if value is not None]
