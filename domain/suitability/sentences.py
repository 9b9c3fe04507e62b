"""What each factor and each verdict says of a cultivar, as codes with their values."""

import functools
import math
from collections.abc import Hashable, Iterable, Mapping

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.common.season_days import SEASON_DAYS, month_day
from domain.hazards.spot import Cause
from domain.hazards.winter_cold import WinterCold
from domain.suitability.factors import Factor, FactorCode, Verdict
from domain.tables.parameters import figures
from domain.tables.words import Sentence, percent, say, whole, years_of_ten
from domain.tree_year.winter_hardening import WINTER_PARTS
from domain.weather.seasons import DORMANCY_FROM, DORMANCY_TO


class SentenceFigures(msgspec.Struct, frozen=True):
    """See parameters/suitability.csv, subject sentences."""

    many_years: float
    named_share: float
    temperate_c: float
    met_often: float
    met_seldom: float
    hardly_sound: float


FIGURES = figures("suitability", "sentences", SentenceFigures)
OFTEN = FIGURES.many_years / 10.0


def years_in_ten(factor: Factor, row: int) -> float:
    """Years of ten that a factor of the crop leaves a cultivar."""
    return 10.0 * factor.shares[row]


def by_years(factor: Factor, *more: Iterable[Hashable]) -> Iterable[Hashable]:
    """What the sentence of a factor of the crop turns on for each row: its years as they are told, and more."""
    years = 10.0 * factor.likely.astype(np.float64)
    told = np.clip(np.floor(years + 0.5), 0.0, 10.0).tolist()
    return zip(told, (years >= FIGURES.many_years).tolist(), *more, strict=True)


def by_share(factor: Factor, edges: tuple[float, ...], *more: Iterable[Hashable]) -> Iterable[Hashable]:
    """What the sentence of another factor turns on for each row: its share in percent, on which side of each edge it
    lies, and more.
    """
    shares = factor.likely.astype(np.float64)
    sides = [(shares >= edge).tolist() for edge in edges]
    return zip(np.rint(100.0 * shares).tolist(), *sides, *more, strict=True)


def rounded(values: Floats, scale: float = 1.0) -> list[float]:
    """Numbers (n,) as `whole` tells them, so many times."""
    told: list[float] = np.floor(scale * values.astype(np.float64) + 0.5).tolist()
    return told


def chill(factor: Factor, row: int, site_portions: float, south: bool) -> Sentence:
    """The sentence on winter chill; site_portions: of the mean dormant season here."""
    years, (need, deviation) = years_in_ten(factor, row), factor.inputs[0].told[row]
    return factor.say(
        "chill_enough" if years >= FIGURES.many_years else "chill_short",
        years=years_of_ten(years),
        need_portions=whole(need),
        deviation_portions=whole(deviation),
        site_portions=site_portions,
        counted_from=DORMANCY_FROM[south],
        counted_to=DORMANCY_TO[south],
    )


def frost(factor: Factor, row: int, full_bloom: float, later: float, south: bool) -> Sentence:
    """The sentence on spring frost; full_bloom: its median season day; later: share of springs if five days later."""
    years = years_in_ten(factor, row)
    if full_bloom >= SEASON_DAYS:
        return factor.say("frost_no_bloom", years=years)
    bloom = month_day(full_bloom, south)
    if years >= FIGURES.many_years:
        return factor.say("frost_spares", years=years_of_ten(years), full_bloom=bloom)
    helps = whole(10.0 * later) != whole(years)
    code = "frost_takes_later_helps" if helps else "frost_takes_later_same"
    return factor.say(code, years=years_of_ten(years), full_bloom=bloom, years_if_later=years_of_ten(10.0 * later))


def cold(factor: Factor, row: int, site_c: float, winters: WinterCold) -> Sentence:
    """The sentence on winter cold; site_c: mean yearly minimum."""
    years, (hardiness_c, _) = years_in_ten(factor, row), factor.inputs[0].told[row]
    if years >= FIGURES.many_years:
        return factor.say("cold_stands", years=years_of_ten(years), hardiness_c=whole(hardiness_c), site_c=site_c)
    first, second, of_second = winters.worst_parts[row]
    return factor.say(
        "cold_harms_twice" if of_second >= FIGURES.named_share else "cold_harms",
        years=years_of_ten(years),
        hardiness_c=whole(hardiness_c),
        site_c=site_c,
        harm=WINTER_PARTS[first],
        second_harm=WINTER_PARTS[second] if of_second >= FIGURES.named_share else None,
    )


def ripening(factor: Factor, row: int, first_ripe: float, season_end: float, south: bool) -> Sentence:
    """The sentence on warmth to ripen; both days are season days of the middle year."""
    years, end = years_in_ten(factor, row), month_day(season_end, south)
    if math.isnan(factor.inputs[0].told[row][0]):
        return factor.say("ripening_unknown")
    if first_ripe >= SEASON_DAYS:
        return factor.say("does_not_ripen", years=years_of_ten(years), season_end=end)
    code = "ripens" if years >= FIGURES.many_years else "ripens_seldom"
    return factor.say(code, years=years_of_ten(years), first_ripe=month_day(first_ripe, south), season_end=end)


