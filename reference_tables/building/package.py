"""The description of the whole: a schema beside each table and `datapackage.json` (Data Package, version 2).

The package names size, sha256 and row count of every table, and the shapes of every array: by them the program knows at
its start that nothing is lost, cut or changed.
"""

import csv
import hashlib
import io
import json
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from reference_tables.building.schemas import TABLES, descriptor
from reference_tables.building.schemas.published import PUBLISHED

VERSION = "1.13.0"
"""Version of the tables: raise the last number for new evidence, the middle one for new columns."""

ARRAYS = {
    "climate/climatology.npz": "Monthly means of half-degree land cells and the height of the ground; an input of the "
    "build, made by `reference_tables.climate.extract_climatology`",
    "climate/station_rules.npz": "Rules of diurnal range, rain days and spreads fitted to the stations, by "
    "`python -m domain.adoption.climates`",
    "climate/regimes.npz": "Simulated climates, computed from the climatology by `python -m domain.adoption.climates`",
}
"""File of arrays -> what it holds."""

_LICENCE_NOTE = (
    "Single facts and figures with their sources, restated in the project's own form. The documents keep their own "
    "rights; a licence is named with a source where it is known."
)


def write_package(root: Path) -> None:
    """Describe what stands below `root` anew: the step after any table or array was written."""
    for name, content in descriptions(root, {}).items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_bytes(content)


def descriptions(root: Path, built: Mapping[str, bytes]) -> dict[str, bytes]:
    """File -> content of every schema and of the data package of `built` and of what else stands below `root`."""
    files: dict[str, bytes] = {}
    for table in TABLES:
        if f"{table.path}.csv" in built or (root / f"{table.path}.csv").exists():
            files[f"{table.path}.schema.json"] = _json(descriptor(table))
    if (root / "published").is_dir():
        files["published/tables.schema.json"] = _json({name: descriptor(table) for name, table in PUBLISHED.items()})
    files["datapackage.json"] = _json(package(root, built))
    return files


def package(root: Path, built: Mapping[str, bytes]) -> dict[str, object]:
    """The data package of the tables `built`, and of those that stand below `root`."""
    contents: dict[str, bytes] = {}
    for name in (*(f"{table.path}.csv" for table in TABLES), *ARRAYS):
        if name in built:
            contents[name] = built[name]
        elif (root / name).exists():
            contents[name] = (root / name).read_bytes()
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
        "sources": [
            {"title": row["title"]}
            | ({"path": row["url"]} if row["url"] else {})
            | {"year": row["year"], "terms": row["licence"]}
            for row in csv.DictReader(io.StringIO(contents["sources.csv"].decode("utf-8")))
        ],
        "resources": [
            {
                "name": _name(table.path),
                "title": table.title,
                "path": f"{table.path}.csv",
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "schema": f"{table.path}.schema.json",
                "rows": row_count(contents[f"{table.path}.csv"]),
                **_fingerprint(contents[f"{table.path}.csv"]),
            }
            for table in TABLES
            if f"{table.path}.csv" in contents
        ]
        + [
            {
                "name": Path(name).stem,
                "title": title,
                "path": name,
                "format": "npz",
                "mediatype": "application/zip",
                "arrays": _shapes(contents[name]),
                **_fingerprint(contents[name]),
            }
            for name, title in ARRAYS.items()
            if name in contents
        ],
    }  # fmt: skip


def _name(path: str) -> str:
    """The name of a table in the package: parameters and sources of several folders share file names."""
    folder, _, name = path.rpartition("/")
    return (f"{folder}-{name}" if folder in {"parameters", "words"} else name).replace("_", "-").replace("/", "-")


def row_count(table: bytes) -> int:
    """Rows of a CSV file below its header; bytes that are no UTF-8 count as none."""
    try:
        return max(0, sum(1 for _ in csv.reader(io.StringIO(table.decode("utf-8"), newline=""))) - 1)
    except UnicodeDecodeError:
        return 0


def _fingerprint(content: bytes) -> dict[str, object]:
    return {"bytes": len(content), "hash": f"sha256:{hashlib.sha256(content).hexdigest()}"}


def _shapes(content: bytes) -> dict[str, object]:
    with np.load(io.BytesIO(content)) as stored:
        return {name: {"shape": list(stored[name].shape), "type": str(stored[name].dtype)} for name in stored.files}


def _json(value: object) -> bytes:
    return (json.dumps(value, indent=1, ensure_ascii=False) + "\n").encode("utf-8")
