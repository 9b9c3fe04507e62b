"""Map pins where nothing was fitted, on four continents, against published tables of mean daily minima and maxima.

tests/published/data/map_pins.csv, a source in every row (climate_sources.csv). What is read off them: nights of humid
subtropics are told too warm by 2 to 3 C, days of tropical highlands too warm by 2 to 4, monsoon nights too cold by 3.
"""

from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from domain.site_climate.climate_prior import prior_of_place
from domain.weather.climatology import place_climate
from domain.weather.diurnal_range import range_spread
from tests.published.cases import rows
from tests.published.tables import months

PINS = sorted({row["place_id"] for row in rows("map_pins.csv")})


@cache
def errors(pin: str) -> tuple[NDArray[np.float64], float]:
    """Errors (2, 12) of the mean minima and maxima of a pin, C, and the standard deviation told of them."""
    published = {row["variable"]: row for row in rows("map_pins.csv") if row["place_id"] == pin}
    row = published["tmin_c"]
    latitude = float(row["latitude"])
    place = place_climate(latitude, float(row["longitude"]), float(row["elevation_m"]))
    prior = prior_of_place(place, latitude)
    normals = prior.normals(np.zeros(prior.steps))
    away = [
        np.array(normals.tmin_c) - months(published["tmin_c"]),
        np.array(normals.tmax_c) - months(published["tmax_c"]),
    ]
    return np.array(away), float(np.hypot(place.tmean_spread_c, range_spread(place, latitude) / 2.0))


@pytest.mark.parametrize("pin", PINS)
def test_no_month_is_far_beyond_what_is_told(pin: str) -> None:
    away, spread = errors(pin)
    assert np.abs(away).max() < 3.2 * spread


def test_pins_together() -> None:
    away = np.array([errors(pin)[0] for pin in PINS])
    shares = np.array([errors(pin)[0] / errors(pin)[1] for pin in PINS])
    assert np.median(np.abs(away)) < 1.8
    assert float(np.sqrt(np.mean(shares**2))) < 1.4
