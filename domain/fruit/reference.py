"""Cultivars that the fruit's own figures name: the zero of the scales of bloom and ripening, and those that mottle."""

import msgspec

from domain.tables.parameters import figures


class Reference(msgspec.Struct, frozen=True):
    """Its id in the catalogue."""

    cultivar: str


REFERENCE = figures("fruit", "reference", Reference)


class Leaves(msgspec.Struct, frozen=True):
    """Ids of the cultivars whose leaves mottle by nature, parted by semicolons."""

    mottling: str


MOTTLING = frozenset(figures("fruit", "leaves", Leaves).mottling.split(";"))
