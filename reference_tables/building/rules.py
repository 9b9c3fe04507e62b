"""What was published that is not about one cultivar: bud temperatures, disease weather, chill, rootstocks, practice."""

import re

from reference_tables.building import values
from reference_tables.building.published import Folder, Row
from reference_tables.building.schemas import TABLES
from reference_tables.spelling import slug

_PREFIX = "rules/"
_RULES = {
    table.path.removeprefix(_PREFIX): [column.name for column in table.columns]
    for table in TABLES
    if table.path.startswith(_PREFIX)
}
"""Rule table -> its columns; a folder holds it under the same name."""


def rules(folders: list[Folder], source_ids: dict[tuple[str, str], str]) -> dict[str, list[Row]]:
    """Rule tables with the sources' final ids, the folders' rows one after another, equal rows once."""
    tables: dict[str, list[Row]] = {}
    for name, columns in _RULES.items():
        unique: dict[tuple[str, ...], Row] = {}
        for folder in folders:
            for row in folder.rows(name):
                cited = {
                    column: source_ids[folder.name, row[column]]
                    for column in ("source_id", "climate_source_id")
                    if row.get(column)
                }
                whole = {column: row.get(column, "") for column in columns} | cited
                unique.setdefault(tuple(whole.values()), whole)
        if unique:
            tables[name] = list(unique.values())
    return tables


def rootstocks(folders: list[Folder], source_ids: dict[tuple[str, str], str]) -> list[Row]:
    """Observations of rootstocks and trained forms; synonyms resolved, ids as of cultivars."""
    aliases = {row["alias"].lower(): row["rootstock"] for folder in folders for row in folder.rows("rootstock_aliases")}
    rows: list[Row] = []
    for folder in folders:
        for row in folder.rows("rootstocks"):
            name = aliases.get(row["rootstock"].lower(), row["rootstock"])
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
