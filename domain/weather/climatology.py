"""Depth 0: monthly mean temperature and rain of any place on land, from the embedded open climatology.

The half-degree cells around the place are each brought to the height of the place by a lapse rate and then averaged,
nearer ones more. The lapse rate was read off the climatology itself (neighbouring cells more than 300 m apart, 60 km
and more inland): 5 to 7 C a km in months above freezing at all latitudes, falling to 4 where the month is at -5 C and
to 1 where it is at -18 C, since cold air lies in the valleys.

The rain of a cell is that of its hills as well: less falls where people plant. How much less is fitted to the yearly
rain of stations (`adoption/relief_rain.py`): by how far the place lies below the cells, and by their hills, which count
as far as rain is uneven about them.
"""

from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.faults import ContentFault, ContentFaults, pointer
from domain.tables.parameters import figures
from reference_tables.climate import (
    ELEVATION_CELLS_PER_DEGREE,
    ELEVATION_OFFSET_M,
    ELEVATION_SOUTH_EDGE,
    ELEVATION_STEP_M,
    NO_LAND,
    ClimatologyGrid,
    climatology_grid,
)

Floats = NDArray[np.float64]

WARM_LAPSE_C_PER_KM = 5.8
LAPSE_BENDS_AT_C = 2.0
LAPSE_PER_C_BELOW = 0.25
LEAST_LAPSE_C_PER_KM = 0.5

NEAREST_LAND_DEGREES = 0.25
UNEVEN_CELLS = 2
KM_PER_DEGREE = 111.2
SEA_WIDTH_KM = 25.0
ICE_WARMEST_MONTH_C = 1.0


class ClimatologyFigures(msgspec.Struct, frozen=True):
    """How far the climatology may be off at a place."""

    grid_spread_c: float
    unknown_height_share: float
    valley_relief_m: float
    told_height_share: float
    rain_log_per_km_below: float
    rain_log_per_uneven_relief: float


FIGURES = figures("weather", "climatology", ClimatologyFigures)


@dataclass(frozen=True)
class PlaceClimate:
    """Monthly means of a place: tmean_c and rain_mm (12,), January first, and tmean_spread_c, the error of the mean.

    cell_rain_mm (12,): rain of the cells about it with their hills, by which the rule of the diurnal range goes.
    below_cells_m: how far it lies below the mean height of those cells. uneven_relief: see there.

    coast_km is the distance to the sea, sea_share the share of sea about the place (Gaussian, 25 km wide).
    elevation_assumed says that the height was read from the map of the ground, not told: then low in hills, where
    orchards and towns lie in the valleys. height_spread_m: standard deviation of what is not known of the height.
    """

    longitude: float
    tmean_c: Floats
    rain_mm: Floats
    cell_rain_mm: Floats
    below_cells_m: float
    uneven_relief: float
    elevation_m: float
    elevation_assumed: bool
    height_spread_m: float
    relief_m: float
    coast_km: float
    sea_share: float
    tmean_spread_c: float


def lapse_rate(tmean_c: Floats) -> Floats:
    """Fall of temperature with height, C per km, of months of the given mean temperature."""
    cold = np.maximum(LAPSE_BENDS_AT_C - tmean_c, 0.0)
    rate: Floats = np.maximum(WARM_LAPSE_C_PER_KM - LAPSE_PER_C_BELOW * cold, LEAST_LAPSE_C_PER_KM)
    return rate


def rain_share(below_cells_m: float, uneven_relief: float) -> float:
    """Rain of a place as a share of that of the cells about it."""
    below = FIGURES.rain_log_per_km_below * below_cells_m / 1000.0
    return float(np.exp(below + FIGURES.rain_log_per_uneven_relief * uneven_relief))


def uneven_relief(grid: ClimatologyGrid, latitude: float, longitude: float, relief_m: float) -> float:
    """How hilly it is and how unevenly rain falls: geometric mean of the relief in km and of the deviation of the
    logarithm of yearly rain among the cells within a degree; 0 in flat country, and where hills hardly part rain.
    """
    around = np.arange(-UNEVEN_CELLS, UNEVEN_CELLS + 1)
    rows, columns = round((latitude + 90.0) * 2.0) + around, round((longitude + 180.0) * 2.0) + around
    rows = rows[(rows >= 0) & (rows < grid.index.shape[0])]
    cells = grid.index[np.ix_(rows, columns % grid.index.shape[1])]
    rain = grid.rain_mm[cells[cells >= 0]].astype(float).sum(axis=1)
    return float(np.sqrt(relief_m / 1000.0 * np.log(np.maximum(rain, 1.0)).std()))


def _ground_height(grid: ClimatologyGrid, latitude: float, longitude: float) -> tuple[float, float] | None:
    """Heights of the ground at the place, and of the lowest of the nine cells about it, m; None at sea.

    Where the place itself is at sea, both are of the nearest land within a quarter degree.
    """
    reach = round(NEAREST_LAND_DEGREES * ELEVATION_CELLS_PER_DEGREE)
    row = int((latitude - ELEVATION_SOUTH_EDGE) * ELEVATION_CELLS_PER_DEGREE)
    column = int((longitude + 180.0) * ELEVATION_CELLS_PER_DEGREE)
    rows = np.arange(row - reach, row + reach + 1)
    rows = rows[(rows >= 0) & (rows < grid.ground.shape[0])]
    if rows.size == 0:
        return None
    columns = np.arange(column - reach, column + reach + 1)
    coded = grid.ground[np.ix_(rows, columns % grid.ground.shape[1])]
    distance = (rows - row)[:, None] ** 2 + (columns - column)[None, :] ** 2 * np.cos(np.radians(latitude)) ** 2
    distance = np.where(coded == NO_LAND, np.inf, distance)
    nearest = np.unravel_index(int(distance.argmin()), distance.shape)
    if not np.isfinite(distance[nearest]):
        return None
    around = tuple(slice(max(int(at) - 1, 0), int(at) + 2) for at in nearest)
    low = min(int(coded[around].min()), int(coded[nearest]))
    here, lowest = (float(code) * ELEVATION_STEP_M + ELEVATION_OFFSET_M for code in (coded[nearest], low))
    return here, lowest


