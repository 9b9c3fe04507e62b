"""What the fruit is and whence the cultivar came: uses, flavour, skin, keeping, weight, origin.

Storage life is in weeks of ordinary cold store (about 0 to 2 C, moist). Days are taken as printed; "until March" counts
from the first of October, when late apples go into store, of an earlier one from when it is picked; a cellar keeps
about four fifths as long as a cold store and a fruit room of the nineteenth century two thirds (common practice, no
source). A catalogue of that time that prints one month of late autumn or winter gives the month in which use begins,
not its end; where it has a cultivar twice, the later month is its end. No apple keeps longer than `storage_weeks_most`
in ordinary cold store. Weight from a diameter is that of a sphere a little flattened, of density 0.85.
"""

import functools
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from statistics import median

import msgspec

from domain.adoption.adaptation import narrowest
from domain.adoption.reading import READING, Row, lowered, marked, named_class, named_classes, table
from domain.adoption.timing_lists import MONTHS
from domain.adoption.voices import FIGURES as VOICES
from domain.adoption.voices import agreed, alone, spread_factor
from domain.adoption.weighing import (
    Read,
    basis_of,
    by_cultivar,
    by_document,
    elected,
    estimate,
    pooled,
    source_ids,
    votes_of,
)
from domain.fruit.origins import country_of, place_name
from domain.tables.cultivars import Estimate, Finding
from domain.tables.observations import Observation
from domain.tables.parameters import figures

RUSSET = "russet"
BICOLOUR = "bicolour"
_NOT_TOLD = {
    "yellow": ("no_yellow_told", "no_ground_told"),
    "green": ("no_ground_told",),
    "red": ("no_red_told",),
}
"""Colour -> marks of the schemes whose class of that name does not tell it."""
DAYS_A_MONTH = 365.25 / 12.0
WEEKS_A_MONTH = DAYS_A_MONTH / 7.0
_IN_A_WEEK = {"days": 7.0, "weeks": 1.0, "months": 1.0 / WEEKS_A_MONTH}
"""Unit of a printed length of keeping -> how many of it are a week."""


class FruitFigures(msgspec.Struct, frozen=True):
    """How storage and size as published become weeks in a cold store and grams, and their errors."""

    old_catalogue_vote: float
    merged_use_agreement: float
    survey_cider_agreement: float
    store_from_month: float
    cellar_factor: float
    fruit_room_factor: float
    months_in_store_most: float
    months_in_store_least: float
    fruit_room_weeks_most: float
    summer_apple_weeks: float
    low_share_of_last_month: float
    high_of_open_range: float
    low_of_single_figure: float
    storage_least_spread_weeks: float
    storage_relative_spread: float
    months_in_use_factor: float
    storage_floor_weeks: float
    storage_weeks_most: float
    density_g_per_cubic_mm: float
    share_of_sphere: float
    weight_relative_spread: float
    size_relative_spread: float
    weight_least_spread_g: float
    weight_floor_g: float


FIGURES = figures("adoption", "fruit_traits", FruitFigures)


class StorageWord(Row, frozen=True, kw_only=True):
    """A word of keeping as weeks in a cold store; silent without them."""

    published: str
    low_weeks: float | None = None
    high_weeks: float | None = None


Adopted = dict[tuple[str, str], Estimate | Finding]


def uses(observations: Iterable[Observation]) -> dict[tuple[str, str], Finding]:
    """(cultivar, ``uses``) -> the uses that texts name, space separated in alphabetic order.

    A survey that files cooking apples under dessert and eating apples under cider never decides. Where no text tells
    the use, its dessert says one of two, so both stand, computed and with the agreement of an even guess; its cider
    stands, computed and with the share of its ciders of which a text says so too.
    """
    found: dict[tuple[str, str], Finding] = {}
    told = by_cultivar(observations, frozenset({"use", "flavour"}))
    for cultivar_id, every in told.items():
        named = [one for one in every if one.trait == "use"]
        texts = [one for one in named if not marked(one, "survey_of_use")]
        words = {
            use for one in texts for word in printed_uses(one.published) for use in (_use(one, word) or "").split()
        }
        ciders = [one for one in every if one.trait == "flavour" and _use(one, one.published)]
        words |= {use for one in ciders if (use := _use(one, one.published))}
        used = [*texts, *ciders]
        surveyed = not words
        share = 1.0
        if surveyed and any(_use(one, one.published) == "cider" for one in named):
            words, used, share = {"cider"}, named, FIGURES.survey_cider_agreement
        elif surveyed and any(_use(one, one.published) == "dessert" for one in named):
            words, used, share = {"cooking", "dessert"}, named, FIGURES.merged_use_agreement
        if words:
            found[cultivar_id, "uses"] = Finding(
                value=" ".join(sorted(words)),
                agreement=share if surveyed else agreed(1.0, (one.source_id for one in used)),
                basis=basis_of((one.source_id for one in used), "computed" if surveyed else "published"),
                observations=len(used),
                sources=source_ids(used),
            )
    return found


