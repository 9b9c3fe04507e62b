"""The open climatology of the land: monthly temperature and rain on half-degree cells, and the ground's height.

Temperature and rain: ERA5 monthly means 2000-2025, Copernicus Climate Change Service (C3S) Climate Data Store
(Hersbach et al. 2020, The ERA5 global reanalysis, Q. J. R. Meteorol. Soc. 146:1999-2049), which asks for this
attribution: *contains modified Copernicus Climate Change Service information; neither the European Commission nor
ECMWF is responsible for any use of it*. Height of the ground: the Terrain Tiles aggregate (ETOPO1, SRTM, GMTED2010
and national surveys, see ``sources.csv`` for its attributions) on a grid of 1/12 degree in steps of 28 m.
``extract_climatology.py`` beside this file made ``climatology.npz``, and says from what.
"""

import csv
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

ELEVATION_STEP_M = 28.0
ELEVATION_OFFSET_M = -450.0
ELEVATION_CELLS_PER_DEGREE = 12
ELEVATION_SOUTH_EDGE = -60.0
NO_LAND = 255


@dataclass(frozen=True)
class ClimatologyGrid:
    """The table as stored, on a grid of half degrees whose row 0, column 0 is the cell centred on 90 S, 180 W.

    index: int32 (361, 720), the row of a land cell in the arrays below, or -1 over water.
    tmean_c, rain_mm: float32 (cells, 12), monthly mean of the air 2 m above the ground, and rain of the month.
    elevation_m, relief_m, coast_km: float32 (cells,), mean height of the ground that the mean temperature belongs to,
    its standard deviation within the cell, and the distance from the cell's centre to the sea.
    ground: uint8 (rows, columns), height of the ground in steps of 28 m from -450 m, row 0 at 60 S and column 0 at
    180 W, twelve cells a degree; 255 is sea.
    """

    index: NDArray[np.int32]
    tmean_c: NDArray[np.float32]
    rain_mm: NDArray[np.float32]
    elevation_m: NDArray[np.float32]
    relief_m: NDArray[np.float32]
    coast_km: NDArray[np.float32]
    ground: NDArray[np.uint8]


@lru_cache(maxsize=1)
def climatology_grid() -> ClimatologyGrid:
    """Read ``climatology.npz`` once (about 0.1 s)."""
    with np.load(Path(__file__).with_name("climatology.npz")) as stored:
        row, column = stored["row"], stored["column"]
        index = np.full((361, 720), -1, dtype=np.int32)
        index[row, column] = np.arange(row.size, dtype=np.int32)
        return ClimatologyGrid(
            index=index,
            tmean_c=np.cumsum(stored["tmean_steps"], axis=1, dtype=np.int16).astype(np.float32) / np.float32(10.0),
            rain_mm=stored["rain_mm"].astype(np.float32),
            elevation_m=stored["elevation_m"].astype(np.float32),
            relief_m=stored["relief_m"].astype(np.float32),
            coast_km=stored["coast_km"].astype(np.float32),
            ground=stored["ground"],
        )


@dataclass(frozen=True)
class StationMonths:
    """Twelve published monthly figures of one station: diurnal range (C); rain and its days where both are known."""

    place_id: str
    latitude: float
    longitude: float
    elevation_m: float | None
    rough: bool
    range_c: NDArray[np.float64]
    rain_mm: NDArray[np.float64] | None
    rain_days: NDArray[np.float64] | None


