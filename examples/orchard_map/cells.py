"""The cells of the map: their middles on land, each in its prefecture."""

import csv
import json
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import shapely
from shapely.geometry import shape

HERE = Path(__file__).parent
STEP = 0.5
"""Size of a cell, degrees: that of the climatology."""


@dataclass(frozen=True)
class Cell:
    """A cell by its middle; its mark holds all three."""

    prefecture: str
    latitude: float
    longitude: float

    @property
    def mark(self) -> str:
        """The `id` of the cell in the table."""
        return f"{self.prefecture}/{self.latitude:.3f}/{self.longitude:.3f}"

    @property
    def area(self) -> float:
        """Its area, of that of a cell at the equator."""
        return math.cos(math.radians(self.latitude))


def cell_of(mark: str) -> Cell:
    """The cell that a mark names."""
    prefecture, latitude, longitude = mark.split("/")
    return Cell(prefecture, float(latitude), float(longitude))


def outlines() -> dict[str, Any]:
    """Outline of each prefecture by its code of ISO 3166-2."""
    features = json.loads((HERE / "prefectures.geojson").read_text(encoding="utf-8"))["features"]
    return {feature["id"]: shape(feature["geometry"]) for feature in features}


def names() -> dict[str, str]:
    """Name of each prefecture by its code."""
    features = json.loads((HERE / "prefectures.geojson").read_text(encoding="utf-8"))["features"]
    return {feature["id"]: feature["properties"]["name"] for feature in features}


def harvest_t() -> dict[str, float]:
    """Harvest of apples by prefecture, tonnes of 2020, where it is published."""
    with (HERE / "harvest.csv").open(encoding="utf-8", newline="") as file:
        return {row["prefecture"]: float(row["harvest_t"]) for row in csv.DictReader(file) if row["harvest_t"]}


def cells() -> list[Cell]:
    """All cells, from the north to the south; of a prefecture that holds no middle of a cell, a point inside it."""
    found = []
    for prefecture, outline in outlines().items():
        west, south, east, north = outline.bounds
        inside = [
            Cell(prefecture, latitude, longitude)
            for latitude in _middles(south, north)
            for longitude in _middles(west, east)
            if shapely.contains_xy(outline, longitude, latitude)
        ]
        if not inside:  # a small one between the middles
            point = outline.representative_point()
            inside = [Cell(prefecture, round(point.y, 3), round(point.x, 3))]
        found += inside
    return sorted(found, key=lambda cell: (-cell.latitude, cell.longitude, cell.prefecture))


def _middles(low: float, high: float) -> list[float]:
    return [(n + 0.5) * STEP for n in range(math.floor(low / STEP), math.ceil(high / STEP))]


def write_cells(path: Path) -> int:
    """Write the table that the grid answers, and say how many cells it has."""
    made = cells()
    table = pa.table(
        {
            "id": [cell.mark for cell in made],
            "latitude": [cell.latitude for cell in made],
            "longitude": [cell.longitude for cell in made],
        }
    )
    pq.write_table(table, path)
    return len(made)
