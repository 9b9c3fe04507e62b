"""Answers as tables: RFC 4180, UTF-8, a head, lines ended by CRLF; a cell is empty where nothing is known.

Several words in a cell are parted by a semicolon and a blank. A text that a spreadsheet would take for a formula, which
only a caller's own words can be, is set off by an apostrophe.
"""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence

Cell = str | float | bool | Sequence[str] | None

TEXT_CSV = "text/csv"


def table(columns: Sequence[str], rows: Iterable[Mapping[str, Cell]]) -> str:
    """A whole table as text. Raises ValueError for a cell of no column."""
    return head(columns) + lines(columns, rows)


def head(columns: Sequence[str]) -> str:
    """The first line of a table."""
    text = io.StringIO()
    csv.writer(text).writerow(columns)
    return text.getvalue()


def lines(columns: Sequence[str], rows: Iterable[Mapping[str, Cell]]) -> str:
    """The rows of a table without its head. Raises ValueError for a cell of no column."""
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, restval="")
    for row in rows:
        writer.writerow({name: _cell(cell) for name, cell in row.items()})
    return text.getvalue()


def _cell(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, int | float):
        return f"{cell:.10g}"
    text = cell if isinstance(cell, str) else "; ".join(cell)
    return f"'{text}" if text.startswith(("=", "+", "-", "@", "\t", "\r")) else text
