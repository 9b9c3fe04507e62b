"""What was fitted to the stations of the tables, kept as ``reference_tables/climate/station_rules.npz``.

``python -m domain.adoption.climates`` fits the rules again and writes the file; a test holds it to the fit. Arrays, in
full precision: ``centre``, ``scale`` (k,), ``months`` (n, k), ``weights`` (n,), ``mean_c`` and ``precision`` (its upper
triangle by rows) of the rule of the diurnal range; ``rain_days`` (3,) of that of rain days; ``place_id`` and
``spread_logs`` (stations, 4) of the day-to-day spread. The rules themselves are in diurnal_range.py and
regional_spread.py.
"""

from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

import reference_tables.climate

STATION_RULES = Path(reference_tables.climate.__file__).with_name("station_rules.npz")


@lru_cache(maxsize=1)
def stored_rules() -> dict[str, NDArray[Any]]:
    """The arrays of the file by name."""
    with np.load(STATION_RULES) as stored:
        return {name: stored[name] for name in stored.files}


def upper_triangle(square: NDArray[np.float64]) -> NDArray[np.float64]:
    """The upper triangle of a symmetric matrix, by rows."""
    return square[np.triu_indices(len(square))]


def symmetric(upper: NDArray[np.float64], size: int) -> NDArray[np.float64]:
    """The symmetric matrix (size, size) of an upper triangle."""
    square = np.zeros((size, size))
    square[np.triu_indices(size)] = upper
    return square + np.triu(square, 1).T
