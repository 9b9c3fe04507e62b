"""What the fruit is and whence the cultivar came: uses, flavour, skin, weight, origin; how long it keeps is read in
storage_life.py.

Weight from a diameter is that of a sphere a little flattened, of density 0.85.
"""

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from statistics import median_low

import msgspec

from domain.adoption.adaptation import narrowest
from domain.adoption.reading import lowered, marked, named_class, named_classes
from domain.adoption.storage_life import storage
from domain.adoption.voices import agreed
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


class FruitFigures(msgspec.Struct, frozen=True):
    """How sizes as published become grams, with their errors, and how far words of use are trusted."""

    old_catalogue_vote: float
    main_colour_red_share: float
    merged_use_agreement: float
    survey_cider_agreement: float
    density_g_per_cubic_mm: float
    share_of_sphere: float
    weight_relative_spread: float
    size_relative_spread: float
    weight_least_spread_g: float
    weight_floor_g: float


FIGURES = figures("adoption", "fruit_traits", FruitFigures)


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
        used = []
        russet = any(named_class(trait, trait, one.published) == RUSSET for one in told)
        for one in told:
            if russet and marked(one, "no_russet_class"):
                continue
            if any(marked(one, mark) for mark in _NOT_TOLD.get(lowered(one.published), ())):
                continue
            if name := named_class(trait, trait, one.published):
                if name == "red" and marked(one, "ground_told"):
                    name = BICOLOUR
                used.append(one)
                if name == "red" and marked(one, "main_colour"):
                    red = FIGURES.main_colour_red_share  # two classes share the vote of a document evenly: twice each
                    named += [("red", 2.0 * red, one), (BICOLOUR, 2.0 * (1.0 - red), one)]
                else:
                    named.append((name, FIGURES.old_catalogue_vote if marked(one, "old_catalogue") else 1.0, one))
        if named:
            found[cultivar_id, trait] = elected(votes_of(named), used)
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


def grams_of_diameter(millimetres: float) -> float:
    """Weight of a fruit, g: density times share of a sphere times pi/6 d^3."""
    per_cubic_mm = FIGURES.density_g_per_cubic_mm * math.pi / 6.0 * FIGURES.share_of_sphere
    return per_cubic_mm * millimetres**3


def weight_readings(observations: Iterable[Observation]) -> dict[tuple[str, str], list[Read]]:
    """(cultivar, ``fruit_weight_g``) -> grams that each document gives, of weights or, without any, diameters.

    Their error is a share of the mean of all, as of keeping: by its own figure the smallest fruit would rule.
    """
    found: dict[tuple[str, str], list[Read]] = {}
    for cultivar_id, told in by_cultivar(observations, frozenset({"fruit_weight_g", "fruit_size_mm"})).items():
        grams: list[tuple[float, Observation]] = []
        sizes: list[tuple[float, Observation]] = []
        for one in told:
            ends = [end for end in (one.low, one.high) if end is not None]
            if not ends or marked(one, "undeveloped"):
                continue
            middle = sum(ends) / len(ends)
            if one.trait == "fruit_weight_g":
                grams.append((middle, one))
            else:
                sizes.append((grams_of_diameter(middle), one))
        if read := grams or sizes:
            relative = FIGURES.weight_relative_spread if grams else FIGURES.size_relative_spread
            error = _weight_error(sum(weighed for weighed, _ in read) / len(read), relative)
            found[cultivar_id, "fruit_weight_g"] = by_document([(weighed, error, one) for weighed, one in read])
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
        # A document's earliest: its later ones are those of a strain under the same name. Of an even number of them the
        # earlier of the two in the middle, since a year between two is one that nobody printed.
        years: dict[str, float] = {}
        for one in told:
            if one.low is not None:
                years[one.source_id] = min(one.low, years.get(one.source_id, one.low))
        if years:
            found[cultivar_id, "origin_year"] = elected({str(round(median_low(years.values()))): 1.0}, told)
    return found


def adopt(observations: Sequence[Observation], ripening: Mapping[str, float] | None = None) -> Adopted:
    """Every trait of the fruit and the cultivar's origin that some text gives; `ripening` as in `storage`."""
    return {
        **uses(observations),
        **_elected(observations, "flavour"),
        **_elected(observations, "skin"),
        **{key: told for trait in _KINDS for key, told in _gathered(observations, trait).items()},
        **storage(observations, ripening),
        **weights(observations),
        **origins(observations),
    }
