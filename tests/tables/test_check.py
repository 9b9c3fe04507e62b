"""The checker of the reference tables: it passes the committed ones and refuses one broken sample of each rule."""

import csv
import math
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

import reference_tables
from reference_tables.building.check import check
from reference_tables.building.package import write_package
from reference_tables.building.schemas import TABLES, Table
from reference_tables.building.schemas.published import PUBLISHED

COMMITTED = Path(reference_tables.__file__).parent
FEW = {"golden-delicious", "gala", "royal-gala"}

Rows = list[list[str]]


@pytest.fixture
def sample(tmp_path: Path) -> Path:
    """A small sound set of tables: three cultivars of the committed ones."""
    for table in TABLES:
        header, *rows = read(COMMITTED / f"{table.path}.csv")
        if "cultivar_id" in header:
            rows = [row for row in rows if row[0] in FEW]
        elif table.path not in ("sources", "observations/rootstocks", "space/tree_forms"):
            rows = rows[:3]
        path = tmp_path / f"{table.path}.csv"
        path.parent.mkdir(parents=True, exist_ok=True)
        write(path, [header, *rows])
    folder = tmp_path / "published" / "bloom_2"
    folder.mkdir(parents=True)
    write(tmp_path / "published" / "folders.csv", [["folder", "read", "holds"], ["bloom_2", "whole", "one value"]])
    source = ["trial-a", "paper", "", "A trial", "", "2001", "", "not stated", ""]
    columns = [column.name for column in PUBLISHED["sources"].columns]
    write(folder / "sources.csv", [columns, source])
    fact = ["Gala", "bloom_class", "mid", "", "early, mid, late", "trial-a", "page 2", ""]
    write(folder / "facts.csv", [[column.name for column in PUBLISHED["facts"].columns], fact])
    write_package(tmp_path)
    return tmp_path


def read(path: Path) -> Rows:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.reader(lines))


def write(path: Path, rows: Rows) -> None:
    with path.open("w", encoding="utf-8", newline="") as lines:
        csv.writer(lines, lineterminator="\n").writerows(rows)


def with_cell(root: Path, table: str, column: str, cell: str) -> None:
    """Replace the cell of the first row."""
    rows = read(root / f"{table}.csv")
    rows[1][rows[0].index(column)] = cell
    write(root / f"{table}.csv", rows)


def test_committed_tables_are_sound() -> None:
    assert list(check(COMMITTED)) == []


def test_the_sample_is_sound(sample: Path) -> None:
    assert list(check(sample)) == []


@pytest.mark.parametrize(
    ("table", "column", "cell", "expected"),
    [
        ("catalogue", "name", "", "catalogue.csv, line 2, column name: blank"),
        ("catalogue", "name", " Gala", "catalogue.csv, line 2, column name: ' Gala' has spaces at its ends"),
        ("catalogue", "status", "best", "catalogue.csv, line 2, column status: 'best' is none of advised, listed"),
        (
            "catalogue",
            "sport_of",
            "gal",
            "catalogue.csv, line 2, column sport_of: 'gal' is not in catalogue.cultivar_id",
        ),
        ("sources", "url", "www.example.org", "sources.csv, line 2, column url: 'www.example.org' does not match"),
        ("sources", "year", "about 1900", "sources.csv, line 2, column year: 'about 1900' does not match"),
        ("sources", "year", "", "sources.csv, line 2, column year: blank"),
        ("sources", "licence", "", "sources.csv, line 2, column licence: blank"),
        ("observations/bloom", "latitude", "north", "bloom.csv, line 2, column latitude: 'north' is no number"),
        ("observations/bloom", "latitude", "nan", "bloom.csv, line 2, column latitude: 'nan' is no number"),
        ("observations/bloom", "latitude", "91", "bloom.csv, line 2, column latitude: 91 is above 90"),
        ("observations/bloom", "longitude", "-181", "bloom.csv, line 2, column longitude: -181 is below -180"),
        ("observations/ripening", "low", "999", "ripening.csv, line 2, column low: 999 is above high"),
        ("observations/bloom", "source_id", "nobody", "column source_id: 'nobody' is not in sources.source_id"),
        ("observations/bloom", "cultivar_id", "lost", "column cultivar_id: 'lost' is not in catalogue.cultivar_id"),
        ("adopted/numbers", "deviation", "-1", "numbers.csv, line 2, column deviation: -1 is below 0"),
        ("adopted/numbers", "observations", "1.5", "column observations: '1.5' is no integer"),
        ("adopted/numbers", "sources", "from-memory;x", "column sources: 'x' is not in sources.source_id"),
        (
            "adopted/numbers",
            "basis",
            "guess",
            "column basis: 'guess' is none of published, computed, imputed, from-memory",
        ),
    ],
)
def test_a_bad_cell_is_refused_by_file_line_and_column(
    sample: Path, table: str, column: str, cell: str, expected: str
) -> None:
    with_cell(sample, table, column, cell)
    assert any(expected in fault for fault in check(sample))


