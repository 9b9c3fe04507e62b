"""The tables as the program reads them: a bad row is refused by file, line and column; names lead to cultivars."""

import csv
import shutil
from collections import Counter
from pathlib import Path

import pytest

import reference_tables
from domain.common.names import NameIndex
from domain.tables import loading as tables
from domain.tables.loading import TableError, Tables, needed_files
from domain.tables.observations import without_documents
from reference_tables.building.package import write_package

COMMITTED = Path(reference_tables.__file__).parent


@pytest.fixture(scope="module")
def known() -> Tables:
    return tables.load()


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    for name in needed_files(COMMITTED):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(COMMITTED / name, tmp_path / name)
    return tmp_path


@pytest.mark.parametrize(
    ("name", "column", "cell", "expected"),
    [
        ("catalogue.csv", "status", "best", "catalogue.csv, line 2, column status"),
        ("catalogue.csv", "name", "", "catalogue.csv, line 2: Object missing required field `name`"),
        ("catalogue.csv", "sport_of", "nobody", "catalogue.csv, line 2, column sport_of: unknown 'nobody'"),
        ("observations/bloom.csv", "low", "early", "bloom.csv, line 2, column low"),
        ("observations/bloom.csv", "source_id", "nobody", "bloom.csv, line 2, column source_id: unknown 'nobody'"),
        ("observations/chill.csv", "cultivar_id", "nobody", "chill.csv, line 2, column cultivar_id: unknown 'nobody'"),
        ("adopted/numbers.csv", "deviation", "wide", "numbers.csv, line 2, column deviation"),
        ("adopted/numbers.csv", "basis", "guess", "numbers.csv, line 2, column basis"),
        ("adopted/findings.csv", "sources", "nobody", "findings.csv, line 2, column sources: unknown 'nobody'"),
        ("aliases.csv", "cultivar_id", "nobody", "aliases.csv, line 2, column cultivar_id: unknown 'nobody'"),
    ],
)
def test_a_bad_row_is_refused(copied: Path, name: str, column: str, cell: str, expected: str) -> None:
    path = copied / name
    with path.open(encoding="utf-8", newline="") as lines:
        header, *rows = csv.reader(lines)
    rows[0][header.index(column)] = cell
    with path.open("w", encoding="utf-8", newline="") as lines:
        csv.writer(lines, lineterminator="\n").writerows([header, *rows])
    write_package(copied)
    with pytest.raises(TableError, match="line 2") as refused:
        tables.load(copied)
    assert str(refused.value).startswith(expected)


def test_a_cultivar_that_stands_twice_is_refused(copied: Path) -> None:
    path = copied / "catalogue.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join([*lines, lines[1]]) + "\n", encoding="utf-8")
    write_package(copied)
    with pytest.raises(TableError, match=f"line {len(lines) + 1}, column cultivar_id: .* stands twice"):
        tables.load(copied)


def test_a_row_of_too_few_cells_is_refused(copied: Path) -> None:
    with (copied / "aliases.csv").open("a", encoding="utf-8") as lines:
        lines.write("gala,Gal\n")
    write_package(copied)
    with pytest.raises(TableError, match=r"aliases.csv, line \d+: 2 cells, 4 columns"):
        tables.load(copied)


@pytest.mark.parametrize(("content", "told"), [(b"", "aliases.csv is empty"), (b"\xff\n", "byte 0 is not UTF-8")])
def test_an_empty_or_binary_table_is_refused_even_when_it_was_described(
    copied: Path, content: bytes, told: str
) -> None:
    (copied / "aliases.csv").write_bytes(content)
    write_package(copied)
    with pytest.raises(TableError, match=told):
        tables.load(copied)


def test_shelves_are_as_large_as_promised(known: Tables) -> None:
    statuses = Counter(cultivar.status for cultivar in known.cultivars)
    assert statuses["advised"] >= 280
    assert statuses["listed"] >= 700
    recommended = [cultivar for cultivar in known.cultivars if cultivar.recommended_by]
    assert sum(cultivar.status == "advised" for cultivar in recommended) >= 0.7 * len(recommended)


