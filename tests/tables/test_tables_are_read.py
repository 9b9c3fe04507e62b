"""No table is read by nothing: each is opened by the program, by adoption, by a check, or cited by a figure's note."""

import re
from pathlib import Path

import pytest

import reference_tables
from domain.tables.loading import needed_files
from domain.tables.parameters import all_parameters
from domain.year_of_work.jobs_table import JOBS
from reference_tables.building.schemas import TABLES

COMMITTED = Path(reference_tables.__file__).parent
PROJECT = COMMITTED.parent
CODE = "\n".join(
    path.read_text(encoding="utf-8")
    for room in ("api", "domain", "tests")
    for path in (PROJECT / room).rglob("*.py")
    if path.name != Path(__file__).name
)


WAITING = {"observations/bloom_seasons"}
"""The single seasons behind the means of `bloom`: a refit of the timing reads them, and no answer does."""


@pytest.mark.parametrize("path", [table.path for table in TABLES])
def test_a_table_is_read(path: str) -> None:
    name = path.rpartition("/")[2]
    opened = f"{path}.csv" in needed_files(COMMITTED)
    schemes = name.endswith("_schemes") and f'_schemes("{name.removesuffix("_schemes")}"' in "".join(CODE.split())
    named = schemes or re.search(rf'["/]{name}(\.csv)?["\']', CODE) is not None
    notes = [one.note for one in all_parameters()] + [job.note for job in JOBS]
    cited = any(f"rules/{name}" in note or f"{name}.csv" in note for note in notes)
    assert opened or named or cited or path in WAITING, (
        f"{path}.csv is read by nothing: read it, or keep it in published/ alone"
    )
