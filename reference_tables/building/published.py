"""Reads the folders of `published/` (facts, lists, aliases, sources, ...) without judging them."""

import csv
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

Row = dict[str, str]


@dataclass(frozen=True)
class Folder:
    """One folder of what was published: its name, its tables as entered, and how much of it the build reads."""

    name: str
    tables: dict[str, list[Row]] = field(default_factory=dict)
    read: str = "whole"
    """whole, witnesses or later, as `folders.csv` says."""

    def rows(self, table: str) -> list[Row]:
        """Rows of a table, empty if the folder has none of that name."""
        return self.tables.get(table, [])


def read_table(path: Path) -> list[Row]:
    """Rows of one CSV file, cells stripped, missing cells blank; none if there is no such file."""
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as lines:
        return [
            {column: (cell or "").strip() for column, cell in row.items() if column} for row in csv.DictReader(lines)
        ]


def read_folders(root: Path) -> list[Folder]:
    """The folders that `folders.csv` lists, in its order: where two say the same, the one that stands first is kept."""
    return [
        Folder(
            row["folder"],
            {path.stem: read_table(path) for path in sorted((root / row["folder"]).glob("*.csv"))},
            row["read"],
        )
        for row in read_table(root / "folders.csv")
    ]


_CITING = ("source_id", "climate_source_id")


def without_unseen(folders: Iterable[Folder], source_ids: dict[tuple[str, str], str], drawn: list[Row]) -> list[Folder]:
    """The folders without what the documents drawn in `unseen.csv` say, wherever and under whatever id they stand.

    The rows of `sources` stay; without a row that cites them they reach no table. A region goes with its list.
    """
    documents = {source_ids.get((row["folder"], row["source_id"])) for row in drawn} - {None}

    def unseen(folder: Folder, row: Row) -> bool:
        return any(source_ids.get((folder.name, row.get(column, ""))) in documents for column in _CITING)

    kept = []
    for folder in folders:
        citing = [row for table in folder.tables.values() for row in table if row.get("list_id") and "source_id" in row]
        dropped = {row["list_id"] for row in citing} - {row["list_id"] for row in citing if not unseen(folder, row)}
        tables = {
            name: table
            if name == "sources"
            else [row for row in table if not unseen(folder, row) and row.get("list_id", "") not in dropped]
            for name, table in folder.tables.items()
        }
        kept.append(replace(folder, tables=tables))
    return kept
