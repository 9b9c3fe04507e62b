"""Stations and towns correct the weather of their region, and only that."""

import numpy as np
import pytest

from domain.adoption.climates import winter_of
from domain.site_climate.climate_prior import prior_of_place
from domain.weather.climatology import place_climate
from domain.weather.regional_spread import BETWEEN, WINTER, regional_spread, station_logs
from domain.weather.variability import expected_variability
from reference_tables.climate import station_spreads, winter_minima

TOWNS = winter_minima()


def minimum(number: int, log_spread: float) -> float:
    """Mean yearly minimum of a town whose simulated depth below its coldest nights is stretched by a logarithm."""
    nights = TOWNS.coldest_nights_c[number]
    return float(nights - (nights - TOWNS.simulated_c[number]) * np.exp(log_spread))


def test_a_town_left_out_is_missed_less() -> None:
    plain, corrected = [], []
    for number, name in enumerate(TOWNS.place):
        log_spread = regional_spread(TOWNS.latitude[number], TOWNS.longitude[number], without=[name]).tmin[
            6 if TOWNS.latitude[number] < 0 else 0
        ]
        plain.append(TOWNS.simulated_c[number] - TOWNS.known_c[number])
        corrected.append(minimum(number, log_spread) - TOWNS.known_c[number])
    assert np.sqrt(np.mean(np.square(corrected))) < 3.2
    assert np.sqrt(np.mean(np.square(corrected))) < 0.7 * np.sqrt(np.mean(np.square(plain)))


def test_a_station_left_out_is_missed_less() -> None:
    """With those within 150 km of it: minima and maxima, in winter and between the seasons."""
    stations = station_spreads()
    measured = np.array([station_logs(station) for station in stations])
    found = []
    for station in stations:
        shrink = np.cos(np.radians(station.latitude))
        near = [
            other.place_id
            for other in stations
            if np.hypot(other.latitude - station.latitude, (other.longitude - station.longitude) * shrink) < 1.4
        ]
        spread = regional_spread(station.latitude, station.longitude, near)
        winter, between = (6, 9) if station.latitude < 0 else (0, 3)
        found.append([spread.tmin[winter], spread.tmax[winter], spread.tmin[between], spread.tmax[between]])
    plain = np.sqrt(np.mean(measured**2, axis=0))
    corrected = np.sqrt(np.mean((measured - np.array(found)) ** 2, axis=0))
    print(plain, corrected)
    assert (corrected < [0.16, 0.19, 0.16, 0.16]).all(), corrected
    assert (corrected < np.array([0.75, 0.80, 0.80, 0.95]) * plain).all(), (corrected, plain)


def test_far_from_every_place_and_in_summer_nothing_is_changed() -> None:
    assert np.abs(regional_spread(-54.0, 70.0).tmin).max() < 0.05
    anywhere = regional_spread(30.7, -88.0)
    assert anywhere.tmin[6] == anywhere.tmax[6] == 0.0
    assert ((WINTER + BETWEEN)[[0, 3, 9, 11]] == 1.0).all()


def test_known_regions() -> None:
    assert regional_spread(37.0, 139.0).tmin[0] < -0.3  # winter monsoon
    assert regional_spread(31.5, -87.0).tmin[3] > 0.15  # polar air over the plains to the Gulf of Mexico
    assert regional_spread(35.0, -107.0).tmin[0] < -0.3  # behind the Rocky Mountains
    assert abs(regional_spread(41.0, -90.0).tmin[0]) < 0.15


def test_southern_months_are_turned() -> None:
    south = regional_spread(-31.4, -64.2)
    assert south.tmin[0] == 0.0
    assert south.tmin[6] != 0.0


@pytest.mark.parametrize("name", ["Addis Ababa", "Fukushima", "Winnipeg"])
def test_the_stored_simulation_is_the_one_the_code_makes(name: str) -> None:
    number = TOWNS.place.index(name)
    lowest, nights = winter_of(TOWNS.latitude[number], TOWNS.longitude[number], TOWNS.elevation_m[number])
    assert lowest == pytest.approx(TOWNS.simulated_c[number], abs=0.3)
    assert nights == pytest.approx(TOWNS.coldest_nights_c[number], abs=0.3)


def test_a_prior_of_a_place_holds_it() -> None:
    prior = prior_of_place(place_climate(37.75, 140.47, 67.0), 37.75)
    assert np.array_equal(prior.regional.tmin, regional_spread(37.75, 140.47).tmin)
    expected = expected_variability(prior.normals(np.zeros(prior.steps)), 37.75)
    found = prior.variability(np.zeros(prior.steps))
    assert np.allclose(found.tmin_sd_c, expected.tmin_sd_c * np.exp(prior.regional.tmin))
    assert np.allclose(found.tmax_sd_c, expected.tmax_sd_c * np.exp(prior.regional.tmax))
