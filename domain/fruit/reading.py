"""How a table of the fruit is read: every row a frozen record, by its key, with what the row rests on."""

from collections.abc import Callable, Collection
from typing import TypeVar

import msgspec

from domain.tables.loading import FRUIT, TABLES, TableError, rows
from domain.tables.parameters import ParameterBasis


class Grounds(msgspec.Struct, frozen=True, kw_only=True):
    """What the figures of a row rest on: basis, documents, and a note."""

    basis: ParameterBasis | None = None
    sources: tuple[str, ...] = ()
    note: str = ""


Row = TypeVar("Row", bound=msgspec.Struct)


def table(name: str, row_type: type[Row], lists: Collection[str] = ()) -> tuple[Row, ...]:
    """Rows of a table of the fruit, in its order; cells of the columns in `lists` hold several values.

    Raises TableError for a row that cannot be used.
    """
    return tuple(rows(TABLES / FRUIT / f"{name}.csv", row_type, ("sources", *lists)))


def keyed(name: str, row_type: type[Row], key: Callable[[Row], str], lists: Collection[str] = ()) -> dict[str, Row]:
    """The rows by their key, in the order of the table. Raises TableError for a key that stands twice."""
    found: dict[str, Row] = {}
    for line, row in enumerate(table(name, row_type, lists), start=2):
        if key(row) in found:
            raise TableError(f"{name}.csv, line {line}: {key(row)!r} stands twice")
        found[key(row)] = row
    return found
