"""Builds every table that follows from `published/`, and describes the whole anew.

``python -m reference_tables.building`` writes sources, catalogue, aliases, observations, rules, space and the climate's
tables, their schemas and `datapackage.json`; then `python -m domain.adoption` and
`python -m domain.adoption.rootstocks` adopt. With ``--check`` nothing is written: each file that stands otherwise is
named, and the command ends with 1.
"""

import argparse
import csv
import io
import sys
from pathlib import Path

import reference_tables
from reference_tables.building.build import BUILT, build, fewer
from reference_tables.building.check import published_faults
from reference_tables.building.package import descriptions, row_count
from reference_tables.building.published import Row
from reference_tables.building.schemas import TABLES

HERE = Path(reference_tables.__file__).parent

_COLUMNS = {table.path: tuple(column.name for column in table.columns) for table in TABLES}
_SHOWN = 100


def main() -> None:
    """Write or compare, and print what each table holds; a build that would lose rows is refused."""
    parser = argparse.ArgumentParser(prog="python -m reference_tables.building", description=__doc__)
    parser.add_argument("root", type=Path, nargs="?", default=HERE, help="the directory of the tables")
    parser.add_argument("--check", action="store_true", help="compare with what stands instead of writing")
    parser.add_argument("--allow-fewer", action="store_true", help="let a table have fewer rows than stand")
    arguments = parser.parse_args()
    root: Path = arguments.root
    if faults := list(published_faults(root)):
        print("\n".join(faults[:_SHOWN]))
        sys.exit(f"{len(faults)} faults in what was published: nothing is built")
    tables = build(root)
    files = texts(root, tables)
    if arguments.check:
        if differing := different(root, files):
            print("\n".join(f"{name} is not what published/ gives" for name in differing))
            sys.exit(f"{len(differing)} files differ: run python -m reference_tables.building")
        print(f"{len(files)} files are what published/ gives")
        return
    if not arguments.allow_fewer and (lost := fewer(standing(root), tables)):
        print("\n".join(lost))
        sys.exit("Nothing was written: with --allow-fewer it is.")
    for name, content in files.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_bytes(content)
    for table, rows in tables.items():
        print(f"{table:32} {len(rows):6}")


def texts(root: Path, tables: dict[str, list[Row]]) -> dict[str, bytes]:
    """File -> content of the tables built, of their schemas, and of the data package."""
    built = {f"{table}.csv": _csv(_COLUMNS[table], rows) for table, rows in tables.items()}
    return built | descriptions(root, built)


def standing(root: Path) -> dict[str, int]:
    """Table -> rows, of the tables below `root` that a build writes."""
    paths = {table: root / f"{table}.csv" for table in BUILT}
    return {table: row_count(path.read_bytes()) for table, path in paths.items() if path.exists()}


def different(root: Path, files: dict[str, bytes]) -> list[str]:
    """Files that are missing below `root` or hold something else."""
    return sorted(
        name for name, content in files.items() if not (root / name).exists() or (root / name).read_bytes() != content
    )


def _csv(columns: tuple[str, ...], rows: list[Row]) -> bytes:
    """One CSV file: UTF-8, header, line feed ends; equal bytes for equal rows."""
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, lineterminator="\n")
    writer.writeheader()
    writer.writerows({column: row.get(column, "") for column in columns} for row in rows)
    return text.getvalue().encode("utf-8")


if __name__ == "__main__":
    main()
