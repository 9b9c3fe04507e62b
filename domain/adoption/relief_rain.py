"""How much less it rains where people live than in the climatology: ``python -m domain.adoption.relief_rain``.

A half-degree cell rains as its hills do. The logarithm of a station's yearly rain over that of the cells about it is
fitted by least squares, through nothing (in flat country the climatology stands as it is), to two figures of the
place: how far it lies below the mean height of the cells, and their relief as far as rain is uneven about it. The
result is to be entered as `climatology` in ``parameters/weather.csv``. The stations (``climate/yearly_rain.csv``) are
of the United States, of all its climates; the checks stand elsewhere (tests/published/test_rain.py).
"""

import csv
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from domain.weather.climatology import place_climate
from reference_tables.climate import WINTER_MINIMA

YEARLY_RAIN = WINTER_MINIMA.with_name("yearly_rain.csv")

Floats = NDArray[np.float64]


class Station(NamedTuple):
    """A station's town, where it lies, and its rain of a usual year."""

    place: str
    latitude: float
    longitude: float
    elevation_m: float
    rain_mm: float


def stations() -> list[Station]:
    """The rows of ``climate/yearly_rain.csv``."""
    with YEARLY_RAIN.open(encoding="utf-8", newline="") as file:
        return [
            Station(row["place"], *(float(row[name]) for name in ("latitude", "longitude", "elevation_m", "rain_mm")))
            for row in csv.DictReader(file)
        ]


def log_ratios(found: list[Station]) -> tuple[Floats, Floats]:
    """Of each station the km below its cells and the uneven relief (n, 2), and the logarithm of its yearly rain over
    that of the cells (n,).
    """
    places = [place_climate(station.latitude, station.longitude, station.elevation_m) for station in found]
    lie = np.array([(place.below_cells_m / 1000.0, place.uneven_relief) for place in places])
    cells = np.array([place.cell_rain_mm.sum() for place in places])
    return lie, np.log(np.array([station.rain_mm for station in found]) / cells)


def fit(found: list[Station]) -> Floats:
    """The change of the logarithm of rain per km below the cells and per unit of uneven relief (2,)."""
    lie, logs = log_ratios(found)
    return np.asarray(np.linalg.lstsq(lie, logs, rcond=None)[0], dtype=np.float64)


def main() -> None:
    """Print the fit, and its error beside that of the cells' own rain."""
    found = stations()
    per_km = fit(found)
    lie, logs = log_ratios(found)
    print(f"per km below the cells {per_km[0]:.2f}, per unit of uneven relief {per_km[1]:.2f}")
    for told, left in (("as in the cells", logs), ("as fitted", logs - lie @ per_km)):
        print(f"{len(found)} stations, {told}: root mean square of the logarithm {np.sqrt(np.mean(left**2)):.2f}")


if __name__ == "__main__":
    main()
