"""Groups of cultivars by the winters they were bred or kept in: the prior of chill requirement and hardiness.

A cultivar that nobody measured is not average: it was selected where it had to crop and survive. The group is read
from the place of origin as published; it says how much winter the place has, not what the cultivar needs, so both
priors are wide. Means and spreads are common practice, no source, ordered as published cases are (low-chill cultivars
of Israel and Brazil, forcing and fits of European ones, winters survived in Minnesota, Saskatchewan and Orel). Places
and their groups are rows of ``fruits/apple/reading/places_of_origin.csv``.
"""

import functools
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import msgspec

from domain.adoption.reading import READING, Row, table
from domain.adoption.weighing import basis_of, by_cultivar, source_ids
from domain.fruit.adaptation import ADAPTATION_GROUPS
from domain.fruit.origins import of_one_country
from domain.tables.cultivars import Finding
from domain.tables.observations import Observation
from domain.tables.parameters import figures


@dataclass(frozen=True)
class Group:
    """Prior means and spreads of a group: chill portions for half a crop, and hardiness in C (see `growth`)."""

    chill_portions: tuple[float, float]
    hardiness_c: tuple[float, float]


GROUPS: Mapping[str, Group] = {
    name: Group((one.chill_portions, one.chill_portions_spread), (one.hardiness_c, one.hardiness_c_spread))
    for name, one in ADAPTATION_GROUPS.items()
}


class AdaptationFigures(msgspec.Struct, frozen=True):
    """Groups where no row names one, and how sure a group read from a place is."""

    group_of_other_places: str
    group_of_crab_apples: str
    group_of_no_place: str
    agreement: float


FIGURES = figures("adoption", "adaptation", AdaptationFigures)


class PlaceOfOrigin(Row, frozen=True, kw_only=True):
    """A place of origin and its group; a place that is not read has none."""

    place: str
    match: Literal["whole", "words"]
    group: str | None = None


class CrabAppleGroup(Row, frozen=True, kw_only=True):
    """A crab apple of another group than crab apples at large."""

    cultivar_id: str
    group: str


ORIGIN = frozenset({"origin_place", "origin_country"})


@functools.cache
def places(directory: Path = READING) -> tuple[tuple[re.Pattern[str], str | None], ...]:
    """Pattern and group of every place, in order: a narrower place stands before a wider one that contains its name."""
    rows = table("places_of_origin", PlaceOfOrigin, ("place",), directory)
    return tuple((_pattern(one), one.group) for one in rows)


def _pattern(one: PlaceOfOrigin) -> re.Pattern[str]:
    words = re.escape(one.place)
    return re.compile(rf"\A{words}\Z" if one.match == "whole" else rf"\b{words}\b")


def group_of_place(place: str) -> str:
    """The group of a place as printed: of the first row that it names, else that of other places."""
    text = place.lower()
    named = next((group for pattern, group in places() if pattern.search(text)), None)
    return named or FIGURES.group_of_other_places


def narrowest(printed: Iterable[Observation]) -> Observation:
    """The longest of the places printed: it names the province beside the country; ties by the alphabet.

    A country that is several now is wider than any of them, however long its name.
    """
    ordered = sorted(printed, key=lambda one: one.published)
    return max(ordered, key=lambda one: (of_one_country(one.published), len(one.published)))


def _crab_group(cultivar_id: str) -> str:
    rows = table("crab_apple_groups", CrabAppleGroup, ("cultivar_id",))
    return next((one.group for one in rows if one.cultivar_id == cultivar_id), FIGURES.group_of_crab_apples)


def adopt(
    observations: Iterable[Observation], cultivar_ids: Iterable[str], crab_apples: frozenset[str] = frozenset()
) -> dict[tuple[str, str], Finding]:
    """(cultivar, ``adaptation``) -> group, for cultivars with a published origin and for crab apples.

    Several printed origins are read from the narrowest: the longest text names the province beside the country.
    """
    origins = by_cultivar(observations, ORIGIN)
    found: dict[tuple[str, str], Finding] = {}
    for cultivar_id in cultivar_ids:
        printed = origins.get(cultivar_id, [])
        if not printed and cultivar_id not in crab_apples:
            continue
        crab = cultivar_id in crab_apples
        group = _crab_group(cultivar_id) if crab else group_of_place(narrowest(printed).published)
        agreeing = [observation for observation in printed if group_of_place(observation.published) == group]
        sources = source_ids(agreeing or printed)
        found[cultivar_id, "adaptation"] = Finding(
            value=group,
            agreement=FIGURES.agreement,
            basis=basis_of(sources, "computed"),
            observations=len(printed),
            sources=sources,
        )
    return found


def groups(adopted: Mapping[tuple[str, str], Finding], cultivar_ids: Iterable[str]) -> dict[str, str]:
    """Cultivar -> group, that of no place where no origin is published."""
    found = {cultivar_id: adopted.get((cultivar_id, "adaptation")) for cultivar_id in cultivar_ids}
    return {name: one.value if one else FIGURES.group_of_no_place for name, one in found.items()}