def test_a_document_can_be_left_out_by_its_address(known: Tables) -> None:
    url = "https://github.com/MylesLab/abc-phenomics"
    kept = without_documents(known.by_topic["bloom"], known.sources, frozenset({url}))
    assert 0 < len(kept) < len(known.by_topic["bloom"])
    assert all(known.sources[observation.source_id].url != url for observation in kept)


def test_a_document_without_an_address_is_left_out_by_its_id_and_alone(known: Tables) -> None:
    """By a blank address all that have none would go, or none of them."""
    told = known.by_topic["recommendations"]
    (document,) = {o.source_id for o in told if o.list_id == "us-ky" and not known.sources[o.source_id].url}
    kept = without_documents(told, known.sources, frozenset({known.sources[document].document}))
    assert {o.source_id for o in told} - {o.source_id for o in kept} == {document}


@pytest.mark.parametrize(
    ("names", "cultivar_id"),
    [
        (
            ["Cox's Orange Pippin", "coxs orange pippin", "COX’S ORANGE-PIPPIN", "Cox Orange", "cox"],
            "cox-s-orange-pippin",
        ),
        (["Klarapfel", "Weißer Klarapfel", "Papierówka", "White Transparent"], "yellow-transparent"),
        (["Katy", "Katja"], "katja"),
        (["Flamenco", "Obelisk"], "obelisk"),
        (["Co-op 33", "Pixie Crunch", "co op 33"], "co-op-33"),
        (["Zestar!", "Zestar", "Minnewashta"], "minnewashta"),
        (["Delicious", "Red Delicious"], "delicious"),
        (["Åkerö", "Akero", "Aakeroe"], "akero"),
        (["Boskoop", "Belle de Boskoop", "Schöner aus Boskoop", "Goudreinet"], "belle-de-boskoop"),
        (["Roter Boskoop", "Red Boskoop"], "roter-boskoop"),
        (["Zabergäu Renette", "Zabergaeu Reinette", "Zabergau-Renette"], "zabergau-renette"),
        (["Pink Lady®", "Cripps Pink"], "cripps-pink"),
        (["Golden Delicious apple", "Malus domestica 'Golden Delicious'"], "golden-delicious"),
        (["Goldparmäne", "King of the Pippins", "Reine des Reinettes"], "reine-des-reinettes"),
        (["Duchess", "Oldenburg", "Charlamowsky", "Borovitsky"], "duchess-of-oldenburg"),
        (["Reneta Kanadyjska", "Reineta Blanca del Canadá", "Kanadarenette"], "reinette-du-canada"),
        (["Dolgo crab", "Dolgo Crabapple", "Dolgo"], "dolgo"),
        (["Shampion", "Šampion", "Szampion"], "shampion"),
    ],
)
def test_every_name_in_use_leads_to_its_cultivar(known: Tables, names: list[str], cultivar_id: str) -> None:
    assert {name: known.names.resolve(name) for name in names} == dict.fromkeys(names, cultivar_id)


def test_a_sport_is_not_its_parent(known: Tables) -> None:
    red_fuji = known.names.resolve("Red Fuji")
    assert red_fuji is not None
    assert red_fuji != known.names.resolve("Fuji")
    assert known.by_id[red_fuji].sport_of == "fuji"


def test_every_denomination_alias_and_id_resolves_to_itself(known: Tables) -> None:
    for cultivar in known.cultivars:
        for name in (cultivar.id, cultivar.name, *(alias.name for alias in cultivar.aliases)):
            assert known.names.resolve(name) == cultivar.id, name


def test_a_mistyped_name_gets_the_nearest(known: Tables) -> None:
    assert known.names.resolve("Grany Smit") is None
    assert known.names.nearest("Grany Smit")[0] == "Granny Smith"
    assert "Cox's Orange Pippin" in known.names.nearest("Coks Oragne Pipin")
    assert len(known.names.nearest("zzz")) <= 5


def test_a_loose_spelling_that_fits_two_cultivars_fits_none() -> None:
    index = NameIndex({"first": "Brown's Crab", "second": "Brown Apple"}, [])
    assert index.resolve("Browns crab") == "first"
    assert index.resolve("brown-apple") == "second"
    assert index.resolve("Brown") is None
