"""Reads folders of raw evidence (facts, lists, aliases, sources, ...) without judging them."""

import csv
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

Row = dict[str, str]


@dataclass(frozen=True)
class Folder:
    """One folder of evidence: its name, unique with that of its root, its subject and its tables as printed."""

    name: str
    subject: str
    tables: dict[str, list[Row]] = field(default_factory=dict)

    def rows(self, table: str) -> list[Row]:
        """Rows of a table, empty if the folder has none of that name."""
        return self.tables.get(table, [])


def read_table(path: Path) -> list[Row]:
    """Rows of one CSV file, cells stripped, missing cells blank."""
    with path.open(encoding="utf-8", newline="") as lines:
        return [
            {column: (cell or "").strip() for column, cell in row.items() if column} for row in csv.DictReader(lines)
        ]


def read_folders(roots: list[Path]) -> list[Folder]:
    """Every folder below the roots (or a root itself) that has a `sources.csv`, in the order of their names."""
    return [
        Folder(
            f"{root.name}/{directory.name}",
            directory.name,
            {path.stem: read_table(path) for path in sorted(directory.glob("*.csv"))},
        )
        for root in roots
        for directory in _with_sources(root)
    ]


def _with_sources(root: Path) -> Iterator[Path]:
    for directory in (root, *sorted(path for path in root.glob("*") if path.is_dir())):
        if (directory / "sources.csv").exists():
            yield directory
