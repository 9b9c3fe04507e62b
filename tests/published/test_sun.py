"""Sun geometry against published tables, worked examples and an independent library (pvlib)."""

import numpy as np
import pvlib
import pytest

from domain.weather import sun
from tests.published.cases import Case, parametrized


@parametrized("sunrise.csv", lambda case: case["latitude"])
def test_sunrise_of_the_table(case: Case) -> None:
    hour, minute = case["truth"].split(":")
    rise, _ = sun.sunrise_sunset_h(1, float(case["latitude"]))
    mean_time = float(rise) - float(sun.equation_of_time_minutes(1)) / 60
    assert mean_time == pytest.approx(int(hour) + int(minute) / 60, abs=float(case["tolerance_minutes"]) / 60)


@parametrized("day_lengths.csv", lambda case: f"{case['latitude']} on day {case['day_of_year']}")
def test_day_length_of_another_formula(case: Case) -> None:
    found = float(sun.day_length_h(int(case["day_of_year"]), float(case["latitude"])))
    assert found == pytest.approx(float(case["truth"]), abs=float(case["tolerance_hours"]))


def test_worked_example_of_fao_56() -> None:
    # FAO Irrigation and Drainage Paper 56, 1998, Examples 8 and 9: 20 S, 3 September, declination 0.120 (its own rough
    # formula): sunset hour angle 1.527, 11.7 h of daylight, geometric.
    angle = float(sun.hour_angle(-20, 0.120))
    assert angle == pytest.approx(1.527, abs=0.0005)
    assert 24 / np.pi * angle == pytest.approx(11.7, abs=0.05)


def test_solstice_day_lengths() -> None:
    # Encyclopaedia Britannica, Hours of daylight around the world: 14 and 10 h at 30 N, above 18 and below 6 h at 60 N.
    assert float(sun.day_length_h(172, 30)) == pytest.approx(14, abs=0.2)
    assert float(sun.day_length_h(355, 30)) == pytest.approx(10, abs=0.3)
    assert float(sun.day_length_h(172, 60)) > 18
    assert float(sun.day_length_h(355, 60)) < 6


@pytest.mark.parametrize("latitude", [-45, -33, 0, 28, 47, 58])
def test_against_the_solar_position_algorithm(latitude: int) -> None:
    # Reda and Andreas 2004, times of a year in the middle of a leap cycle, in seconds since 1970 at longitude 0.
    noons = np.datetime64("2003-01-01", "s").astype(np.int64) + 86400 * np.arange(365)
    transit, sunrise, sunset = pvlib.spa.transit_sunrise_sunset(noons, latitude, 0.0, 64.0, 1)
    length = (sunset - sunrise) / 3600
    day = np.arange(1, 366)
    assert np.abs(sun.day_length_h(day, latitude) - length).max() < 0.08
    assert np.abs(sun.equation_of_time_minutes(day) - (720 - (transit - noons) / 60)).max() < 0.8
