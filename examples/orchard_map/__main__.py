"""``python -m examples.orchard_map cells FILE`` and ``... draw ANSWERS FOLDER``; see the package."""

import argparse
import json
import sys
from pathlib import Path
from typing import Any

import pyarrow.compute as pc
import pyarrow.dataset as ds

from domain.tables.loading import load
from examples.orchard_map import CULTIVARS, WARMER_C
from examples.orchard_map.agreement import Verdicts, agreement
from examples.orchard_map.cells import STEP, cell_of, write_cells
from examples.orchard_map.picture import picture


def main(arguments: list[str] | None = None) -> int:
    """Write the cells, or draw what was answered."""
    parser = argparse.ArgumentParser(prog="python -m examples.orchard_map")
    steps = parser.add_subparsers(dest="step", required=True)
    steps.add_parser("cells").add_argument("file", type=Path)
    draw = steps.add_parser("draw")
    draw.add_argument("answers", type=Path)
    draw.add_argument("folder", type=Path)
    asked = parser.parse_args(arguments)
    if asked.step == "cells":
        count = write_cells(asked.file)
        named = " ".join(f'"{name}"' for name in CULTIVARS)
        print(f"{count} cells. Now: python -m domain.grid {asked.file} ANSWERS ", end="")
        print(f"--warmer-by-c 0 {WARMER_C:g} --cultivars {named}")
        return 0
    rows = read(asked.answers)
    now, warmer = (verdicts(rows, by_c) for by_c in (0.0, WARMER_C))
    asked.folder.mkdir(parents=True, exist_ok=True)
    (asked.folder / "map.svg").write_text(picture(now, warmer), encoding="utf-8")
    (asked.folder / "cells.geojson").write_text(geojson(rows), encoding="utf-8")
    for title, climate in (("now", now), (f"{WARMER_C:g} C warmer", warmer)):
        print(title, agreement(climate))
        for cultivar in CULTIVARS:
            print(f"  {cultivar}: {land_share(climate, cultivar):.0%} of the land plants it")
    return 0


def read(answers: Path) -> list[dict[str, Any]]:
    """The rows of `suitabilities`, their cultivars by denomination."""
    by_id = load().by_id
    table = ds.dataset(sorted((answers / "suitabilities").glob("part-*.parquet")), format="parquet").to_table()
    columns = ["id", "warmer_by_c", "cultivar", "verdict", "likely", "limiting"]
    rows: list[dict[str, Any]] = table.select(columns).sort_by("id").to_pylist()
    assert pc.count_distinct(table["cultivar"].cast("string")).as_py() == len(CULTIVARS), "answers of other cultivars"
    return [row | {"cultivar": by_id[row["cultivar"]].name} for row in rows]


def verdicts(rows: list[dict[str, Any]], warmer_by_c: float) -> Verdicts:
    """The verdict of each cell and cultivar in one climate."""
    return {(cell_of(row["id"]), row["cultivar"]): row["verdict"] for row in rows if row["warmer_by_c"] == warmer_by_c}


def land_share(climate: Verdicts, cultivar: str) -> float:
    """Share of the land on which a cultivar's verdict is `plant`."""
    land = {cell: (cell.area, verdict) for (cell, name), verdict in climate.items() if name == cultivar}
    return sum(area for area, verdict in land.values() if verdict == "plant") / sum(area for area, _ in land.values())


def geojson(rows: list[dict[str, Any]]) -> str:
    """The cells as features (RFC 7946): for each cultivar the verdict and likely years of ten, now and warmer."""
    told: dict[str, dict[str, Any]] = {}
    for row in rows:
        when = "now" if row["warmer_by_c"] == 0.0 else f"{row['warmer_by_c']:g}_c_warmer"
        told.setdefault(row["id"], {}).setdefault(row["cultivar"], {})[when] = [row["verdict"], row["likely"]]
    features = [json.dumps(_feature(mark, properties), ensure_ascii=False) for mark, properties in told.items()]
    return '{"type": "FeatureCollection", "features": [\n' + ",\n".join(features) + "\n]}\n"


def _feature(mark: str, properties: dict[str, Any]) -> dict[str, Any]:
    cell, half = cell_of(mark), STEP / 2
    west, east = cell.longitude - half, cell.longitude + half
    south, north = cell.latitude - half, cell.latitude + half
    ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    return {
        "type": "Feature",
        "id": mark,
        "properties": {"prefecture": cell.prefecture, **properties},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }


if __name__ == "__main__":
    sys.exit(main())
