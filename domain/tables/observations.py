"""Published values as published: an observation, and the source it stands in."""

from collections.abc import Iterable, Mapping

import msgspec


class Source(msgspec.Struct, frozen=True, kw_only=True):
    """One document: a paper, an extension page, a data set, or general knowledge (`from-memory`)."""

    id: str
    kind: str
    title: str
    authors: str = ""
    publisher: str = ""
    year: str = ""
    url: str = ""
    licence: str = ""
    note: str = ""

    @property
    def document(self) -> str:
        """What stands for the document among all: its address, which sources may share, or its id where it has none."""
        return self.url or self.id


class Observation(msgspec.Struct, frozen=True, kw_only=True):
    """One published value of one trait of one cultivar.

    `published` is the text as printed; `low` and `high` its numbers, equal for a single one, None where it is open or
    in words. Dates are days of a 365-day year (unit ``day_of_year``), a window past the new year ends beyond 365. An
    offset's unit names what it is counted from: ``days after <cultivar id>``. `latitude` and `longitude` are of the
    place, None where none is known.
    """

    cultivar_id: str
    trait: str
    published: str
    source_id: str
    low: float | None = None
    high: float | None = None
    unit: str = ""
    scheme: str = ""
    list_id: str = ""
    place: str = ""
    country: str = ""
    latitude: float | None = None
    longitude: float | None = None
    years: str = ""
    locator: str = ""
    note: str = ""


def without_documents(
    observations: Iterable[Observation], sources: Mapping[str, Source], documents: frozenset[str]
) -> tuple[Observation, ...]:
    """Observations of all but these documents (`Source.document`): what was known before them."""
    return tuple(
        observation for observation in observations if sources[observation.source_id].document not in documents
    )
