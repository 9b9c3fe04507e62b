"""Known towns correct the winters of their region, and only those."""

import numpy as np
import pytest

from domain.climate.__main__ import winter_of
from domain.climate.climate_prior import prior_of_place
from domain.climate.climatology import place_climate
from domain.climate.regional_winters import regional_log_spread
from reference_tables.climate import winter_minima

TOWNS = winter_minima()


def minimum(number: int, log_spread: float) -> float:
    """Mean yearly minimum of a town whose simulated depth below its coldest nights is stretched by a logarithm."""
    nights = TOWNS.coldest_nights_c[number]
    return float(nights - (nights - TOWNS.simulated_c[number]) * np.exp(log_spread))


def test_a_town_left_out_is_missed_less() -> None:
    plain, corrected = [], []
    for number, name in enumerate(TOWNS.place):
        log_spread = regional_log_spread(TOWNS.latitude[number], TOWNS.longitude[number], without=name)
        plain.append(TOWNS.simulated_c[number] - TOWNS.known_c[number])
        corrected.append(minimum(number, log_spread) - TOWNS.known_c[number])
    assert np.sqrt(np.mean(np.square(corrected))) < 3.2
    assert np.sqrt(np.mean(np.square(corrected))) < 0.7 * np.sqrt(np.mean(np.square(plain)))


def test_far_from_every_town_nothing_is_changed() -> None:
    assert abs(regional_log_spread(-54.0, 70.0)) < 0.05


def test_east_asia_is_steadier_than_its_months_let_expect() -> None:
    assert regional_log_spread(37.0, 139.0) < -0.3
    assert abs(regional_log_spread(41.0, -90.0)) < 0.2


@pytest.mark.parametrize("name", ["Addis Ababa", "Fukushima", "Winnipeg"])
def test_the_stored_simulation_is_the_one_the_code_makes(name: str) -> None:
    number = TOWNS.place.index(name)
    lowest, nights = winter_of(TOWNS.latitude[number], TOWNS.longitude[number], TOWNS.elevation_m[number])
    assert lowest == pytest.approx(TOWNS.simulated_c[number], abs=0.3)
    assert nights == pytest.approx(TOWNS.coldest_nights_c[number], abs=0.3)


def test_a_prior_of_a_place_holds_it() -> None:
    place = place_climate(37.75, 140.47, 67.0)
    assert prior_of_place(place, 37.75).log_spread == regional_log_spread(37.75, 140.47)
