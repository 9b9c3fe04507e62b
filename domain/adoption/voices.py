"""Whose word a document is: weak voices (shops, growers, the press, encyclopedias) never decide alone.

They copy each other and the trade, and say what sells; beside a service, a paper or a collection they count as any
other text.
"""

import functools
from collections.abc import Iterable
from typing import Annotated

import msgspec

from domain.adoption.reading import Row, table
from domain.tables.loading import TABLES, rows
from domain.tables.parameters import figures

WEAK = "weak_voice"
"""The kind of source of all weak voices together."""


class VoiceFigures(msgspec.Struct, frozen=True):
    """Which kinds of document are weak voices, and how wide their word is where it stands alone."""

    weak_kinds: str
    alone_spread_factor: float
    alone_agreement: float


FIGURES = figures("adoption", "voices", VoiceFigures)


class SpreadFactor(Row, frozen=True, kw_only=True):
    """What the errors of one kind of source are multiplied by for one adopted trait, so that its range is honest."""

    trait: str
    kind: str
    factor: Annotated[float, msgspec.Meta(gt=0.0)]
    values: int


class _Document(msgspec.Struct, frozen=True):
    source_id: str
    kind: str


@functools.cache
def weak_voices() -> frozenset[str]:
    """Ids of the sources that are weak voices."""
    kinds = FIGURES.weak_kinds.split()
    return frozenset(one.source_id for one in rows(TABLES / "sources.csv", _Document) if one.kind in kinds)


@functools.cache
def kinds() -> dict[str, str]:
    """Source id -> kind of source, weak voices as one."""
    return {
        one.source_id: WEAK if one.source_id in weak_voices() else one.kind
        for one in rows(TABLES / "sources.csv", _Document)
    }


@functools.cache
def _factors() -> dict[tuple[str, str], float]:
    return {(one.trait, one.kind): one.factor for one in table("spread_factors", SpreadFactor, ("trait", "kind"))}


def spread_factor(trait: str, source_id: str) -> float:
    """The factor on the error of a reading; 1 where too few documents meet to tell."""
    return _factors().get((trait, kinds().get(source_id, "")), 1.0)


def forget_factors() -> None:
    """Read `spread_factors.csv` anew when it is next asked for."""
    table.cache_clear()
    _factors.cache_clear()


def agreed(share: float, sources: Iterable[str]) -> float:
    """The share of a class among the votes, lowered where weak voices alone have voted."""
    return round(share * (FIGURES.alone_agreement if alone(sources) else 1.0), 2)


def alone(sources: Iterable[str]) -> bool:
    """Whether there are sources and all of them are weak voices."""
    found = set(sources)
    return bool(found) and found <= weak_voices()
