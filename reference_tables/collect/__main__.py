"""Builds reference_tables from raw evidence: sources, observations, aliases, catalogue and rules.

``python -m reference_tables.collect --evidence DIR [DIR ...]``; the folders that the repository itself carries
(`added_evidence`, `names`) are joined to those given.
"""

import argparse
from collections import defaultdict
from pathlib import Path

import reference_tables
from reference_tables.collect import catalogue, denominations, documents, observations, rules
from reference_tables.collect.evidence import Row, read_folders, read_table
from reference_tables.collect.observations import Raw
from reference_tables.collect.write import write_table
from reference_tables.package import write_descriptions
from reference_tables.schemas import TABLES
from reference_tables.spelling import key

_COLUMNS = {table.path: tuple(column.name for column in table.columns) for table in TABLES}

_CITING = ("source_id", "climate_source_id")

HERE = Path(reference_tables.__file__).parent

_CARRIED = ("climate/climate", "space/space")
"""Folders of the repository whose tables are used as they are, and whose sources are therefore all cited."""


def main() -> None:
    """Read the folders, write the tables, print what they hold."""
    parser = argparse.ArgumentParser(prog="python -m reference_tables.collect", description=__doc__)
    parser.add_argument("--evidence", type=Path, nargs="+", required=True, help="folders of raw evidence")
    parser.add_argument("--into", type=Path, default=HERE, help="where the tables are written")
    arguments = parser.parse_args()
    counts = collect(arguments.evidence, arguments.into)
    for name, count in counts.items():
        print(f"{name:32} {count:6}")


def collect(
    evidence: list[Path],
    into: Path,
    added: tuple[Path, ...] = (HERE / "added_evidence", HERE / "climate", HERE / "space"),
    by_hand: Path = HERE / "names",
) -> dict[str, int]:
    """Build every table below `into`; the number of rows of each.

    evidence: folders of raw evidence. added: folders that the repository carries (climate and space for their sources).
    by_hand: aliases and decisions on names.
    """
    folders = read_folders([*evidence, *added, by_hand])
    sources, source_ids = documents.join(folders)
    decided = denominations.decisions(read_table(by_hand / "decisions.csv"))
    aliases = denominations.evidence_aliases(folders, source_ids)
    raw = observations.read(folders, source_ids)
    raw += [_sport(sport, parent, source) for sport, (parent, source) in decided.sports.items()]
    names = denominations.resolve_names(_documents_by_name(raw), aliases, decided)
    raw = observations.without_double_counting(raw, names)
    ids = catalogue.served(raw, names, sources, decided)
    parents = catalogue.sports(raw, names, decided)
    topics = observations.resolved(raw, names, ids)
    crab_apples = frozenset(filter(None, (names.id_of_key.get(k) for k in decided.crab_apples)))
    catalogue_rows = catalogue.catalogue(topics, names, ids, parents, crab_apples)
    alias_rows = _alias_rows(names, aliases, ids, raw)
    rule_tables = rules.rules(folders, source_ids)
    rootstock_rows = rules.rootstocks(folders, source_ids)

    tables: dict[str, list[Row]] = {"catalogue": catalogue_rows, "aliases": alias_rows}
    tables |= {f"observations/{topic}": rows for topic, rows in sorted(topics.items())}
    tables["observations/rootstocks"] = rootstock_rows
    tables |= {f"rules/{name}": rows for name, rows in rule_tables.items()}
    cited = {row[column] for rows in tables.values() for row in rows for column in _CITING if row.get(column)}
    cited |= {
        source_ids[folder.name, row["source_id"]]
        for folder in folders
        if folder.name in _CARRIED
        for row in folder.rows("sources")
    }
    tables["sources"] = [row for row in sources if row["source_id"] in cited]
    for name, rows in tables.items():
        write_table(into / f"{name}.csv", rows, _COLUMNS[name])
    write_descriptions(into)
    shelves = [row["shelf"] for row in catalogue_rows]
    return {name: len(rows) for name, rows in tables.items()} | {
        f"shelf {shelf}": shelves.count(shelf) for shelf in ("advised", "listed")
    }


def _sport(sport: str, parent: str, source_id: str) -> Raw:
    blank = dict.fromkeys(
        ("unit", "scheme", "list_id", "place", "country", "latitude", "longitude", "years", "locator", "note"), ""
    )
    return Raw(
        cultivar=sport,
        topic="pollination",
        trait="sport_of",
        published=parent,
        low=None,
        high=None,
        source_id=source_id,
        **blank,
    )


def _documents_by_name(raw: list[Raw]) -> dict[str, set[str]]:
    documents_by_name: defaultdict[str, set[str]] = defaultdict(set)
    for entry in raw:
        documents_by_name[entry.cultivar].add(entry.source_id)
        if entry.trait == "sport_of":
            documents_by_name[entry.published].add(entry.source_id)
        if entry.trait == "cross":
            documents_by_name[entry.scheme.removeprefix("pollen of ")].add(entry.source_id)
    return documents_by_name


def _alias_rows(names: denominations.Names, aliases: list[Row], ids: frozenset[str], raw: list[Raw]) -> list[Row]:
    """Other names of the cultivars served, once each: as stated by an alias table, else a spelling of a document."""
    printed_by = {entry.cultivar: entry.source_id for entry in reversed(raw)}
    stated = {row["alias"]: row for row in reversed(aliases)} | {
        row["cultivar"]: row for row in aliases if row["cultivar"] not in printed_by
    }
    rows = []
    for cultivar_id in sorted(ids):
        denomination = names.denomination[cultivar_id]
        for name in names.spellings[cultivar_id]:
            row = stated.get(name)
            kind = row["kind"] if row and name == row["alias"] else "synonym"
            if key(name) == key(denomination):
                kind = "spelling"
            source = row["source_id"] if row else printed_by.get(name, "from-memory")
            rows.append({"cultivar_id": cultivar_id, "alias": name, "kind": kind, "source_id": source})
    return rows


if __name__ == "__main__":
    main()