def _repeat_first_row(root: Path) -> None:
    rows = read(root / "catalogue.csv")
    write(root / "catalogue.csv", [*rows, rows[1]])


def _repeat_observation(root: Path) -> None:
    rows = read(root / "observations" / "fruit.csv")
    write(root / "observations" / "fruit.csv", [*rows, rows[1]])


def _short_row(root: Path) -> None:
    rows = read(root / "catalogue.csv")
    rows[1].pop()
    write(root / "catalogue.csv", rows)


def _other_columns(root: Path) -> None:
    rows = read(root / "catalogue.csv")
    rows[0][1] = "title"
    write(root / "catalogue.csv", rows)


def _latin_1(root: Path) -> None:
    path = root / "aliases.csv"
    path.write_bytes(path.read_bytes() + "gala,Gäla,spelling,from-memory\n".encode("latin-1"))


def _missing_table(root: Path) -> None:
    (root / "aliases.csv").unlink()


def _unknown_table(root: Path) -> None:
    (root / "extra.csv").write_text("cultivar_id\n", encoding="utf-8")


def _unknown_source(root: Path) -> None:
    with_cell(root, "published/bloom_2/facts", "source_id", "nobody")


def _blank_trait(root: Path) -> None:
    with_cell(root, "published/bloom_2/facts", "trait", "")


def _unknown_published_table(root: Path) -> None:
    (root / "published" / "bloom_2" / "fact.csv").write_text("cultivar\n", encoding="utf-8")


def _unlisted_folder(root: Path) -> None:
    shutil.copytree(root / "published" / "bloom_2", root / "published" / "bloom_3")


def _old_schema(root: Path) -> None:
    (root / "aliases.schema.json").write_text("{}", encoding="utf-8")


def _old_package(root: Path) -> None:
    (root / "datapackage.json").write_text('{"version": "0"}', encoding="utf-8")


@pytest.mark.parametrize(
    ("broken", "expected"),
    [
        (_repeat_first_row, "catalogue.csv, line 5, column cultivar_id: says again what line 2 says"),
        (_repeat_observation, "column cultivar_id: says again what line 2 says"),
        (_short_row, "catalogue.csv, line 2: 4 cells, 5 columns"),
        (_other_columns, "catalogue.csv, line 1: columns are"),
        (_latin_1, "aliases.csv: byte"),
        (_missing_table, "aliases.csv is missing"),
        (_unknown_table, "extra.csv is described by no schema"),
        (
            _unknown_source,
            "published/bloom_2/facts.csv, line 2, column source_id: 'nobody' is not in published/bloom_2/so",
        ),
        (_blank_trait, "published/bloom_2/facts.csv, line 2, column trait: blank"),
        (_unknown_published_table, "published/bloom_2/fact.csv is described by no schema"),
        (_unlisted_folder, "published/bloom_3 is not in published/folders.csv"),
        (_old_schema, "aliases.schema.json is not what the tables give"),
        (_old_package, "datapackage.json is not what the tables give"),
    ],
)
def test_a_bad_table_is_refused(sample: Path, broken: Callable[[Path], None], expected: str) -> None:
    broken(sample)
    assert any(expected in fault for fault in check(sample))


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.path)
def test_every_column_has_an_example_of_its_own_kind(table: Table) -> None:
    for column in table.columns:
        assert column.example, column.name
        for part in column.example.split(column.separator) if column.separator else [column.example]:
            assert not column.enum or part in column.enum
            assert not column.pattern or re.fullmatch(column.pattern, part)
        if column.type != "string":
            assert math.isfinite(float(column.example))