@lru_cache(maxsize=1)
def station_months() -> tuple[StationMonths, ...]:
    """The stations of ``station_ranges.csv``, sorted by id; a bad row raises ValueError naming file and line."""
    path = Path(__file__).with_name("station_ranges.csv")
    rows: dict[str, dict[str, str]] = {}
    figures: dict[str, dict[str, NDArray[np.float64]]] = {}
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        months = (reader.fieldnames or [])[6:18]
        for row in reader:
            try:
                values = np.array([float(row[month]) for month in months])
            except ValueError as error:
                raise ValueError(f"{path.name}, line {reader.line_num}: {error}") from error
            rows[row["place_id"]] = row
            figures.setdefault(row["place_id"], {})[row["variable"]] = values
    return tuple(
        StationMonths(
            place_id=place,
            latitude=float(row["latitude"]),
            longitude=float(row["longitude"]),
            elevation_m=float(row["elevation_m"]) if row["elevation_m"] else None,
            rough=row["quality"] == "rough",
            range_c=figures[place]["range_c"],
            rain_mm=figures[place].get("rain_mm"),
            rain_days=figures[place].get("rain_days"),
        )
        for place, row in sorted(rows.items())
    )


@dataclass(frozen=True)
class StationSpread:
    """Means and standard deviations (12,) of daily minima and maxima of one station, January first, C.

    The standard deviations are about the seasonal course: its drift within a month is taken out.
    """

    place_id: str
    latitude: float
    longitude: float
    elevation_m: float
    tmin_c: NDArray[np.float64]
    tmax_c: NDArray[np.float64]
    tmin_sd_c: NDArray[np.float64]
    tmax_sd_c: NDArray[np.float64]


@lru_cache(maxsize=1)
def station_spreads() -> tuple[StationSpread, ...]:
    """The stations of ``station_spreads.csv``, sorted by id."""
    path = Path(__file__).with_name("station_spreads.csv")
    places: dict[str, tuple[float, float, float]] = {}
    figures: dict[str, dict[str, NDArray[np.float64]]] = {}
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        months = (reader.fieldnames or [])[5:17]
        for row in reader:
            place = row["place_id"]
            places[place] = (float(row["latitude"]), float(row["longitude"]), float(row["elevation_m"]))
            figures.setdefault(place, {})[row["variable"]] = np.array([float(row[month]) for month in months])
    return tuple(
        StationSpread(
            place,
            *places[place],
            tmin_c=figures[place]["tmin_c"],
            tmax_c=figures[place]["tmax_c"],
            tmin_sd_c=figures[place]["tmin_sd_c"],
            tmax_sd_c=figures[place]["tmax_sd_c"],
        )
        for place in sorted(places)
    )


@lru_cache(maxsize=1)
def stored_regimes() -> dict[str, NDArray[np.float64]]:
    """The arrays of ``regimes.npz`` by name, made by ``python -m domain.adoption.climates``; tenths there."""
    with np.load(Path(__file__).with_name("regimes.npz")) as stored:
        return {name: stored[name].astype(np.float64) / 10.0 for name in stored.files}


WINTER_MINIMA = Path(__file__).with_name("winter_minima.csv")


@dataclass(frozen=True)
class WinterMinima:
    """Towns whose mean yearly minimum is known, from memory (n,), and what is simulated for them from their place.

    coldest_nights_c: mean daily minimum of the coldest month there, C.
    """

    place: tuple[str, ...]
    latitude: NDArray[np.float64]
    longitude: NDArray[np.float64]
    elevation_m: NDArray[np.float64]
    known_c: NDArray[np.float64]
    simulated_c: NDArray[np.float64]
    coldest_nights_c: NDArray[np.float64]


@lru_cache(maxsize=1)
def winter_minima() -> WinterMinima:
    """The towns of ``winter_minima.csv``; a figure not yet simulated is NaN."""
    with WINTER_MINIMA.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))

    def column(name: str) -> NDArray[np.float64]:
        return np.array([float(row[name] or "nan") for row in rows])

    return WinterMinima(
        place=tuple(row["place"] for row in rows),
        latitude=column("latitude"),
        longitude=column("longitude"),
        elevation_m=column("elevation_m"),
        known_c=column("mean_annual_minimum_c"),
        simulated_c=column("simulated_c"),
        coldest_nights_c=column("coldest_nights_c"),
    )
