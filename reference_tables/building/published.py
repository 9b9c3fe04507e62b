"""Reads the folders of `published/` (facts, lists, aliases, sources, ...) without judging them."""

import csv
from dataclasses import dataclass, field
from pathlib import Path

Row = dict[str, str]


@dataclass(frozen=True)
class Folder:
    """One folder of what was published: its name, its tables as entered, and whether the build reads them."""

    name: str
    tables: dict[str, list[Row]] = field(default_factory=dict)
    read: str = "whole"

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
