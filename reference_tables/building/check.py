"""Refuses a bad row of any table, published or built: `python -m reference_tables.building.check` names its place."""

import argparse
import csv
import math
import re
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

import reference_tables
from reference_tables.building.package import descriptions
from reference_tables.building.published import read_table
from reference_tables.building.schemas import TABLES, Column, Table
from reference_tables.building.schemas.published import COUNTRIES, FOLDERS, UNSEEN, published_tables

Row = dict[str, str]


def main() -> None:
    """Check every table, print each fault, end with 1 if there is one."""
    parser = argparse.ArgumentParser(prog="python -m reference_tables.building.check", description=__doc__)
    parser.add_argument("directory", type=Path, nargs="?", default=Path(reference_tables.__file__).parent)
    directory = parser.parse_args().directory
    faults = list(check(directory))
    for fault in faults[:100]:
        print(fault)
    if faults:
        sys.exit(f"{len(faults)} faults in the reference tables")
    print(f"{len(TABLES)} tables and {len(published_tables(directory))} published tables are sound")


def check(directory: Path) -> Iterator[str]:
    """Every fault of the tables below a directory, as ``file, line, column: what is wrong``."""
    yield from _tables(directory, TABLES, {})
    described = {f"{table.path}.csv" for table in TABLES}
    found = (path.relative_to(directory).as_posix() for path in sorted(directory.rglob("*.csv")))
    yield from (
        f"{name} is described by no schema"
        for name in found
        if not (name in described or name.startswith("published/"))
    )
    if (directory / "published").is_dir():
        yield from published_faults(directory)
    if (directory / "sources.csv").exists():
        for name, content in descriptions(directory, {}).items():
            if not (directory / name).exists() or (directory / name).read_bytes() != content:
                yield f"{name} is not what the tables give: run python -m reference_tables.building"


def published_faults(directory: Path) -> Iterator[str]:
    """Faults of what was entered below `directory/published`: nothing is built from it while there is one."""
    drawn = directory / f"{UNSEEN.path}.csv"
    beside = [table for table in (UNSEEN, COUNTRIES) if (directory / f"{table.path}.csv").exists()]
    tables = [FOLDERS, *beside, *published_tables(directory)]
    columns_of: dict[str, frozenset[str]] = {}
    yield from _tables(directory, tables, columns_of)
    described = {directory / f"{table.path}.csv" for table in tables}
    for path in sorted((directory / "published").rglob("*.csv")):
        if path not in described:
            yield f"{path.relative_to(directory).as_posix()} is described by no schema"
    standing = {path.parent.name for path in (directory / "published").glob("*/*.csv")}
    named = columns_of.get("published/folders.folder", frozenset())
    yield from (f"published/{name} is not in published/folders.csv" for name in sorted(standing - named))
    yield from (f"published/folders.csv: there is no folder {name}" for name in sorted(named - standing))
    for row in read_table(drawn):
        cited = columns_of.get(f"published/{row['folder']}/sources.source_id", frozenset())
        if row["source_id"] not in cited:
            yield f"{UNSEEN.path}.csv: {row['folder']} has no document {row['source_id']}"


def _tables(directory: Path, tables: Iterable[Table], columns_of: dict[str, frozenset[str]]) -> Iterator[str]:
    """Faults of the tables, row by row; the cells of each column are added to `columns_of`."""
    for table in tables:
        path = directory / f"{table.path}.csv"
        if not path.exists():
            yield f"{table.path}.csv is missing"
            continue
        header, rows, faults = _read(path, f"{table.path}.csv")
        yield from faults
        expected = [column.name for column in table.columns]
        if header != expected:
            yield f"{table.path}.csv, line 1: columns are {', '.join(header)}; expected {', '.join(expected)}"
            continue
        for column in table.columns:
            columns_of[f"{table.path}.{column.name}"] = frozenset(row[column.name] for _, row in rows)
        yield from _rows(table, rows, columns_of)


def _read(path: Path, name: str) -> tuple[list[str], list[tuple[int, Row]], list[str]]:
    """Header, (line, row) pairs and the lines that have another number of cells than the header or no valid UTF-8."""
    faults: list[str] = []
    rows: list[tuple[int, Row]] = []
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError as fault:
        return [], [], [f"{name}: byte {fault.start} is not UTF-8"]
    reader = csv.reader(text.splitlines(keepends=True))
    header = next(reader, [])
    for cells in reader:
        if len(cells) == len(header):
            rows.append((reader.line_num, dict(zip(header, cells, strict=True))))
        else:
            faults.append(f"{name}, line {reader.line_num}: {len(cells)} cells, {len(header)} columns")
    return header, rows, faults


def _rows(table: Table, rows: list[tuple[int, Row]], columns_of: dict[str, frozenset[str]]) -> Iterator[str]:
    whole: dict[tuple[str, ...], int] = {}
    for line, row in rows:
        where = f"{table.path}.csv, line {line}"
        for column in table.columns:
            for what in _cell(column, row[column.name], columns_of):
                yield f"{where}, column {column.name}: {what}"
        for low, high in table.ordered:
            if row[low] and row[high] and _number(row[low]) > _number(row[high]):
                yield f"{where}, column {low}: {row[low]} is above {high}, {row[high]}"
        key = tuple(row[name] for name in table.key) if table.key else tuple(row.values())
        first = whole.setdefault(key, line)
        if first != line:
            name = table.key[0] if table.key else table.columns[0].name
            yield f"{where}, column {name}: says again what line {first} says"


def _cell(column: Column, cell: str, columns_of: dict[str, frozenset[str]]) -> Iterator[str]:
    if not cell:
        if column.required:
            yield "blank"
        return
    if cell != cell.strip():
        yield f"{cell!r} has spaces at its ends"
    if column.type != "string":
        number = _number(cell)
        if not math.isfinite(number) or (column.type == "integer" and not number.is_integer()):
            yield f"{cell!r} is no {column.type}"
        elif column.minimum is not None and number < column.minimum:
            yield f"{cell} is below {column.minimum:g}"
        elif column.maximum is not None and number > column.maximum:
            yield f"{cell} is above {column.maximum:g}"
    for part in cell.split(column.separator) if column.separator else [cell]:
        if column.enum and part not in column.enum:
            yield f"{part!r} is none of {', '.join(column.enum)}"
        if column.pattern and not re.fullmatch(column.pattern, part):
            yield f"{part!r} does not match {column.pattern}"
        if column.refers_to and part not in columns_of.get(column.refers_to, frozenset()):
            yield f"{part!r} is not in {column.refers_to}"


def _number(cell: str) -> float:
    try:
        return float(cell)
    except ValueError:
        return math.nan


if __name__ == "__main__":
    main()
