"""The description of the whole: one schema beside each table and `datapackage.json` (Data Package, version 2)."""

import csv
import json
from pathlib import Path

from reference_tables.schemas import TABLES, descriptor

VERSION = "1.0.0"
"""Version of the tables: raise the last number for new evidence, the middle one for new columns."""

_LICENCE_NOTE = (
    "Single facts and figures with their sources, restated in the project's own form. The documents keep their own "
    "rights; a licence is named with a source where it is known."
)


def write_descriptions(root: Path) -> None:
    """Write `<table>.schema.json` beside every table that stands below `root`, and `datapackage.json`."""
    for table in TABLES:
        if (root / f"{table.path}.csv").exists():
            (root / f"{table.path}.schema.json").write_text(_json(descriptor(table)), encoding="utf-8")
    (root / "datapackage.json").write_text(_json(package(root)), encoding="utf-8")


def package(root: Path) -> dict[str, object]:
    """The data package of the tables below `root`."""
    with (root / "sources.csv").open(encoding="utf-8", newline="") as lines:
        sources = [
            {"title": row["title"]} | ({"path": row["url"]} if row["url"] else {}) for row in csv.DictReader(lines)
        ]
    return {
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": "variety-siting-tables",
        "title": "Apple cultivars: what was published of them, and what was adopted from it",
        "description": _LICENCE_NOTE,
        "version": VERSION,
        "licenses": [
            {"name": "Copernicus", "path": "https://cds.climate.copernicus.eu/licences/licence-to-use-copernicus-products",
             "title": "Licence to use Copernicus products (the climatology in climate/; ERA5)"},
        ],
        "sources": sources,
        "resources": [
            {
                "name": table.path.rpartition("/")[2].replace("_", "-"),
                "title": table.title,
                "path": f"{table.path}.csv",
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "schema": f"{table.path}.schema.json",
            }
            for table in TABLES
            if (root / f"{table.path}.csv").exists()
        ],
    }  # fmt: skip


def _json(value: object) -> str:
    return json.dumps(value, indent=1, ensure_ascii=False) + "\n"
