"""Draws, before they are read, which of the documents entered last stay unseen: they judge what the others built.

``python -m reference_tables.building.draw`` writes `published/unseen.csv`; with ``--check`` it compares. A document is
drawn if the digest of its address is a multiple of five, whatever it holds, and in every folder that cites it. One that
an older folder cites was read already and is not drawn.
"""

import argparse
import csv
import hashlib
import io
import re
import sys
from collections.abc import Iterable
from pathlib import Path

import reference_tables
from reference_tables.building import documents
from reference_tables.building.published import Folder, Row, read_folders

DRAWN_FROM = (
    "recommended_lists_2",
    "warm_phenology",
    "witnesses",
    "famous_traits",
    "missing_cultivars",
    "diagnosis",
    "picking_services",
    "witnesses_found_4",
    "witnesses_found_6",
)
"""The folders that the draw was made for; of the last three the rows were entered by the one who read them."""

_ONE_IN = 5
_WORDS_OF_A_TITLE = 5
"""From so many words on a title stands for one document, at whatever addresses it was read."""

_COLUMNS = ("folder", "source_id", "document")


def main() -> None:
    """Write or compare the draw, and print how many documents of each folder it holds."""
    parser = argparse.ArgumentParser(prog="python -m reference_tables.building.draw", description=__doc__)
    parser.add_argument("--check", action="store_true", help="compare with what stands instead of writing")
    arguments = parser.parse_args()
    path = Path(reference_tables.__file__).parent / "published" / "unseen.csv"
    folders = read_folders(path.parent)
    rows = draw(folders)
    text = io.StringIO()
    writer = csv.DictWriter(text, _COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    if arguments.check:
        if path.read_text(encoding="utf-8") != text.getvalue():
            sys.exit("published/unseen.csv is not what the documents give")
    else:
        path.write_text(text.getvalue(), encoding="utf-8")
    for folder in folders:
        if folder.name in DRAWN_FROM:
            drawn = sum(row["folder"] == folder.name for row in rows)
            print(f"{folder.name:24} {drawn:4} of {len(folder.rows('sources')):4} documents stay unseen")


def draw(folders: Iterable[Folder]) -> list[Row]:
    """The sources of the folders in `DRAWN_FROM` that stay unseen, with the digest each document was drawn by."""
    older: list[Folder] = []
    newer: list[Folder] = []
    for folder in folders:
        (newer if folder.name in DRAWN_FROM else older).append(folder)
    _, ids = documents.join([*older, *newer])
    known_titles = {_long_title(row) for folder in older for row in folder.rows("sources")} - {""}
    read_before = {ids[folder.name, row["source_id"]] for folder in older for row in folder.rows("sources")}
    digests: dict[str, str] = {}
    for folder in newer:
        for row in folder.rows("sources"):
            document = ids[folder.name, row["source_id"]]
            digests.setdefault(document, _digest(row))
            if _long_title(row) in known_titles:
                read_before.add(document)
    drawn = {document for document, digest in digests.items() if int(digest, 16) % _ONE_IN == 0} - read_before
    return [
        {"folder": folder.name, "source_id": row["source_id"], "document": digests[document]}
        for folder in newer
        for row in folder.rows("sources")
        if (document := ids[folder.name, row["source_id"]]) in drawn
    ]


def _long_title(row: Row) -> str:
    words: list[str] = re.findall(r"\w+", row["title"].lower())
    return " ".join(words) if len(words) >= _WORDS_OF_A_TITLE else ""


def _digest(row: Row) -> str:
    """The digest of what names a document: a long title, else its address, else its id."""
    name = _long_title(row) or documents.address(row["url"]) or row["source_id"]
    return hashlib.sha256(name.encode()).hexdigest()


if __name__ == "__main__":
    main()
