"""Refuses a bad row of the reference tables, naming file, line and column: `python -m reference_tables.check`."""

import argparse
import csv
import json
import math
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import reference_tables
from reference_tables.package import package
from reference_tables.schemas import TABLES, Column, Table, descriptor

Row = dict[str, str]

_RAW = frozenset({"added_evidence/", "names/", "climate/sources.csv", "space/sources.csv"})
"""Raw evidence, which the collector reads and judges."""


def main() -> None:
    """Check every table, print each fault, end with 1 if there is one."""
    parser = argparse.ArgumentParser(prog="python -m reference_tables.check", description=__doc__)
    parser.add_argument("directory", type=Path, nargs="?", default=Path(reference_tables.__file__).parent)
    directory = parser.parse_args().directory
    faults = list(check(directory))
    for fault in faults[:100]:
        print(fault)
    if faults:
        sys.exit(f"{len(faults)} faults in the reference tables")
    print(f"{sum((directory / f'{table.path}.csv').exists() for table in TABLES)} reference tables are sound")


def check(directory: Path) -> Iterator[str]:
    """Every fault of the tables below a directory, as ``file, line, column: what is wrong``."""
    columns_of: dict[str, frozenset[str]] = {}
    for table in TABLES:
        path = directory / f"{table.path}.csv"
        if not path.exists():
            yield f"{table.path}.csv is missing"
            continue
        yield from _description(directory, table)
        header, rows, faults = _read(path, f"{table.path}.csv")
        yield from faults
        expected = [column.name for column in table.columns]
        if header != expected:
            yield f"{table.path}.csv, line 1: columns are {', '.join(header)}; expected {', '.join(expected)}"
            continue
        for column in table.columns:
            columns_of[f"{table.path}.{column.name}"] = frozenset(row[column.name] for _, row in rows)
        yield from _rows(table, rows, columns_of)
    described = {directory / f"{table.path}.csv" for table in TABLES}
    for path in sorted(directory.rglob("*.csv")):
        name = path.relative_to(directory).as_posix()
        if path not in described and not name.startswith(tuple(_RAW)):
            yield f"{name} is described by no schema"
    if (directory / "sources.csv").exists() and _loaded(directory / "datapackage.json") != package(directory):
        yield "datapackage.json is not what the tables give: run python -m reference_tables.collect"


def _description(directory: Path, table: Table) -> Iterator[str]:
    if _loaded(directory / f"{table.path}.schema.json") != descriptor(table):
        yield f"{table.path}.schema.json is not the schema of the table: run python -m reference_tables.collect"


def _loaded(path: Path) -> object:
    return json.loads(path.read_text(encoding="utf-8")) if path.exists() else None


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