def printed_uses(published: str) -> list[str]:
    """The words of a printed list of uses."""
    return re.split(r"[,;]\s*", published)


def _use(observation: Observation, word: str) -> str | None:
    return named_class("uses", observation.trait, word)


def _elected(observations: Iterable[Observation], trait: str) -> dict[tuple[str, str], Finding]:
    found: dict[tuple[str, str], Finding] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({trait})).items():
        named = []
        russet = any(named_class(trait, trait, one.published) == RUSSET for one in told)
        for one in told:
            if russet and marked(one, "no_russet_class"):
                continue
            if any(marked(one, mark) for mark in _NOT_TOLD.get(lowered(one.published), ())):
                continue
            if name := named_class(trait, trait, one.published):
                if name == "red" and marked(one, "ground_told"):
                    name = BICOLOUR
                named.append((name, FIGURES.old_catalogue_vote if marked(one, "old_catalogue") else 1.0, one))
        if named:
            found[cultivar_id, trait] = elected(votes_of(named), [one for _, _, one in named])
    return found


_KINDS = {"aroma": ("flavour",), "skin_pattern": ("skin",), "flesh": ("flesh_colour", "skin")}
"""Adopted trait -> the traits whose words name its kinds, of which a fruit may have several."""


def _gathered(observations: Sequence[Observation], adopted_trait: str) -> dict[tuple[str, str], Finding]:
    """(cultivar, trait) -> every kind that some text names, space separated in alphabetic order."""
    found: dict[tuple[str, str], Finding] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset(_KINDS[adopted_trait])).items():
        named = [(one, named_classes(adopted_trait, one.trait, one.published)) for one in told]
        used = [one for one, words in named if words]
        if used:
            found[cultivar_id, adopted_trait] = Finding(
                value=" ".join(sorted({word for _, words in named for word in words})),
                agreement=1.0,
                basis=basis_of(one.source_id for one in used),
                observations=len(used),
                sources=source_ids(used),
            )
    return found


@functools.cache
def _storage_words(directory: Path = READING) -> dict[str, tuple[float, float] | None]:
    """(low, high) weeks of every word, None for the silent ones."""
    return {
        one.published: None if one.low_weeks is None or one.high_weeks is None else (one.low_weeks, one.high_weeks)
        for one in table("storage_words", StorageWord, ("published",), directory)
    }


def store_month(ripening_offset: float | None) -> float:
    """The month (10.0 the first of October) in which a fruit goes into store: October, or when it is picked before.

    The reference cultivar is picked at the beginning of October where the texts that print months come from.
    """
    if ripening_offset is None:
        return FIGURES.store_from_month
    return FIGURES.store_from_month + min(0.0, ripening_offset / DAYS_A_MONTH)


def _months_after_store(month: float, start: float) -> float:
    """Months from the day of storing to the middle of a month; one that ends before that day is of the next year."""
    ends = (month + 1.0 - start) % 12.0 or 12.0
    return max(ends - 0.5, FIGURES.months_in_store_least)


def keeping_weeks(observation: Observation, start: float | None = None) -> tuple[float, float] | None:
    """(low, high) weeks in a cold store that an observation of storage life means, None for words without length.

    start: the month in which the fruit goes into store, as `store_month` gives it; October if left out.
    """
    start = FIGURES.store_from_month if start is None else start
    text = observation.published.lower()
    if marked(observation, "controlled_atmosphere"):
        return None
    if observation.unit in _IN_A_WEEK and (observation.low is not None or observation.high is not None):
        units = _IN_A_WEEK[observation.unit]
        low = observation.low if observation.low else observation.high or 0.0
        high = observation.high if observation.high is not None else low * FIGURES.high_of_open_range
        return low / units * (FIGURES.low_of_single_figure if low == high else 1.0), high / units
    if observation.unit == "month" and observation.high is not None:
        return _fruit_room(observation.high, start)
    words = _storage_words()
    if text in words:
        return words[text]
    named = [float(index + 1) for index, month in enumerate(MONTHS) if month in text.replace("christmas", "december")]
    if not named or text.startswith("similar"):
        return None
    months = max(_months_after_store(month, start) for month in named)
    if months > FIGURES.months_in_store_most:
        return None
    cold = marked(observation, "cold_store") or " c" in text[-5:]
    store = 1.0 if cold else FIGURES.cellar_factor
    weeks = months * WEEKS_A_MONTH * store
    return FIGURES.low_share_of_last_month * weeks, weeks


