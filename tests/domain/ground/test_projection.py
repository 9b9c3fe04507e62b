"""The plane of a plot: there and back, in threads, and distances on the earth."""

import math
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from domain.ground.projection import Floats, LocalPlane, distance_m, distances_m, plane_about

SEMI_MAJOR_M, ECCENTRICITY_2 = 6_378_137.0, 0.00669438  # WGS 84


@pytest.mark.parametrize(("middle_deg", "power"), [(0.0, 1.0), (90.0, -0.5)])
def test_a_degree_along_a_meridian_has_its_length(middle_deg: float, power: float) -> None:
    """Radius of curvature of the meridian: a (1 - e2) at the equator, a / sqrt(1 - e2) at a pole."""
    radius = SEMI_MAJOR_M * (1 - ECCENTRICITY_2) ** power
    north = (7.0, middle_deg + 0.5) if middle_deg < 90 else (-173.0, 89.5)
    assert distance_m((7.0, middle_deg - 0.5), north) == pytest.approx(math.radians(1.0) * radius, abs=1.0)


def test_distances_to_many_are_those_to_each() -> None:
    here, there = (7.0, 51.0), [(7.0, 51.0), (7.001, 51.0), (-172.0, -51.0)]
    assert distances_m(here, there).tolist() == [distance_m(here, each) for each in there]


def test_threads_that_share_and_make_planes_get_the_places_of_one_alone() -> None:
    at = np.random.default_rng(4).uniform(-200.0, 200.0, (50, 2))
    middles = [(9.1 + n, 52.3 - n) for n in range(8)]
    shared = LocalPlane(-70.0, -33.4)

    def places(middle: tuple[float, float]) -> Floats:
        made = LocalPlane(*middle).to_positions(at)
        about = plane_about(made)
        return np.concatenate([shared.to_positions(at), made, [(about.longitude, about.latitude)]])

    alone = [places(middle) for middle in middles]
    with ThreadPoolExecutor(8) as pool:
        for found, expected in zip(pool.map(places, middles * 50), alone * 50, strict=True):
            assert np.array_equal(found, expected)


def test_what_the_earth_hides_is_endlessly_far() -> None:
    assert np.isinf(LocalPlane(9.1, 52.3).to_plane([(-170.9, -52.3)])).all()
