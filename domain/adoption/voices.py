"""Whose word a document is: weak voices (shops, growers, the press, encyclopedias) never decide alone.

They copy each other and the trade, and say what sells; beside a service, a paper or a collection they count as any
other text.
"""

import functools
from collections.abc import Iterable

import msgspec

from domain.tables.loading import TABLES, rows
from domain.tables.parameters import figures


class VoiceFigures(msgspec.Struct, frozen=True):
    """Which kinds of document are weak voices, and how wide their word is where it stands alone."""

    weak_kinds: str
    alone_spread_factor: float


FIGURES = figures("adoption", "voices", VoiceFigures)


class _Document(msgspec.Struct, frozen=True):
    source_id: str
    kind: str


@functools.cache
def weak_voices() -> frozenset[str]:
    """Ids of the sources that are weak voices."""
    kinds = FIGURES.weak_kinds.split()
    return frozenset(one.source_id for one in rows(TABLES / "sources.csv", _Document) if one.kind in kinds)


def alone(sources: Iterable[str]) -> bool:
    """Whether there are sources and all of them are weak voices."""
    found = set(sources)
    return bool(found) and found <= weak_voices()