def _sea_share(grid: ClimatologyGrid, latitude: float, longitude: float) -> float:
    """Share of sea about the place, each cell of the ground weighted by a Gaussian of its distance."""
    per_degree = ELEVATION_CELLS_PER_DEGREE
    shrink = max(float(np.cos(np.radians(latitude))), 0.2)
    row, column = (latitude - ELEVATION_SOUTH_EDGE) * per_degree - 0.5, (longitude + 180.0) * per_degree - 0.5
    down = np.arange(np.ceil(row - 8), row + 8).astype(int)
    down = down[(down >= 0) & (down < grid.ground.shape[0])]
    across = np.arange(np.ceil(column - 8 / shrink), column + 8 / shrink).astype(int)
    sea = grid.ground[np.ix_(down, across % grid.ground.shape[1])] == NO_LAND
    km = KM_PER_DEGREE / per_degree * np.hypot((down - row)[:, None], (across - column)[None, :] * shrink)
    weight = np.exp(-((km / SEA_WIDTH_KM) ** 2))
    return float((weight * sea).sum() / weight.sum())


def _cells_around(grid: ClimatologyGrid, latitude: float, longitude: float) -> tuple[NDArray[np.intp], Floats]:
    """The land cells whose corners enclose the place (or its nearest neighbours), and their weights, which sum to 1."""
    row, column = (latitude + 90.0) * 2.0, (longitude + 180.0) * 2.0
    for reach in (1.0, 2.0):
        rows = np.arange(np.ceil(row - reach), np.floor(row + reach) + 1).astype(int)
        rows = rows[(rows >= 0) & (rows <= 360)]
        columns = np.arange(np.ceil(column - reach), np.floor(column + reach) + 1).astype(int)
        weight = np.maximum(1 - np.abs(rows - row) / reach, 1e-6)[:, None]
        weight = weight * np.maximum(1 - np.abs(columns - column) / reach, 1e-6)[None, :]
        index = grid.index[np.ix_(rows, columns % 720)]
        weight = np.where(index >= 0, weight, 0.0)
        if weight.sum() > 1e-3:
            found = weight > 0
            return index[found].astype(np.intp), weight[found] / weight.sum()
    return np.empty(0, dtype=np.intp), np.empty(0)


def place_climate(latitude: float, longitude: float, elevation_m: float | None = None) -> PlaceClimate:
    """Monthly means of a place; ContentFaults in words where there is no land, or only ice."""
    grid = climatology_grid()
    ground = _ground_height(grid, latitude, longitude)
    cells, weight = _cells_around(grid, latitude, longitude)
    if ground is None or cells.size == 0:
        detail = (
            f"No land is known at latitude {latitude:g}, longitude {longitude:g}: it lies at sea or beyond the table "
            "(56 S to 75 N). Were latitude and longitude exchanged, or a sign lost?"
        )
        raise ContentFaults([ContentFault(pointer("site", "latitude"), detail)])
    relief = float(weight @ grid.relief_m[cells])
    here, lowest = ground
    down = min(relief / FIGURES.valley_relief_m, 1.0)
    height = here + down * (lowest - here) if elevation_m is None else elevation_m
    cell_means = grid.tmean_c[cells].astype(float)
    moved = cell_means - lapse_rate(cell_means) * (height - grid.elevation_m[cells].astype(float))[:, None] / 1000.0
    tmean = weight @ moved
    if tmean.max() < ICE_WARMEST_MONTH_C:
        detail = f"The warmest month there is {tmean.max():.0f} C: ice or bare ground, where no tree lives."
        raise ContentFaults([ContentFault(pointer("site", "latitude"), detail)])
    unknown_height = (
        FIGURES.unknown_height_share * relief if elevation_m is None else FIGURES.told_height_share * relief
    )
    spread = np.hypot(FIGURES.grid_spread_c, WARM_LAPSE_C_PER_KM * unknown_height / 1000.0)
    rain = weight @ grid.rain_mm[cells].astype(float)
    below = float(weight @ grid.elevation_m[cells]) - height
    uneven = uneven_relief(grid, latitude, longitude, relief)
    return PlaceClimate(
        longitude=longitude,
        tmean_c=tmean,
        rain_mm=rain * rain_share(below, uneven),
        cell_rain_mm=rain,
        below_cells_m=below,
        uneven_relief=uneven,
        elevation_m=height,
        elevation_assumed=elevation_m is None,
        height_spread_m=float(unknown_height),
        relief_m=relief,
        coast_km=float(weight @ grid.coast_km[cells]),
        sea_share=_sea_share(grid, latitude, longitude),
        tmean_spread_c=float(spread),
    )
