"""The reference cultivar: the zero of the scales of bloom and ripening."""

import msgspec

from domain.tables.parameters import figures


class Reference(msgspec.Struct, frozen=True):
    """Its id in the catalogue."""

    cultivar: str


REFERENCE = figures("fruit", "reference", Reference)
