"""Places of origin as texts print them: their names in small letters, and the countries in which they lie."""

import functools
import re

from domain.fruit.reading import Grounds, keyed


class _OriginName(Grounds, frozen=True, kw_only=True, rename={"is_": "is"}):
    """A row of origin_names.csv: a part of a country, or another name of it."""

    name: str
    country: str
    is_: str


COUNTRY_OF = keyed("origin_names", _OriginName, lambda row: row.name)


@functools.lru_cache(maxsize=8192)
def places_in(text: str) -> frozenset[str]:
    """The places that a text of origin names, in small letters: its parts between commas, and their countries."""
    parts = {place_name(part) for part in re.split(r"[,;()]", text)}
    lie_in = {COUNTRY_OF[part].country.casefold() for part in parts if part in COUNTRY_OF}
    return frozenset(part for part in parts | lie_in if part)


def place_name(text: str) -> str:
    """A place in small letters, a country by the name it has elsewhere here."""
    name = " ".join(text.casefold().split())
    row = COUNTRY_OF.get(name)
    return row.country.casefold() if row is not None and row.is_ == "another_name" else name
