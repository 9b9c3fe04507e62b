"""The country that a printed place of origin lies in (``fruits/apple/reading/countries_of_origin.csv``)."""

import functools
import re
from pathlib import Path
from typing import Literal

from domain.adoption.reading import READING, Row, table


class CountryOfOrigin(Row, frozen=True, kw_only=True):
    """Words of a place of origin and the country it lies in; one_country: no where it is several countries now."""

    words: str
    country: str | None = None
    one_country: Literal["yes", "no"] | None = None


@functools.cache
def _countries(directory: Path = READING) -> tuple[tuple[re.Pattern[str], CountryOfOrigin], ...]:
    rows = table("countries_of_origin", CountryOfOrigin, ("words",), directory)
    return tuple((re.compile(rf"\b{re.escape(one.words)}\b"), one) for one in rows)


def country_of(place: str) -> CountryOfOrigin | None:
    """The row of the last words of a printed place that name a country or a part of one, of the longer if two end."""
    named = [(hit.end(), len(one.words), one) for at, one in _countries() for hit in at.finditer(place.lower())]
    return max(named, key=lambda found: found[:2])[2] if named else None


def of_one_country(place: str) -> bool:
    """Whether a printed place names a country that is still one, or none; not one that is several now."""
    row = country_of(place)
    return row is None or row.one_country != "no"
