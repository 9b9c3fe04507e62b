"""The plane of a plot against geodesics: its lengths against lengths on the ellipsoid (Karney's method, in PROJ)."""

import numpy as np
import pytest
from pyproj import Geod

from domain.ground.projection import LocalPlane, plane_about

WGS84 = Geod(ellps="WGS84")


@pytest.mark.parametrize("latitude", [-77.8, -33.4, 0.0, 23.4, 51.5, 69.6, 84.9, 89.999])
@pytest.mark.parametrize("longitude", [-179.99999, 0.0, 9.1, 180.0])
def test_lengths_of_100_m_are_right_to_a_tenth_of_a_millimetre(latitude: float, longitude: float) -> None:
    plane = LocalPlane(longitude, latitude)
    rng = np.random.default_rng(3)
    start = rng.uniform(-2500, 2500, (300, 2))
    turn = rng.uniform(0, 2 * np.pi, 300)
    end = start + 100 * np.column_stack([np.sin(turn), np.cos(turn)])
    a, b = plane.to_positions(start), plane.to_positions(end)
    _, _, length = WGS84.inv(a[:, 0], a[:, 1], b[:, 0], b[:, 1])
    assert np.abs(length - 100).max() < 1e-4
    assert np.abs(plane.to_plane(a) - start).max() < 1e-6


@pytest.mark.parametrize("latitude", [-54.8, 0.0, 52.3, 71.0])
def test_north_of_the_plane_is_north(latitude: float) -> None:
    plane = LocalPlane(20.0, latitude)
    (longitude, north) = plane.to_positions([(0.0, 100.0)])[0]
    bearing, _, length = WGS84.inv(20.0, latitude, longitude, north)
    assert bearing == pytest.approx(0.0, abs=1e-6)
    assert length == pytest.approx(100.0, abs=1e-6)


def test_the_middle_of_a_plot_across_the_antimeridian_is_there() -> None:
    plane = plane_about([(179.999, -16.8), (-179.999, -16.8), (-179.999, -16.801), (179.999, -16.801)])
    assert abs(abs(plane.longitude) - 180) < 1e-6
    assert plane.latitude == pytest.approx(-16.8005, abs=1e-6)


def test_area_agrees_with_the_geodesic_area() -> None:
    for latitude in (0.0, 52.3, 70.0):
        plane = LocalPlane(9.1, latitude)
        corners = np.array([(-200.0, -150.0), (300.0, -180.0), (250.0, 220.0), (-120.0, 260.0)])
        positions = plane.to_positions(corners)
        area, _ = WGS84.polygon_area_perimeter(positions[:, 0], positions[:, 1])
        x, y = corners.T
        flat = 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
        assert abs(area) == pytest.approx(flat, rel=1e-7)