def _fruit_room(month: float, start: float) -> tuple[float, float]:
    """Weeks from the last month in which a catalogue of 1851 has the fruit in use: summer apples keep a few weeks."""
    in_year = (month - 1.0) % 12.0 + 1.0
    if in_year in (8.0, 9.0):
        return 0.5 * FIGURES.summer_apple_weeks, FIGURES.summer_apple_weeks * (1.0 + (in_year - 8.0))
    weeks = _months_after_store(in_year, start) * WEEKS_A_MONTH * FIGURES.fruit_room_factor
    weeks = min(weeks, FIGURES.fruit_room_weeks_most)
    return FIGURES.low_share_of_last_month * weeks, weeks


def _ends_of_use(told: Sequence[Observation]) -> list[Observation]:
    """The observations of storage life, of each old catalogue the last month alone, and none that begins the use."""
    months = [one for one in told if one.trait == "months_in_use" and one.low is not None and one.high is not None]
    begun = {(one.source_id, (one.low - 1.0) % 12.0) for one in months if one.low == one.high and one.low is not None}
    ended = {(one.source_id, (one.high - 1.0) % 12.0) for one in months if one.low != one.high and one.high is not None}
    kept: dict[str, Observation] = {}
    for one in told:
        if one.trait != "storage_life" or one.unit != "month" or one.high is None:
            continue
        key = (one.source_id, (one.high - 1.0) % 12.0)
        if key in begun - ended and key[1] not in _SUMMER:
            continue
        other = kept.get(one.source_id)
        if other is None or _after_summer(one.high) > _after_summer(other.high or 0.0):
            kept[one.source_id] = one
    return [one for one in told if one.trait == "storage_life" and (one.unit != "month" or one in kept.values())]


_SUMMER = (6.0, 7.0, 8.0)
"""July, August and September, counted from January as 0: a summer apple is picked and eaten in one month."""


def _after_summer(month: float) -> float:
    """Months from July to a month."""
    return (month - 7.0) % 12.0


def _at_most(weeks: tuple[float, float]) -> tuple[float, float]:
    most = FIGURES.storage_weeks_most
    return min(weeks[0], FIGURES.low_of_single_figure * most), min(weeks[1], most)


def _weeks_error(weeks: float, observation: Observation) -> float:
    """Error of a text; by its own figure, not by the mean `weeks` of all texts, the shortest keeping would rule."""
    factor = FIGURES.months_in_use_factor if observation.unit == "month" else 1.0
    return max(FIGURES.storage_least_spread_weeks, FIGURES.storage_relative_spread * weeks) * factor


def storage_readings(
    observations: Iterable[Observation], ripening: Mapping[str, float] | None = None
) -> dict[tuple[str, str], list[Read]]:
    """(cultivar, ``storage_weeks_low`` or ``..._high``) -> what each document says, weeks in cold store.

    ripening: cultivar -> adopted days of picking after the reference cultivar; who is not in it is stored in October.
    """
    found: dict[tuple[str, str], list[Read]] = {}
    for cultivar_id, every in by_cultivar(observations, frozenset({"storage_life", "months_in_use"})).items():
        told = _ends_of_use(every)
        start = store_month((ripening or {}).get(cultivar_id))
        ranges = [(_at_most(weeks), one) for one in told if (weeks := keeping_weeks(one, start)) is not None]
        for name, end in (("storage_weeks_low", 0), ("storage_weeks_high", 1)):
            if ranges:
                usual = sum(weeks[end] for weeks, _ in ranges) / len(ranges)
                found[cultivar_id, name] = by_document(
                    [
                        (weeks[end], _weeks_error(usual, one) * spread_factor(name, one.source_id), one)
                        for weeks, one in ranges
                    ]
                )
    return found


def keeping(read: Sequence[Read]) -> Estimate:
    """The weeks that documents give, weighed; wide where weak voices alone do."""
    value, spread = pooled([v for v, _, _ in read], [e for _, e, _ in read], FIGURES.storage_floor_weeks)
    used = [one for _, _, one in read]
    spread *= VOICES.alone_spread_factor if alone(one.source_id for one in used) else 1.0
    return estimate(value, spread, "weeks", used, basis_of(o.source_id for o in used))


def storage(
    observations: Iterable[Observation], ripening: Mapping[str, float] | None = None
) -> dict[tuple[str, str], Estimate]:
    """(cultivar, ``storage_weeks_low`` and ``..._high``) -> weeks in cold store."""
    return {key: keeping(read) for key, read in storage_readings(observations, ripening).items()}


