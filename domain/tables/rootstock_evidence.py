"""What was published of one rootstock or one tree form, value by value, and what practice adds of the form."""

import functools
from collections.abc import Mapping

import msgspec

from domain.tables.loading import TABLES, rows
from domain.tables.rootstock_observations import RootstockObservation
from domain.tables.tree_form_ranges import PracticeRange


class PublishedValue(msgspec.Struct, frozen=True, kw_only=True):
    """One published value: `published` as printed, `low` and `high` its numbers, null where it is open or in words."""

    trait: str
    published: str
    low: float | None
    high: float | None
    unit: str
    scheme: str
    source_id: str
    locator: str
    note: str


class PractisedRange(msgspec.Struct, frozen=True, kw_only=True):
    """A range of general knowledge or common practice, used where nothing is published."""

    trait: str
    low: float
    high: float
    unit: str
    source_id: str


def published_values(subject_id: str) -> tuple[PublishedValue, ...]:
    """What was published of a rootstock or a form, by its id; empty for what nobody wrote of."""
    return _published().get(subject_id, ())


def practised_ranges(form_id: str) -> tuple[PractisedRange, ...]:
    """What practice says of a form."""
    return _practised().get(form_id, ())


@functools.cache
def _published() -> Mapping[str, tuple[PublishedValue, ...]]:
    found: dict[str, tuple[PublishedValue, ...]] = {}
    for row in rows(TABLES / "observations" / "rootstocks.csv", RootstockObservation):
        told = {name: getattr(row, name) for name in PublishedValue.__struct_fields__}
        found[row.rootstock_id] = (*found.get(row.rootstock_id, ()), PublishedValue(**told))
    return found


@functools.cache
def _practised() -> Mapping[str, tuple[PractisedRange, ...]]:
    found: dict[str, tuple[PractisedRange, ...]] = {}
    for row in rows(TABLES / "space" / "tree_form_practice.csv", PracticeRange):
        told = {name: getattr(row, name) for name in PractisedRange.__struct_fields__}
        found[row.form_id] = (*found.get(row.form_id, ()), PractisedRange(**told))
    return found
