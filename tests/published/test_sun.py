"""Sun geometry against published tables, worked examples and an independent library (pvlib)."""

import numpy as np
import pvlib
import pytest

from domain.weather import sun

# Astronomy Answers, The Position of the Sun: Tables, Table 1, row 1 January: sunrise in local mean solar time, upper
# limb with refraction, to the minute.
SUNRISE_1_JANUARY = {
    -64: "1:43", -60: "2:43", -50: "3:55", -40: "4:35", -30: "5:02", -20: "5:24", 0: "6:00", 20: "6:35", 30: "6:56",
    40: "7:22", 50: "7:59",
}  # fmt: skip

# Forsythe W. C. et al., A model comparison for daylength as a function of latitude and day of the year, Ecological
# Modelling 80:87-95, 1995: values of its CBM model, computed with separate code: latitude, day, hours.
FORSYTHE = [
    (0, 172, 12.1211), (30, 172, 14.0783), (30, 355, 10.2111), (40, 80, 12.1358), (40, 172, 15.0160), (40, 355, 9.3242),
    (50, 1, 8.1485), (50, 172, 16.3717), (50, 355, 8.0697), (60, 172, 18.8703), (60, 355, 5.8670),
    (-35, 172, 9.7975), (-35, 355, 14.5123),
]  # fmt: skip


@pytest.mark.parametrize(("latitude", "printed"), SUNRISE_1_JANUARY.items())
def test_sunrise_of_the_table(latitude: int, printed: str) -> None:
    hour, minute = printed.split(":")
    rise, _ = sun.sunrise_sunset_h(1, latitude)
    mean_time = float(rise) - float(sun.equation_of_time_minutes(1)) / 60
    assert mean_time == pytest.approx(int(hour) + int(minute) / 60, abs=2.5 / 60)


@pytest.mark.parametrize(("latitude", "day", "hours"), FORSYTHE)
def test_day_length_of_another_formula(latitude: int, day: int, hours: float) -> None:
    assert float(sun.day_length_h(day, latitude)) == pytest.approx(hours, abs=0.06)


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
