"""Evidence that is not about one cultivar: bud temperatures, disease weather, chill of places, rootstocks, practice."""

import re
from collections.abc import Iterator

from reference_tables.collect import values
from reference_tables.collect.evidence import Folder, Row
from reference_tables.spelling import slug

_TABLES = {
    "critical_bud_temperatures": [("space", "bud_temps")],
    "disease_pressure": [("disease_growth", "pressure")],
    "chill_of_places": [("chill", "regions"), ("low_chill", "regions"), ("normals", "chill")],
    "pollination_practice": [("pollination", "practice")],
    "orchard_practice": [("from_memory", "practice")],
    "warm_winter_practice": [("low_chill", "practice")],
    "bloom_overlap": [("bloom", "overlap")],
    "storage_and_picking": [("ripening", "season_rules")],
    "recommended_list_regions": [("recommended_lists", "regions")],
}
"""Rule table -> the tables of evidence (folder, table) that it joins."""

_RENAMED = {
    "lat": "latitude",
    "lon": "longitude",
    "jan": "january",
    "feb": "february",
    "mar": "march",
    "apr": "april",
    "jun": "june",
    "jul": "july",
    "aug": "august",
    "sep": "september",
    "oct": "october",
    "nov": "november",
    "dec": "december",
}


def rules(folders: list[Folder], source_ids: dict[tuple[str, str], str]) -> dict[str, list[Row]]:
    """Rule tables with merged source ids, one set of columns each, equal rows once."""
    tables: dict[str, list[Row]] = {}
    for name, parts in _TABLES.items():
        rows: list[Row] = []
        for folder, row in _rows(folders, parts):
            renamed = {_RENAMED.get(column, column): cell for column, cell in row.items()}
            for column in ("source_id", "climate_source_id"):
                if renamed.get(column):
                    renamed[column] = source_ids[folder.name, renamed[column]]
            rows.append(renamed)
        columns = list(dict.fromkeys(column for row in rows for column in row))
        unique = {tuple(row.get(column, "") for column in columns): row for row in rows}
        if unique:
            tables[name] = [dict(zip(columns, cells, strict=True)) for cells in unique]
    return tables


def _rows(folders: list[Folder], parts: list[tuple[str, str]]) -> Iterator[tuple[Folder, Row]]:
    for subject, table in parts:
        for folder in folders:
            if folder.subject == subject:
                yield from ((folder, row) for row in folder.rows(table))


def rootstocks(folders: list[Folder], source_ids: dict[tuple[str, str], str]) -> list[Row]:
    """Observations of rootstocks and trained forms; synonyms resolved, ids as of cultivars."""
    rows: list[Row] = []
    for folder in folders:
        if folder.subject != "space":
            continue
        aliases = {row["alias"].lower(): row["cultivar"] for row in folder.rows("aliases")}
        for row in folder.rows("facts"):
            if row["trait"] == "trait":
                continue
            name = aliases.get(row["cultivar"].lower(), row["cultivar"])
            low, high = values.parse(row["value"], row["unit"])
            rows.append(
                {
                    "rootstock_id": slug(re.sub(r"\.(?=\d)", " ", name)),
                    "name": name,
                    "trait": row["trait"],
                    "published": row["value"],
                    "low": "" if low is None else f"{low:.10g}",
                    "high": "" if high is None else f"{high:.10g}",
                    "unit": row["unit"],
                    "scheme": row["scheme"],
                    "source_id": source_ids[folder.name, row["source_id"]],
                    "locator": row["locator"],
                    "note": row["note"],
                }
            )
    unique = {tuple(row.values()): row for row in rows}
    return sorted(unique.values(), key=lambda row: tuple(row.values()))
