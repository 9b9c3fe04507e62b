"""The documents that stay unseen: drawn by a fixed rule, and nothing that is built holds a row of theirs."""

import csv
from pathlib import Path

import pytest

import reference_tables
from reference_tables.building.build import build
from reference_tables.building.documents import address
from reference_tables.building.draw import DRAWN_FROM, draw
from reference_tables.building.published import Folder, Row, read_folders, read_table

ROOT = Path(reference_tables.__file__).parent
DRAWN = read_table(ROOT / "published" / "unseen.csv")


@pytest.fixture(scope="module")
def folders() -> list[Folder]:
    return read_folders(ROOT / "published")


def documents(folders: list[Folder], *, drawn: bool) -> list[Row]:
    """Sources of the folders drawn from that stay unseen, or the others."""
    unseen = {(row["folder"], row["source_id"]) for row in DRAWN}
    return [
        row
        for folder in folders
        if folder.name in DRAWN_FROM
        for row in folder.rows("sources")
        if ((folder.name, row["source_id"]) in unseen) == drawn
    ]


def pages(sources: list[Row]) -> set[str]:
    """Addresses of single pages: what gives only a site may be one of several documents there."""
    return {page for row in sources if "/" in (page := address(row["url"]))}


def test_the_draw_is_what_the_rule_gives(folders: list[Folder]) -> None:
    assert draw(folders) == DRAWN


def test_about_a_fifth_of_the_documents_of_each_folder_is_drawn(folders: list[Folder]) -> None:
    for name in DRAWN_FROM:
        (folder,) = (one for one in folders if one.name == name)
        share = sum(row["folder"] == name for row in DRAWN) / len(folder.rows("sources"))
        print(f"{name:22} {share:.0%} of {len(folder.rows('sources'))} documents stay unseen")
        assert 0.1 < share < 0.3


def test_a_document_is_drawn_in_every_folder_or_in_none(folders: list[Folder]) -> None:
    unseen = pages(documents(folders, drawn=True))
    older = [row for folder in folders if folder.name not in DRAWN_FROM for row in folder.rows("sources")]
    assert len(unseen) > 150
    assert unseen & pages([*documents(folders, drawn=False), *older]) == set()


def test_no_table_holds_a_row_of_an_unseen_document(folders: list[Folder]) -> None:
    unseen = {row["source_id"] for row in DRAWN}
    for name, rows in build(ROOT).items():
        for column in ("source_id", "climate_source_id"):
            assert not unseen & {row.get(column) for row in rows}, name
    assert not pages(read_table(ROOT / "sources.csv")) & pages(documents(folders, drawn=True))


def test_adopted_values_rest_on_no_unseen_document() -> None:
    unseen = {row["source_id"] for row in DRAWN}
    for path in sorted((ROOT / "adopted").glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as lines:
            for row in csv.DictReader(lines):
                assert not unseen & {*row.get("sources", "").split(";"), row.get("source_id")}, path.name


def test_another_address_gives_another_draw() -> None:
    source = dict.fromkeys(("source_id", "kind", "authors", "title", "publisher", "year", "url", "licence", "note"), "")
    rows = [source | {"source_id": f"s{n}", "title": "Apples", "url": f"https://example.org/{n}"} for n in range(200)]
    drawn = {row["source_id"] for row in draw([Folder("witnesses", {"sources": rows})])}
    assert 20 < len(drawn) < 60
    moved = [row | {"source_id": f"t{n}"} for n, row in enumerate(rows)]
    both = draw([Folder("witnesses", {"sources": rows}), Folder("diagnosis", {"sources": moved})])
    assert {row["source_id"][1:] for row in both if row["folder"] == "diagnosis"} == {one[1:] for one in drawn}
    assert draw([Folder("bloom", {"sources": rows}), Folder("diagnosis", {"sources": moved})]) == []


def test_an_encyclopedia_read_in_a_copy_is_linked_itself_with_its_terms(folders: list[Folder]) -> None:
    """A copy has other terms or none. Of the folders drawn from no address may change: the draw was made by it."""
    read = [row for folder in folders if folder.name not in DRAWN_FROM for row in folder.rows("sources")]
    told = [row for row in read if row["publisher"].startswith("Wikipedia") and row["url"]]
    assert len(told) > 20
    assert [
        (row["source_id"], row["url"], row["licence"])
        for row in told
        if "wikipedia.org/" not in row["url"] or row["licence"] != "CC BY-SA"
    ] == []
