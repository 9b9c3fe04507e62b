"""Reads the tables of rootstocks, tree forms and set-backs, and refuses a bad row by its file, line and column."""

import csv
import re
from pathlib import Path
from typing import TypeVar

import msgspec

import reference_tables
from domain.tables import TableError

TABLES = Path(reference_tables.__file__).parent

_FAULT = re.compile(r"^(?P<what>.*?)(?: - at `\$\[(?P<row>\d+)\](?:\.(?P<column>\w+))?.*`)?$", re.DOTALL)

T = TypeVar("T")


def rows(path: Path, row_type: type[T], lists: tuple[str, ...] = ()) -> list[T]:
    """Rows of a CSV file, blank cells left out; cells of the columns named `lists` are split at ';'.

    Raises TableError for a cell of a wrong type or a row of a wrong length.
    """
    with path.open(encoding="utf-8", newline="") as lines:
        reader = csv.DictReader(lines, strict=True)
        cells = []
        for row in reader:
            if None in row or None in row.values():
                raise TableError(f"{path.name}, line {reader.line_num}: not as many cells as columns")
            kept: dict[str, object] = {column: cell for column, cell in row.items() if cell}
            kept |= {name: tuple(str(kept[name]).split(";")) for name in lists if name in kept}
            cells.append(kept)
    try:
        return msgspec.convert(cells, list[row_type], strict=False)  # type: ignore[valid-type]  # a type known at run time
    except msgspec.ValidationError as fault:
        match = _FAULT.match(str(fault))
        if match is None or match["row"] is None:
            raise TableError(f"{path.name}: {fault}") from fault
        column = f", column {match['column']}" if match["column"] else ""
        raise TableError(f"{path.name}, line {int(match['row']) + 2}{column}: {match['what']}") from fault
