"""What must be said where a tree is chosen: what takes fruit at the place, and what a cultivar asks there.

Each with what can be done by hand. Nothing here changes a rank or a verdict; it tells what figures hide: the insects of
the region, a disease that presses on what takes it easily, bitter pit, sunburn, drop, thinning, wind, and frost that is
the site's and not the cultivar's.
"""

from collections.abc import Sequence
from typing import Literal

import msgspec
from msgspec.structs import asdict

from domain.fruit.diseases import DISEASE_BY_ID
from domain.hazards.hand_methods import hand_methods
from domain.orchard_site.conditions import FIGURES as HOT
from domain.orchard_site.conditions import SiteConditions
from domain.site_climate.site import Ground
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.words import Sentence, Value, say


class ToMindFigures(msgspec.Struct, frozen=True):
    """From when each is said: shares, pressures and susceptibilities 0 to 1, days a year."""

    insect_from: float
    pressure_from: float
    susceptible_from: float
    bitter_pit_from: float
    heavy_bearing_from: float
    drop_from: float
    hot_days: float
    dry_rain_days: float
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
    days = conditions.years.rain_days_growing_season
    if ground is not None and ground.irrigated is False and days < FIGURES.dry_rain_days:
        found.append(_said("to_mind_drought", days=days))
    if ground is not None and ground.lie == "hilltop" and ground.wind is None:
        found.append(_said("to_mind_wind"))
    return tuple(found)


def of_cultivars(conditions: SiteConditions, cultivars: Sequence[Cultivar]) -> tuple[ToMind, ...]:
    """What some cultivars ask here, each thing once with those whom it concerns, by adopted figures alone."""
    found = []
    for name, disease in DISEASE_BY_ID.items():
        if conditions.pressure[name] >= FIGURES.pressure_from:
            prone = _prone(cultivars, disease.trait, FIGURES.susceptible_from)
            if prone:
                found.append(_said("to_mind_disease", (name,), disease=name, **_named(prone)))
    told: tuple[tuple[ToMindCode, str, float], ...] = (
        ("to_mind_bitter_pit", "bitter_pit", FIGURES.bitter_pit_from),
        ("to_mind_heavy_bearing", "biennial", FIGURES.heavy_bearing_from),
        ("to_mind_drop", "preharvest_drop", FIGURES.drop_from),
    )
    for code, trait, least in told:
        prone = _prone(cultivars, trait, least)
        if prone:
            found.append(_said(code, (), **_named(prone)))
    return tuple(found)


def _prone(cultivars: Sequence[Cultivar], trait: str, least: float) -> list[Cultivar]:
    """Those of which a source tells so much; once each."""
    once = {cultivar.id: cultivar for cultivar in cultivars}
    return [c for c in once.values() if (e := c.numbers.get(trait)) and e.basis != "imputed" and e.value >= least]


def _named(cultivars: Sequence[Cultivar]) -> dict[str, Value]:
    return {"cultivars": tuple(one.name for one in cultivars), "ids": tuple(one.id for one in cultivars)}


def _said(code: ToMindCode, against: tuple[str, ...] = (), /, **values: Value) -> ToMind:
    by_hand = tuple(say(method.code) for one in against for method in hand_methods(one))
    return ToMind(**asdict(say(code, **values)), by_hand=by_hand)
