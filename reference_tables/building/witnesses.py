"""What is grown, recommended, tried, rejected, failed or removed where: one row a cultivar, place and document.

``python -m reference_tables.building.witnesses`` counts the rows by kind, and names the cultivars that were not joined.
"""

from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import reference_tables
from reference_tables.building import documents
from reference_tables.building.denominations import Names
from reference_tables.building.published import Folder, Row, read_folders, read_table, without_unseen
from reference_tables.building.schemas.witnesses import LISTED_KINDS, TABLES
from reference_tables.spelling import keys

HERE = Path(reference_tables.__file__).parent

_COLUMNS = tuple(column.name for column in TABLES[0].columns)


def read(folders: Iterable[Folder], source_ids: dict[tuple[str, str], str], sources: Iterable[Row]) -> list[Row]:
    """Witnesses of the folders with the cultivar as printed; a recommended list speaks in the year of its document.

    The lists of a folder that is read whole are left to `observations/recommendations`, which checks rest on.
    """
    years = {row["source_id"]: row["year"] if row["year"].isdigit() else "" for row in sources}
    rows: list[Row] = []
    for folder in folders:
        for row in folder.rows("witnesses"):
            rows.append(row | {"list_id": "", "source_id": source_ids[folder.name, row["source_id"]]})
        for row in folder.rows("recommendations") if folder.read == "witnesses" else ():
            source_id = source_ids[folder.name, row["source_id"]]
            rows.append(
                row
                | {
                    "place": row["region"],
                    "kind": LISTED_KINDS[row["verdict"]],
                    "year": years[source_id],
                    "words": row["reason"],
                    "first_pick": "",
                    "last_pick": "",
                    "source_id": source_id,
                    "note": f"{row['basis']} in the list",
                }
            )
    return rows


def joined(witnesses: Iterable[Row], names: Names, served: frozenset[str]) -> list[Row]:
    """The rows of cultivars that are served, by their ids, sorted, each once; other names are not joined."""
    found: dict[tuple[str, ...], Row] = {}
    for row in witnesses:
        cultivar_id = names.resolve(row["cultivar"])
        if cultivar_id is not None and cultivar_id in served:
            whole = {column: (row | {"cultivar_id": cultivar_id})[column] for column in _COLUMNS}
            found[tuple(whole.values())] = whole
    return [found[cells] for cells in sorted(found)]


def unjoined(witnesses: Iterable[Row], known: Iterable[str]) -> Counter[str]:
    """Name as printed -> rows, of names that no cultivar of the catalogue bears; `known` are its names and aliases."""
    borne = {k for name in known for k in keys(name)}
    return Counter(row["cultivar"] for row in witnesses if not borne.intersection(keys(row["cultivar"])))


def main() -> None:
    """Print the rows by kind, joined and not, and the names not joined with their rows."""
    entered = [folder for folder in read_folders(HERE / "published") if folder.read != "later"]
    sources, source_ids = documents.join(entered)
    seen = without_unseen(entered, source_ids, read_table(HERE / "published" / "unseen.csv"))
    rows = read(seen, source_ids, sources)
    built = read_table(HERE / "observations" / "witnesses.csv")
    known = [row["name"] for row in read_table(HERE / "catalogue.csv")]
    known += [row["alias"] for row in read_table(HERE / "aliases.csv")]
    missing = unjoined(rows, known)
    by_kind = Counter(row["kind"] for row in built)
    for kind, count in Counter(row["kind"] for row in rows).most_common():
        print(f"{kind:20} {count:5} entered {by_kind[kind]:5} joined")
    print(f"{missing.total()} rows of {len(missing)} names are not joined:")
    print("; ".join(f"{name} ({count})" for name, count in missing.most_common()))


if __name__ == "__main__":
    main()
