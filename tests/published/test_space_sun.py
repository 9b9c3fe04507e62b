"""Hours of sun against an independent library of solar positions (pvlib: Reda and Andreas 2004)."""

import numpy as np
import pytest
import shapely
from pvlib import spa

from domain.ground.plot import Obstacle
from domain.ground.sunlight import (
    FIGURES,
    MIDDLES_OF_MONTHS,
    STEP_H,
    TROPIC_DEG,
    sun_hours,
    sun_path,
)

NEW_YEAR_2023 = 1_672_531_200
"""Seconds since 1970 of midnight, universal time."""


def sun_by_minute(latitude: float) -> tuple[np.ndarray, np.ndarray, int]:
    """Altitude and azimuth (degrees) of every minute of the days judged, and the number of days."""
    months = range(12) if abs(latitude) <= TROPIC_DEG else range(3, 9) if latitude > 0 else (9, 10, 11, 0, 1, 2)
    days = [MIDDLES_OF_MONTHS[month] for month in months]
    midnight = NEW_YEAR_2023 + 86_400 * (np.array(days) - 1)
    seconds = (midnight[:, None] + 60 * np.arange(1440)).ravel().astype(float)
    seen = spa.solar_position(seconds, latitude, 0.0, 0.0, 1013.25, 12.0, 69.0, 0.5667)
    return seen[3], seen[4], len(days)


@pytest.mark.parametrize("latitude", [-54.0, -33.4, 0.0, 18.0, 38.9, 52.3, 65.0])
def test_hours_of_an_open_site(latitude: float) -> None:
    altitude, _, days = sun_by_minute(latitude)
    expected = float((altitude > FIGURES.least_altitude_deg).sum()) / 60 / days
    path = sun_path(latitude)
    assert len(path.tangent) * STEP_H / path.days == pytest.approx(expected, abs=STEP_H)


@pytest.mark.parametrize("latitude", [-43.0, 38.9, 52.3])
@pytest.mark.parametrize("side", ["south", "north", "east"])
def test_hours_beside_a_long_house(latitude: float, side: str) -> None:
    """A wall so long that its angle alone hides the sun: altitude below height above the tree over distance."""
    height, distance, tree_height = 6.0, 5.0, 2.0
    wall = {
        "south": shapely.box(-5000, -distance - 8, 5000, -distance),
        "north": shapely.box(-5000, distance, 5000, distance + 8),
        "east": shapely.box(distance, -5000, distance + 8, 5000),
    }[side]
    towards = {"south": 180.0, "north": 0.0, "east": 90.0}[side]
    altitude, azimuth, days = sun_by_minute(latitude)
    shines = altitude > FIGURES.least_altitude_deg
    cosine = np.cos(np.radians(azimuth - towards))
    above = height - FIGURES.judged_at * tree_height
    hidden = (cosine > 1e-6) & (np.tan(np.radians(altitude)) * distance / np.maximum(cosine, 1e-6) < above)
    expected = float((shines & ~hidden).sum()) / 60 / days
    told = sun_hours(
        np.zeros((1, 2)), np.array([tree_height]), np.array([2.0]), [Obstacle(wall, "house", height)], latitude
    )
    assert told[0] == pytest.approx(expected, abs=0.3)
