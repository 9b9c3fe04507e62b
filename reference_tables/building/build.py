"""Every table that follows from `published/`, as rows in memory."""

from collections import defaultdict
from collections.abc import Mapping
from pathlib import Path

from reference_tables.building import (
    catalogue,
    denominations,
    documents,
    identity,
    observations,
    picked_where_grown,
    places,
    rules,
    witnesses,
)
from reference_tables.building.observations import Raw
from reference_tables.building.published import Row, read_folders, read_table, without_unseen
from reference_tables.building.schemas import TABLES
from reference_tables.building.schemas.rules import KEPT
from reference_tables.spelling import key

ENTERED_IN_PLACE = (
    "fruits/",
    "parameters/",
    "words/",
    "space/form_values_set_aside",
    "space/rootstock_classes",
    "space/rootstock_size_classes",
)
"""Tables that are written by hand where they stand: figures, words, and what the reading of words goes by."""

BUILT = tuple(table.path for table in TABLES if not table.path.startswith(("adopted/", *ENTERED_IN_PLACE)))
"""The tables that follow from `published/`; one that nothing was published for stands with its header alone."""

_CITING = ("source_id", "climate_source_id")

AS_ENTERED = {
    "climate": ("place_heights", "station_ranges", "station_spreads", "winter_minima", "yearly_rain"),
    "space": ("commonly_sold", "rootstock_words", "set_backs", "tree_form_practice", "tree_forms"),
}
"""Directory of tables that are used as they were entered -> their names; entered in the folder of the same name."""

_CITED_WHOLE = "climate"
"""The folder whose sources all stand in `sources.csv`: its arrays rest on documents that no row names."""

_SIMULATED = ("simulated_c", "coldest_nights_c")
"""Columns of `climate/winter_minima` that `python -m domain.adoption.climates` computes."""


def build(root: Path, *, unseen: bool = False) -> dict[str, list[Row]]:
    """Table -> rows, of every table that follows from `root/published`; those of the documents kept unseen on wish.

    What `python -m domain.adoption.climates` simulates for the towns of `climate/winter_minima` is kept from the table
    that stands below `root`, as long as the town stays where it is.
    """
    entered = [folder for folder in read_folders(root / "published") if folder.read != "later"]
    decided = denominations.decisions(row for folder in entered for row in folder.rows("decisions"))
    sources, source_ids = documents.join(entered, decided.same_documents)
    if not unseen:
        entered = without_unseen(entered, source_ids, read_table(root / "published" / "unseen.csv"))
    folders = [folder for folder in entered if folder.read == "whole"]
    aliases = denominations.published_aliases(folders, source_ids)
    raw = observations.read(folders, source_ids)
    raw += observations.crosses((folder for folder in entered if folder.read == "witnesses"), source_ids)
    countries = {row["code"]: row["name"] for row in read_table(root / "published" / "countries.csv")}
    picked = picked_where_grown.read(entered, source_ids, raw, countries)
    placed = places.pinned_once(places.spelled_once(raw + picked, decided.same_places))
    raw, picked = placed[: len(raw)], placed[len(raw) :]
    raw += [_sport(sport, parent, source) for sport, (parent, source) in decided.sports.items()]
    names = denominations.resolve_names(_documents_by_name(raw), aliases, decided)
    told = identity.agreeing(observations.without_double_counting(raw + picked, names), names, sources, decided)
    raw = [entry for entry in told if not picked_where_grown.is_one(entry)]
    ids = catalogue.served(raw, names, sources, decided)
    parents = catalogue.sports(raw, names, decided)
    topics = observations.resolved(told, names, ids)
    crab_apples = frozenset(filter(None, (names.id_of_key.get(k) for k in decided.crab_apples)))

    tables: dict[str, list[Row]] = {
        "catalogue": catalogue.catalogue(topics, names, ids, parents, crab_apples),
        "aliases": _alias_rows(names, aliases, ids, raw),
    }
    tables |= {f"observations/{topic}": rows for topic, rows in sorted(topics.items())}
    tables["observations/witnesses"] = witnesses.joined(witnesses.read(entered, source_ids, sources), names, ids)
    tables["observations/rootstocks"] = rules.rootstocks(folders, source_ids)
    tables |= {f"rules/{name}": rows for name, rows in rules.rules(folders, source_ids).items()}
    for folder in folders:
        for table in AS_ENTERED.get(folder.name, ()):
            tables[f"{folder.name}/{table}"] = [
                row | {"source_id": source_ids[folder.name, row["source_id"]]} if "source_id" in row else row
                for row in folder.rows(table)
            ]
    if "climate/winter_minima" in tables:
        _keep_simulated(tables["climate/winter_minima"], read_table(root / "climate" / "winter_minima.csv"))
    cited = {row[column] for rows in tables.values() for row in rows for column in _CITING if row.get(column)}
    cited |= {
        source_ids[folder.name, row[column]]
        for folder in folders
        for name in KEPT
        for row in folder.rows(name)
        for column in _CITING
        if row.get(column)
    }
    cited |= {source_id for (folder_name, _), source_id in source_ids.items() if folder_name == _CITED_WHOLE}
    tables["sources"] = [row for row in sources if row["source_id"] in cited]
    return {table: tables.get(table, []) for table in BUILT}


def fewer(before: Mapping[str, int], tables: Mapping[str, list[Row]]) -> list[str]:
    """What a build would lose: each table with fewer rows than stand, `catalogue` and `sources` among them."""
    return [
        f"{table}.csv would have {len(tables[table])} rows, {count} stand"
        for table, count in before.items()
        if len(tables[table]) < count
    ]


def _keep_simulated(towns: list[Row], standing: list[Row]) -> None:
    entered = ("place", "latitude", "longitude", "elevation_m")
    simulated = {tuple(row[column] for column in entered): row for row in standing}
    for town in towns:
        before = simulated.get(tuple(town[column] for column in entered), {})
        town.update({column: before.get(column, "") for column in _SIMULATED})


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
