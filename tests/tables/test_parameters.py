"""Figures of the trade: every row is read, lies within its range, and names sources that exist."""

import csv
import importlib
import pkgutil
import re
from pathlib import Path

import msgspec
import pytest

import domain
from domain.tables.loading import TABLES, TableError, load
from domain.tables.parameters import READ, ROOMS, Parameter, all_parameters, figures, parameters
from reference_tables.building.schemas.parameters import ROOMS as BUILDING_ROOMS


class Pair(msgspec.Struct, frozen=True):
    """Figures for the tests below."""

    share: float
    steps: tuple[float, ...]


def _write(directory: Path, *lines: str) -> Path:
    path = directory / "parameters" / "hazards.csv"
    path.parent.mkdir(parents=True)
    path.write_text("\n".join(("subject,name,value,unit,low,high,basis,sources,note", *lines)) + "\n")
    return directory


def _import_all() -> None:
    for module in pkgutil.walk_packages(domain.__path__, "domain."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)


def test_every_row_is_read_by_some_module() -> None:
    _import_all()
    unread = sorted({f"{one.room}.{one.subject}" for one in all_parameters()} - {".".join(key) for key in READ})
    assert unread == []


def test_no_figure_is_read_into_a_struct_and_used_nowhere() -> None:
    used = "".join(path.read_text(encoding="utf-8") for path in Path(domain.__path__[0]).rglob("*.py"))
    assert [one.id for one in all_parameters() if not re.search(rf"\.{one.name}\b", used)] == []


def test_a_rule_that_a_note_names_is_there_with_the_source_that_the_figure_cites() -> None:
    named = [(one, table) for one in all_parameters() for table in re.findall(r"rules/(\w+)", one.note)]
    assert {"bloom_overlap", "pollination_practice"} <= {table for _, table in named}
    for one, table in named:
        with (TABLES / "rules" / f"{table}.csv").open(encoding="utf-8", newline="") as rows:
            assert {row["source_id"] for row in csv.DictReader(rows)} & set(one.sources), one.id


@pytest.mark.parametrize("one", all_parameters(), ids=lambda one: one.id)
def test_value_lies_within_its_range_and_states_what_it_rests_on(one: Parameter) -> None:
    if ";" not in one.value and (one.low is not None or one.high is not None):
        value = float(one.value)
        assert one.low is None or one.low <= value
        assert one.high is None or value <= one.high
    if one.basis == "published":
        assert one.sources, "a published figure names its document"
    if one.basis == "fitted":
        assert one.note, "a fitted figure names what it was fitted on"
    assert set(one.sources) <= set(load().sources)


def test_row_that_stands_twice_is_refused(tmp_path: Path) -> None:
    row = "moth,share,0.5,,,,from-memory,,"
    with pytest.raises(TableError, match=r"hazards.csv, line 3, column name: 'share' stands twice"):
        parameters("hazards", _write(tmp_path, row, row))


def test_unknown_basis_is_refused_by_line_and_column(tmp_path: Path) -> None:
    with pytest.raises(TableError, match=r"line 2, column basis"):
        parameters("hazards", _write(tmp_path, "moth,share,0.5,,,,hearsay,,"))


def test_field_without_row_is_refused() -> None:
    with pytest.raises(TableError, match="share, steps stand in the table or in Pair"):
        figures("hazards", "no_such_subject", Pair)


def test_the_rooms_of_the_schemas_are_those_of_the_program() -> None:
    """The code that builds tables imports nothing of the program, so it lists the rooms of its own."""
    assert set(BUILDING_ROOMS) | {"fruit"} == set(ROOMS)
