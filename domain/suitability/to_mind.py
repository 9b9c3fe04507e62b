"""What must be said where a tree is chosen: what takes fruit at the place, and what a cultivar asks there.

Each with what can be done by hand. Nothing here changes a rank or a verdict; it tells what figures hide: the insects of
the region, a disease that presses on what takes it easily, bitter pit, sunburn, drop, thinning, wind, and frost that is
the site's and not the cultivar's.
"""

from collections.abc import Sequence
from typing import Literal, NamedTuple

import msgspec
from msgspec.structs import asdict

from domain.fruit.diseases import DISEASE_BY_ID, DiseaseId
from domain.hazards.hand_methods import hand_methods
from domain.hazards.spot import short_of_water
from domain.orchard_site.conditions import FIGURES as HOT
from domain.orchard_site.conditions import SiteConditions
from domain.site_climate.site import Ground
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.words import Sentence, Value, say
from domain.traits.trait_table import TraitTable


class ToMindFigures(msgspec.Struct, frozen=True):
    """From when each is said: shares, pressures and susceptibilities 0 to 1, days a year."""

    insect_from: float
    pressure_from: float
    susceptible_from: float
    bitter_pit_from: float
    heavy_bearing_from: float
    drop_from: float
    hot_days: float
    site_frost_below: float


FIGURES = figures("suitability", "to_mind", ToMindFigures)

ToMindCode = Literal[
    "to_mind_insect",
    "to_mind_disease",
    "to_mind_bitter_pit",
    "to_mind_heavy_bearing",
    "to_mind_drop",
    "to_mind_sunburn",
    "to_mind_site_frost",
    "to_mind_site_frost_high",
    "to_mind_wind",
    "to_mind_drought",
]


class ToMind(Sentence, frozen=True, kw_only=True):
    """What must be said of a place or of cultivars there, and what can be done by hand."""

    code: ToMindCode
    by_hand: tuple[Sentence, ...]


def of_the_site(conditions: SiteConditions, site_frost: float, ground: Ground | None = None) -> tuple[ToMind, ...]:
    """What holds whatever is planted. site_frost: share of springs whose frost leaves a crop to what blooms late."""
    found = []
    low = ground is None or ground.lie not in ("slope", "hilltop")
    if not conditions.years.without_winter and site_frost < FIGURES.site_frost_below:
        lost = 10.0 * (1.0 - site_frost)
        found.append(_said("to_mind_site_frost" if low else "to_mind_site_frost_high", years=lost))
    found += [
        _said("to_mind_insect", (insect.insect,), insect=insect.insect, share=insect.pressure)
        for insect in conditions.insects
        if insect.pressure >= FIGURES.insect_from
    ]
    if conditions.very_hot_days >= FIGURES.hot_days:
        found.append(_said("to_mind_sunburn", days=conditions.very_hot_days, above_c=HOT.very_hot_c))
    if ground is not None and ground.irrigated is False:
        share = short_of_water(ground, conditions.years)
        found += [] if share is None else [_said("to_mind_drought", share=share)]
    if ground is not None and ground.lie == "hilltop" and ground.wind is None:
        found.append(_said("to_mind_wind"))
    return tuple(found)


def of_cultivars(conditions: SiteConditions, cultivars: Sequence[Cultivar]) -> tuple[ToMind, ...]:
    """What some cultivars ask here, each thing once with those whom it concerns, by adopted figures alone."""
    told = (_of(thing, cultivars) for thing in _things() if thing.presses(conditions))
    return tuple(one for one in told if one is not None)


def of_each(conditions: SiteConditions, traits: TraitTable) -> list[tuple[ToMind, ...]]:
    """What each cultivar of a table asks here, as `of_cultivars` tells it of one alone.

    Only which diseases press is the site's: what is said of a cultivar and a thing is kept with the table.
    """
    told = traits.kept.get("to_mind", FIGURES, lambda: _of_each(traits.cultivars))
    presses = tuple([thing.presses(conditions) for thing, _ in told])

    def here() -> list[tuple[ToMind, ...]]:
        pressing = [of_thing for (_, of_thing), there in zip(told, presses, strict=True) if there]
        return [tuple([one for one in row if one is not None]) for row in zip(*pressing, strict=True)]

    return traits.kept.get("to_mind_where", (FIGURES, presses), here)


class _Thing(NamedTuple):
    """One thing that cultivars ask: from how much of which trait, and the disease that must press first, if any."""

    code: ToMindCode
    trait: str
    least: float
    disease: DiseaseId | None = None

    def presses(self, conditions: SiteConditions) -> bool:
        return self.disease is None or conditions.pressure[self.disease] >= FIGURES.pressure_from


def _things() -> tuple[_Thing, ...]:
    diseases = DISEASE_BY_ID.items()
    return (
        *(_Thing("to_mind_disease", one.trait, FIGURES.susceptible_from, name) for name, one in diseases),
        _Thing("to_mind_bitter_pit", "bitter_pit", FIGURES.bitter_pit_from),
        _Thing("to_mind_heavy_bearing", "biennial", FIGURES.heavy_bearing_from),
        _Thing("to_mind_drop", "preharvest_drop", FIGURES.drop_from),
    )


def _of(thing: _Thing, cultivars: Sequence[Cultivar]) -> ToMind | None:
    """What is said of one thing and those of some cultivars whom it concerns; None where it concerns none."""
    prone = _prone(cultivars, thing.trait, thing.least)
    if not prone:
        return None
    if thing.disease is None:
        return _said(thing.code, (), **_named(prone))
    return _said(thing.code, (thing.disease,), disease=thing.disease, **_named(prone))


def _of_each(cultivars: Sequence[Cultivar]) -> list[tuple[_Thing, list[ToMind | None]]]:
    return [(thing, [_of(thing, (cultivar,)) for cultivar in cultivars]) for thing in _things()]


def _prone(cultivars: Sequence[Cultivar], trait: str, least: float) -> list[Cultivar]:
    """Those of which a source tells so much; once each."""
    once = {cultivar.id: cultivar for cultivar in cultivars}
    return [c for c in once.values() if (e := c.numbers.get(trait)) and e.basis != "imputed" and e.value >= least]


def _named(cultivars: Sequence[Cultivar]) -> dict[str, Value]:
    return {"cultivars": tuple(one.name for one in cultivars), "ids": tuple(one.id for one in cultivars)}


def _said(code: ToMindCode, against: tuple[str, ...] = (), /, **values: Value) -> ToMind:
    by_hand = tuple(say(method.code) for one in against for method in hand_methods(one))
    return ToMind(**asdict(say(code, **values)), by_hand=by_hand)
