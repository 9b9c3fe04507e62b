"""Running a survey in a test, and reading what it wrote."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.dataset as ds
from distributed import Client

from domain.grid.part import survey
from domain.grid.run import Progress, run

FEW = ("Discovery", "Granny Smith", "Anna")


def answer(
    table: Path,
    folder: Path,
    client: Client,
    *,
    cultivars: Sequence[str] | None = FEW,
    warmer_by_c: Sequence[float] = (0.0,),
    part_rows: int = 2,
    tell: Callable[[Progress], None] = lambda _: None,
) -> Progress:
    """Answer a table in a folder."""
    asked = survey(cultivars, warmer_by_c, None, no_spray=False)
    return run(table, folder, client, asked, part_rows=part_rows, tell=tell)


def written(folder: Path, name: str) -> pa.Table:
    """A table of the folder, in the order of its rows."""
    files = sorted(str(file) for file in (folder / name).glob("part-*.parquet"))
    return ds.dataset(files, format="parquet").to_table()


def rows_of(folder: Path, name: str) -> list[dict[str, Any]]:
    """The same as rows."""
    rows: list[dict[str, Any]] = written(folder, name).to_pylist()
    return rows
