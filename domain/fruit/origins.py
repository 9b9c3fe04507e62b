"""Places of origin as texts print them: the countries they lie in, and which place lies in which.

Names are those of ``fruits/apple/origin_names.csv``; what a text prints beside them is a place too (a town), which lies
in the places named after it, unless the table says that it is none: who raised the cultivar, or where it is listed.
"""

import functools
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from domain.fruit.reading import Grounds, keyed


class OriginName(Grounds, frozen=True, kw_only=True, rename={"is_": "is"}):
    """A name in places of origin; `of`: what it lies in, was a part of, or is another name of."""

    name: str
    is_: Literal["country", "several_countries", "continent", "part", "another_name", "no_place"]
    of: str = ""


NAMES = keyed("origin_names", OriginName, lambda row: row.name.casefold())
_NAMED = re.compile(rf"\b(?:{'|'.join(map(re.escape, sorted(NAMES, key=len, reverse=True)))})\b")
_PARTED = re.compile(r"[,;()]| and ")
_UNSURE = re.compile(r"\A(?:near|probably|presumably)\s+")


@dataclass(frozen=True)
class OriginIndex:
    """The places that texts of origin name, in small letters.

    lies_in: place -> all that it lies in, by the table or a text. no_places: parts of texts that are no place.
    """

    lies_in: Mapping[str, frozenset[str]]
    no_places: frozenset[str]

    @functools.cached_property
    def known(self) -> frozenset[str]:
        """All that is printed, places or not."""
        return self.no_places.union(self.lies_in)

    def around(self, places: Iterable[str]) -> frozenset[str]:
        """All that these places lie in; of a place that no text prints, what the table has."""
        return frozenset[str]().union(*(self.lies_in.get(place) or _by_table(place) for place in places))


def country_of(text: str) -> OriginName | None:
    """The country of the last place of a text that the table has; of the continent its row; None where it has none."""
    for name in reversed(_NAMED.findall(text.casefold())):
        row = NAMES[name]
        while row.is_ in ("part", "another_name"):
            row = NAMES[row.of.casefold()]
        if row.is_ != "no_place":
            return row
    return None


def of_one_country(text: str) -> bool:
    """Whether a printed place names a country that is still one, or none; not one that is several now."""
    row = country_of(text)
    return row is None or row.is_ != "several_countries"


def place_name(text: str) -> str:
    """A place in small letters, one of another name by the name it has elsewhere here."""
    name = " ".join(text.casefold().split())
    row = NAMES.get(name)
    return row.of.casefold() if row is not None and row.is_ == "another_name" else name


@functools.lru_cache(maxsize=8192)
def places_in(text: str) -> frozenset[str]:
    """What a text of origin names, in small letters: its parts between commas, and the places they lie in."""
    named = {place_name(name) for name in _NAMED.findall(text.casefold()) if NAMES[name].is_ != "no_place"}
    return frozenset(_parts(text)) | named.union(*(_by_table(name) for name in named))


def origin_index(texts: Iterable[str]) -> OriginIndex:
    """The places of all these texts of origin."""
    lies_in: defaultdict[str, set[str]] = defaultdict(set)
    no_places: set[str] = set()
    for text in texts:
        parts = _parts(text)
        for name in places_in(text):
            lies_in[name] |= _by_table(name)
        for n, part in enumerate(parts):
            if _no_place(part):
                no_places.add(part)
            elif part not in NAMES:
                after = places_in(", ".join(parts[n:])) - {part}
                lies_in[part] |= {name for name in after if not _no_place(name)}
    places = {place: frozenset(wider) for place, wider in lies_in.items() if place not in no_places}
    return OriginIndex(places, frozenset(no_places))


def _parts(text: str) -> list[str]:
    parts = (_UNSURE.sub("", place_name(part)) for part in _PARTED.split(text))
    return [place_name(part) for part in parts if part]


def _no_place(part: str) -> bool:
    return any(NAMES[name].is_ == "no_place" for name in _NAMED.findall(part))


@functools.cache
def _by_table(name: str) -> frozenset[str]:
    """The places that a place lies in, as the table has them."""
    row = NAMES.get(name)
    if row is None or not row.of:
        return frozenset()
    wider = row.of.casefold()
    return _by_table(wider) | {wider}
