"""What the hazards of a place take through the stock, what it stands, and why it is chosen.

Each hazard that presses asks one trait of a stock, or two of which the mean counts: cold in the ground asks its roots
and what is told of it as a whole, standing water its tolerance of wet soil and its resistance to crown rot. A class
that stands the hazard costs nothing, a middling one a part, one that fails all. What is unknown counts as what fails:
unknown is never better than known to be good. Where only a stock as a whole is called hardy, its roots count one class
lower.
"""

import math
from collections.abc import Collection, Mapping

import msgspec

from domain.tables.parameters import figures
from domain.tables.rootstocks import Rootstock
from domain.tables.words import Value
from domain.trees.training import Training, TrainingCode, train

HARDINESS_CLASSES = ("very_hardy", "hardy", "moderate", "tender")
"""Best first."""
RootInjury = tuple[float, float, float, float]
"""Chance a year that cold in the ground kills half of the roots, by class of hardiness, best first."""


class StockHazardFigures(msgspec.Struct, frozen=True):
    """What each hazard costs of a stock that fails it, and how much of that other classes cost."""

    middling_share: float
    susceptible_share: float
    unknown_share: float
    root_cold_cost: float
    root_cold_years: float
    root_cold_told_from: float
    fire_blight_cost: float
    fire_blight_told_from: float
    woolly_aphid_cost: float
    replant_cost: float
    drought_cost: float
    wet_ground_cost: float
    lime_cost: float
    heat_cost: float
    wind_cost: float
    salt_cost: float
    brittle_union_cost: float


FIGURES = figures("trees", "stock_hazards", StockHazardFigures)


class Hazards(msgspec.Struct, frozen=True, kw_only=True):
    """What presses on roots and unions at a place."""

    root_injury: RootInjury | None = None
    fire_blight: float = 0.0
    """Pressure, 0 to 1."""
    woolly_aphid: bool = False
    replant: bool = False
    drought: bool = False
    wet_ground: float = 0.0
    """How much standing water presses, 0 to 1."""
    lime: bool = False
    heat: bool = False
    wind: bool = False
    salt: bool = False


class Judged(msgspec.Struct, frozen=True, kw_only=True):
    """What a stock costs at a place, as a share of a full tree, and what is to be said of it."""

    cost: float
    training: tuple[Training, ...]


class _Hazard(msgspec.Struct, frozen=True):
    """One hazard that presses here: its name in words, what a stock that fails costs, its traits, the care then."""

    name: str
    cost: float
    traits: tuple[str, ...]
    care: TrainingCode


def _shares() -> Mapping[str, float]:
    """Class -> the share of the cost of a hazard that a stock of it bears."""
    return {
        "tolerant": 0.0,
        "resistant": 0.0,
        "moderate": FIGURES.middling_share,
        "moderately_resistant": FIGURES.middling_share,
        "susceptible": FIGURES.susceptible_share,
        "very_susceptible": 1.0,
        "sensitive": 1.0,
        "not_needed": 0.0,
        "early_years": FIGURES.middling_share,
        "permanent": 1.0,
    }


def judged(stock: Rootstock, here: Hazards) -> Judged:
    """Cost, reason and care of a stock at a place."""
    told = {trait: finding.value for trait, finding in stock.findings.items()}
    named: dict[str, Value] = {"rootstock": stock.name, "rootstock_id": stock.id}
    cost, cares = 0.0, list[Training]()
    stands, in_part = list[str](), list[str]()
    if here.root_injury is not None:
        lost = root_cold_share(told, here.root_injury)
        cost += FIGURES.root_cold_cost * lost
        if lost >= FIGURES.root_cold_told_from:
            cares.append(train("stock_not_known_hardy", **named))
        elif "hardiness_root" in told or "hardiness" in told:
            stands.append("root_cold")
    for hazard in _pressing(here):
        shares = [_share(told.get(trait)) for trait in hazard.traits]
        share = sum(shares) / len(shares)
        cost += hazard.cost * share
        if share == 0.0:
            stands.append(hazard.name)
        elif share > FIGURES.middling_share:
            cares.append(train(hazard.care, **named))
        else:
            in_part.append(hazard.name)
    if told.get("union") == "brittle":
        cost += FIGURES.brittle_union_cost
        cares.append(train("stock_union_breaks", **named))
    elif told.get("union") == "moderate":
        cares.append(train("stock_union_unsure", **named))
    if told.get("virus") == "sensitive":
        cares.append(train("stock_wants_tested_wood", **named))
    reason = [train("stock_stands_hazards", **named, hazards=tuple(stands))] if stands else []
    if in_part:
        reason.append(train("stock_stands_in_part", **named, hazards=tuple(in_part)))
    return Judged(cost=cost, training=(*reason, *cares))


