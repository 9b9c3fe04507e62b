"""Writes tables as CSV, bytes equal for equal rows."""

import csv
from pathlib import Path

from reference_tables.collect.evidence import Row


def write_table(path: Path, rows: list[Row], columns: tuple[str, ...] | None = None) -> None:
    """One CSV file: UTF-8, header, line feed ends."""
    path.parent.mkdir(parents=True, exist_ok=True)
    header = columns or tuple(rows[0])
    with path.open("w", encoding="utf-8", newline="") as lines:
        writer = csv.DictWriter(lines, header, lineterminator="\n", extrasaction="raise")
        writer.writeheader()
        writer.writerows({column: row.get(column, "") for column in header} for row in rows)
