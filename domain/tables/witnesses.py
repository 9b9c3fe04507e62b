"""Witnesses: where a document says that a cultivar does well or fails, and the climates of those places."""

from collections.abc import Iterable, Mapping
from typing import Literal

import msgspec

from domain.tables.observations import Source

Says = Literal["does_well", "fails"]


class WitnessPlace(msgspec.Struct, frozen=True, kw_only=True):
    """A place and its climate: the figures by which climates are compared (adopted/witness_places.csv)."""

    place_id: str
    place: str
    latitude: float
    longitude: float
    elevation_m: float | None = None
    warmest_month_c: float
    coldest_month_c: float
    yearly_minimum_c: float
    summer_dd10: float
    frost_free_days: float
    rain_days: float
    chill_portions: float


class Witness(msgspec.Struct, frozen=True, kw_only=True):
    """What one document says of one cultivar at one place; (adopted/witnesses.csv).

    weight: what it counts, 0 to 1; voices: how many times that where it is asked what does well.
    """

    source_id: str
    place_id: str
    cultivar_id: str
    kind: str
    says: Says
    weight: float
    voices: float = 1.0
    year: int | None = None


def witnesses_without(
    witnesses: Iterable[Witness], sources: Mapping[str, Source], documents: frozenset[str]
) -> tuple[Witness, ...]:
    """The witnesses of all but these documents (`Source.document`)."""
    return tuple(one for one in witnesses if sources[one.source_id].document not in documents)
