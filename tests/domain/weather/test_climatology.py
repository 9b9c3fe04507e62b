"""Places on land have months, at their height; sea and ice are refused in words."""

import numpy as np
import pytest

from domain.common.faults import ContentFaults
from domain.weather.climatology import lapse_rate, place_climate
from domain.weather.diurnal_range import diurnal_range, rain_days


@pytest.mark.parametrize("place", [(0.0, -30.0), (40.0, -40.0), (-75.0, 0.0), (89.0, 10.0), (0.0, 180.0)])
def test_no_land(place: tuple[float, float]) -> None:
    with pytest.raises(ContentFaults, match="No land"):
        place_climate(*place)


def test_ice() -> None:
    with pytest.raises(ContentFaults, match="ice"):
        place_climate(72.0, -40.0)


def test_a_pin_just_off_the_coast_finds_the_land() -> None:
    assert place_climate(50.70, -1.30).tmean_c.size == 12


def test_higher_is_colder() -> None:
    low, high = place_climate(46.5, 11.3, 250.0), place_climate(46.5, 11.3, 1250.0)
    fall = low.tmean_c - high.tmean_c
    assert np.all(fall > 2.0)
    assert np.all(fall < 7.0)
    assert fall[6] > fall[0]


def test_cold_air_lies_in_valleys() -> None:
    warm, freezing, deep = lapse_rate(np.array([20.0, -5.0, -25.0]))
    assert warm > freezing > deep > 0


def test_untold_height_is_read_and_widens_the_spread_in_mountains() -> None:
    told, read = place_climate(-13.54, -71.94, 3399.0), place_climate(-13.54, -71.94)
    assert read.elevation_assumed
    assert not told.elevation_assumed
    assert read.tmean_spread_c > told.tmean_spread_c
    assert 3000 < read.elevation_m < 4200


def test_seasons_of_both_hemispheres() -> None:
    north, south = place_climate(51.5, -0.1), place_climate(-42.9, 147.2)
    assert north.tmean_c.argmax() in (6, 7)
    assert south.tmean_c.argmax() in (0, 1)


def test_dry_inland_days_swing_more_than_wet_coasts() -> None:
    desert = diurnal_range(place_climate(40.4, -101.7), 40.4).mean()
    coast = diurnal_range(place_climate(50.3, -4.8), 50.3).mean()
    assert desert > coast + 5


def test_rain_days_follow_rain_and_never_fill_the_month() -> None:
    mild = np.full(12, 10.0)
    few, many, flood = (rain_days(np.full(12, mm), mild) for mm in (10.0, 100.0, 2000.0))
    assert np.all(few < many)
    assert np.all(flood < 31)
    assert np.all(rain_days(np.full(12, 100.0), np.full(12, 28.0)) < many)