def pressing(here: Hazards) -> tuple[str, ...]:
    """Names of the hazards that press here, cold in the ground apart."""
    return tuple(hazard.name for hazard in _pressing(here))


def known_to_suffer(stock: Rootstock, here: Hazards) -> tuple[str, ...]:
    """Names of the hazards here that a stock is known to stand badly; what nobody tells of it speaks against none."""
    return tuple(
        name for name, share in _known_shares(stock, here) if share is not None and share > FIGURES.middling_share
    )


def known_to_stand(stock: Rootstock, here: Hazards, hazards: Collection[str]) -> bool:
    """Whether a stock is known to stand some of the hazards here, in part at least."""
    shares = dict(_known_shares(stock, here))
    return all((share := shares[name]) is not None and share <= FIGURES.middling_share for name in hazards)


def _known_shares(stock: Rootstock, here: Hazards) -> list[tuple[str, float | None]]:
    """Each hazard here with the share of its cost that a stock bears by what is told of it; None where nothing is."""
    found: list[tuple[str, float | None]] = []
    for hazard in _pressing(here):
        told = [stock.findings[trait].value for trait in hazard.traits if trait in stock.findings]
        found.append((hazard.name, sum(map(_share, told)) / len(told) if told else None))
    return found


def root_cold_share(told: Mapping[str, str], injury: RootInjury) -> float:
    """Share of trees whose roots cold kills within the years that count, by what is told of the stock (class by trait).

    What is told of the roots and of the stock as a whole count alike.
    """
    whole, roots = told.get("hardiness"), told.get("hardiness_root")
    worst = len(HARDINESS_CLASSES) - 1
    places = [HARDINESS_CLASSES.index(one) for one in (roots, whole) if one is not None]
    if not places:
        places = [worst]
    elif roots is None:
        places = [min(places[0] + 1, worst)]
    lost = [1.0 - math.pow(1.0 - injury[place], FIGURES.root_cold_years) for place in places]
    return sum(lost) / len(lost)


def _share(told: str | None) -> float:
    return FIGURES.unknown_share if told is None else _shares()[told]


def _pressing(here: Hazards) -> list[_Hazard]:
    """The hazards that press here, with their costs."""
    found: list[_Hazard] = []
    if here.fire_blight >= FIGURES.fire_blight_told_from:
        blight = FIGURES.fire_blight_cost * here.fire_blight
        found.append(_Hazard("fire_blight", blight, ("fire_blight",), "stock_takes_fire_blight"))
    if here.woolly_aphid:
        aphid = FIGURES.woolly_aphid_cost
        found.append(_Hazard("woolly_aphid", aphid, ("woolly_apple_aphid",), "stock_takes_woolly_aphid"))
    if here.replant:
        found.append(_Hazard("replant", FIGURES.replant_cost, ("replant",), "stock_not_for_replanting"))
    if here.drought:
        found.append(_Hazard("drought", FIGURES.drought_cost, ("drought",), "stock_wants_water"))
    if here.wet_ground:
        traits = ("wet_soil", "crown_rot")
        found.append(
            _Hazard("wet_ground", FIGURES.wet_ground_cost * here.wet_ground, traits, "stock_suffers_in_wet_ground")
        )
    if here.lime:
        found.append(_Hazard("lime", FIGURES.lime_cost, ("lime",), "stock_suffers_in_lime"))
    if here.heat:
        found.append(_Hazard("heat", FIGURES.heat_cost, ("heat",), "stock_suffers_in_heat"))
    if here.wind:
        found.append(_Hazard("wind", FIGURES.wind_cost, ("staking",), "stock_leans_in_wind"))
    if here.salt:
        found.append(_Hazard("salt", FIGURES.salt_cost, ("salt",), "stock_suffers_in_salt"))
    return found