def alternate(factor: Factor, row: int) -> Sentence:
    """The sentence on biennial bearing."""
    years = years_in_ten(factor, row)
    return factor.say(
        "crops_every_year" if years >= FIGURES.many_years else "crops_every_other_year", years=years_of_ten(years)
    )


def pollination(factor: Factor, row: int) -> Sentence:
    """The sentence on bees in bloom, pollen being there."""
    years = years_in_ten(factor, row)
    return factor.say(
        "pollen_assumed" if years >= FIGURES.many_years else "pollen_assumed_few_bees", years=years_of_ten(years)
    )


def sunlight(factor: Factor, row: int, hours: float) -> Sentence:
    """The sentence on too few hours of sun."""
    return factor.say("light_short", hours=hours, years=years_of_ten(years_in_ten(factor, row)))


def ground(factor: Factor, row: int, shares: Mapping[Cause, float]) -> Sentence:
    """The sentence on what the ground takes; shares: what each trouble leaves of a crop, one at least."""
    share, years = percent(math.prod(shares.values())), years_of_ten(years_in_ten(factor, row))
    worst_first = tuple(sorted(shares, key=lambda cause: (shares[cause], cause)))
    if len(shares) > 1:
        return factor.say("ground_several", causes=worst_first, share=share, years=years)
    return factor.say(f"ground_{worst_first[0]}", share=share, years=years)


def tree_disease(factor: Factor, row: int) -> Sentence:
    """The sentence on diseases that kill the tree."""
    share = factor.shares[row]
    code = "tree_lives" if share >= OFTEN else "tree_dies"
    return factor.say(code, share=percent(share))


def sound_fruit(factor: Factor, row: int, diseases: tuple[str, ...], insects: tuple[str, ...]) -> Sentence:
    """The sentence on sound fruit; diseases: those that take most of it; insects: of the region; worst first."""
    share = factor.shares[row]
    told = percent(share)
    if share >= OFTEN:
        return factor.say("fruit_sound", share=told)
    if share < FIGURES.hardly_sound and insects:
        return factor.say("fruit_hardly_sound", share=told, diseases=diseases, insects=insects)
    if not insects:
        return factor.say("fruit_spoilt_by_disease", share=told, diseases=diseases)
    return factor.say("fruit_spoilt_by_disease_and_insects", share=told, diseases=diseases, insects=insects)


def fruit_quality(factor: Factor, row: int, month_c: float, good: float, short: float) -> Sentence:
    """The sentence on eating quality.

    month_c: mean of the month before picking. good: quality called good. short: what the summer's warmth leaves of it.
    """
    if factor.shares[row] >= good:
        return factor.say("fruit_good", month_c=whole(month_c))
    if factor.shares[row] >= short * short:  # the lack of warmth takes at least half of the loss
        return factor.say("fruit_short_of_warmth")
    code = "fruit_spoilt_by_heat" if month_c > FIGURES.temperate_c else "fruit_spoilt_by_cool"
    return factor.say(code, month_c=whole(month_c))


def proven(factor: Factor, row: int, fails: bool, place: str | None, distance_km: float) -> Sentence:
    """The sentence on where it is known to do well; place: the witness that counts most, None where none does.

    fails: whether that witness says that it fails.
    """
    if place is None:
        return factor.say("proven_missed" if factor.high[row] < 0.5 else "proven_unknown")
    share = factor.shares[row]
    code = "proven_often" if share >= FIGURES.met_often else "proven_usual" if share >= FIGURES.met_seldom else ""
    return factor.say("proven_fails" if fails else code or "proven_seldom", place=place, distance_km=whole(distance_km))


def verdict(
    word: Verdict,
    cultivar: str,
    years: tuple[float, float, float],
    limiting: FactorCode | None,
    as_grown_alike: bool = False,
) -> Sentence:
    """The verdict in one sentence.

    years: likely, low and high crops of ten years. as_grown_alike: whether it rests on who grows it in a like climate.
    """
    likely, low, high = years
    whole_years = (years_of_ten(likely), years_of_ten(low), years_of_ten(high))
    return verdict_of(word, cultivar, whole_years, limiting, as_grown_alike)


def verdict_of(
    word: Verdict, cultivar: str, years: tuple[int, int, int], limiting: FactorCode | None, as_grown_alike: bool
) -> Sentence:
    """The same of whole years, as `years_of_ten` tells them."""
    told = _verdict("plant_as_grown_alike" if word == "plant" and as_grown_alike else word, *years, limiting)
    return Sentence(
        code=told.code, values={**told.values, "cultivar": cultivar}, words=told.words.replace(_ANY, cultivar)
    )


_ANY = "\0"
"""Stands for the cultivar where the same is said of many."""


@functools.lru_cache(maxsize=4096)
def _verdict(word: str, years: int, low: int, high: int, limiting: FactorCode | None) -> Sentence:
    if word == "not_known":
        code = "verdict_not_known_limiting" if limiting else "verdict_not_known"
        return say(code, cultivar=_ANY, limiting=limiting)
    return say(f"verdict_{word}", cultivar=_ANY, years=years, low=low, high=high, limiting=limiting)
