"""Short sentences of an answer: what each factor allows, in whole years, and what would change it."""

import math
from collections.abc import Mapping, Sequence

from domain.tree_year.winter_hardening import WINTER_PARTS, WinterPart

FACTOR_NAMES = {
    "winter_chill": "winter chill",
    "frost_at_bloom": "frost at bloom",
    "winter_cold": "winter cold",
    "ripening_heat": "warmth to ripen",
    "pollination": "weather for bees in bloom",
    "alternate_bearing": "bearing every other year",
    "tree_disease": "disease of the tree",
    "origin_climate": "a climate far from the one it was selected in",
    "sound_fruit": "sound fruit without spraying",
    "fruit_quality": "eating quality",
}


COLD_HARMS: Mapping[WinterPart, str] = {
    "early": "early, before the wood has hardened",
    "middle": "on the coldest nights of mid-winter",
    "after_thaw": "when hard frost follows a thaw",
    "late": "in late winter, as buds begin to swell",
}
NAMED_SHARE = 0.1
"""Of the harm of winter cold, from which a part of the winter is named beside the worst."""


def years(value: float) -> str:
    """Whole years of ten, in words for people: 8.6 is "9 of 10"."""
    return f"{min(10, max(0, math.floor(value + 0.5)))} of 10"


def chill(value: float, need: float, need_spread: float, site: float) -> str:
    """The sentence on winter chill; need and site in portions."""
    tail = "" if value >= 9 else " A cultivar of lower need would be safer."
    return (
        f"Enough chill in {years(value)} winters: it needs about {need:.0f} portions (give or take {need_spread:.0f}), "
        f"the middle winter here brings about {site:.0f}.{tail}"
    )


def frost(value: float, bloom: str | None, later: float) -> str:
    """The sentence on spring frost; later: years in ten of a bloom five days later."""
    when = f" with full bloom about {bloom}" if bloom else ""
    if value >= 9:
        tail = ""
    elif years(later) == years(value):
        tail = " Blooming five days later would change little; a spot higher up the slope may lose less."
    else:
        tail = f" Blooming five days later it would be {years(later)}; a spot higher up the slope loses less too."
    return f"Frost leaves enough bloom in {years(value)} springs{when}.{tail}"


def pollination(value: float) -> str:
    """The sentence on bees in bloom, pollen being there."""
    told = "A pollen source in bloom at the same time is assumed here; a planting list checks it."
    return told if value >= 9 else f"{told} Bees find weather to fly in about {years(value)} springs."


def cold(value: float, hardiness_c: float, site_c: float, harm: Sequence[float]) -> str:
    """The sentence on winter cold; both temperatures in C, harm: the share of each of `WINTER_PARTS`."""
    tail = "" if value >= 9 else f" {_cold_harm(harm)} A hardier cultivar on a hardy rootstock would be safer."
    return (
        f"Buds and wood come through in {years(value)} winters: grown where the yearly low is about "
        f"{hardiness_c:.0f} C, here it is about {site_c:.0f} C.{tail}"
    )


def _cold_harm(harm: Sequence[float]) -> str:
    first, second = sorted(range(len(harm)), key=lambda i: -harm[i])[:2]
    told = f"Most harm comes {COLD_HARMS[WINTER_PARTS[first]]}"
    return f"{told}, some {COLD_HARMS[WINTER_PARTS[second]]}." if harm[second] >= NAMED_SHARE else f"{told}."


def ripening(value: float, harvest: str | None, ends: str) -> str:
    """The sentence on warmth to ripen."""
    if harvest is None:
        return f"Does not ripen before the season ends about {ends}. An earlier cultivar would."
    tail = "" if value >= 9 else " An earlier cultivar or a warmer wall would ripen more surely."
    return f"Ripens in {years(value)} years, first about {harvest}; the season ends about {ends}.{tail}"


def alternate(value: float) -> str:
    """The sentence on biennial bearing."""
    if value >= 9:
        return "Crops every year if thinned as usual."
    return f"Inclined to bear every other year: about {years(value)} years with a worthwhile crop; thin early and hard."


def verdict(word: str, name: str, likely: float | None, limiting: str | None) -> str:
    """The verdict in one sentence."""
    cause = FACTOR_NAMES.get(limiting or "", "")
    if word == "not_known" or likely is None:
        return f"Too little is known of {name} to advise it here."
    if word == "plant":
        return f"{name} should crop well in about {years(likely)} years here."
    if word == "worth_trying":
        return f"{name} may be worth a try: about {years(likely)} years with a crop; weakest point: {cause}."
    return f"{name} is not advised here: about {years(likely)} years with a crop; what stops it: {cause}."
