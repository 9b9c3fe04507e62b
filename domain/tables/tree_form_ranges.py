"""The records of ranges of trained forms: sizes, spacings, work and crop, as practised and as adopted."""

import msgspec

from domain.tables.cultivars import Basis


class PracticeRange(msgspec.Struct, frozen=True, kw_only=True):
    """A range that is common practice or general knowledge, without a text."""

    form_id: str
    trait: str
    low: float
    high: float
    unit: str
    source_id: str


class AdoptedRange(msgspec.Struct, frozen=True, kw_only=True):
    """The range of one trait that is used, low to high, and where it comes from."""

    low: float
    high: float
    unit: str
    basis: Basis
    observations: int = 0
    sources: tuple[str, ...] = ()