def grams_of_diameter(millimetres: float) -> float:
    """Weight of a fruit, g: density times share of a sphere times pi/6 d^3."""
    per_cubic_mm = FIGURES.density_g_per_cubic_mm * math.pi / 6.0 * FIGURES.share_of_sphere
    return per_cubic_mm * millimetres**3


def weight_readings(observations: Iterable[Observation]) -> dict[tuple[str, str], list[Read]]:
    """(cultivar, ``fruit_weight_g``) -> grams that each document gives, of weights or, without any, diameters."""
    found: dict[tuple[str, str], list[Read]] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({"fruit_weight_g", "fruit_size_mm"})).items():
        grams: list[Read] = []
        sizes: list[Read] = []
        for one in told:
            ends = [end for end in (one.low, one.high) if end is not None]
            if not ends:
                continue
            middle = sum(ends) / len(ends)
            if one.trait == "fruit_weight_g":
                grams.append((middle, _weight_error(middle, FIGURES.weight_relative_spread), one))
            else:
                middle = grams_of_diameter(middle)
                sizes.append((middle, _weight_error(middle, FIGURES.size_relative_spread), one))
        if grams or sizes:
            found[cultivar_id, "fruit_weight_g"] = by_document(grams or sizes)
    return found


def _weight_error(grams: float, relative: float) -> float:
    return max(FIGURES.weight_least_spread_g, relative * grams)


def weight(read: Sequence[Read]) -> Estimate:
    """The grams that documents give, weighed; computed where only diameters are told."""
    value, spread = pooled([v for v, _, _ in read], [e for _, e, _ in read], FIGURES.weight_floor_g)
    used = [one for _, _, one in read]
    told = any(one.trait == "fruit_weight_g" for one in used)
    return estimate(
        value, spread, "g", used, basis_of((o.source_id for o in used), "published" if told else "computed")
    )


def weights(observations: Iterable[Observation]) -> dict[tuple[str, str], Estimate]:
    """(cultivar, ``fruit_weight_g``) -> grams."""
    return {key: weight(read) for key, read in weight_readings(observations).items()}


_YEAR_TOLD = re.compile(r"[,;][^,;]*\b1[5-9]\d\d\b.*\Z")


def _place_alone(published: str) -> str:
    """A printed place without what follows it of a year: when it was named, found or described."""
    return _YEAR_TOLD.sub("", published)


def _country(told: Sequence[Observation]) -> Finding | None:
    """The country by votes; where texts name a country of today, neither those of several now vote nor passports of
    collections, which name at times the country that sent the tree.
    """
    read = [(row, one) for one in told if (row := country_of(one.published)) and row.is_ != "continent"]
    single = [(row, one) for row, one in read if row.is_ == "country"]
    texts = [(row, one) for row, one in single if not marked(one, "passport")]
    named = [(row.name, 1.0, one) for row, one in texts or single or read]
    return elected(votes_of(named), [one for _, _, one in named]) if named else None


def origins(observations: Sequence[Observation]) -> dict[tuple[str, str], Finding]:
    """(cultivar, ``origin_country``, ``origin_place``, ``origin_year``): the middle year.

    The place is the narrowest that a text prints, where it is more than the country by any of its names.
    """
    found: dict[tuple[str, str], Finding] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({"origin_place", "origin_country"})).items():
        texts = [one for one in told if one.source_id != "from-memory"] or told
        country = _country(texts)
        if country is not None:
            found[cultivar_id, "origin_country"] = country
        narrow = narrowest(texts)
        place = _place_alone(narrow.published)
        row = country_of(place)
        if row is None or place_name(place) != row.name.casefold():
            found[cultivar_id, "origin_place"] = elected({place: 1.0}, [narrow])
    for cultivar_id, told in by_cultivar(observations, frozenset({"origin_year"})).items():
        years: dict[str, float] = {}  # a document's earliest: its later ones are those of a strain under the same name
        for one in told:
            if one.low is not None:
                years[one.source_id] = min(one.low, years.get(one.source_id, one.low))
        if years:
            found[cultivar_id, "origin_year"] = elected({str(round(median(years.values()))): 1.0}, told)
    return found


def adopt(observations: Sequence[Observation], ripening: Mapping[str, float] | None = None) -> Adopted:
    """Every trait of the fruit and the cultivar's origin that some text gives; `ripening` as in `storage_readings`."""
    return {
        **uses(observations),
        **_elected(observations, "flavour"),
        **_elected(observations, "skin"),
        **{key: told for trait in _KINDS for key, told in _gathered(observations, trait).items()},
        **storage(observations, ripening),
        **weights(observations),
        **origins(observations),
    }
