"""The sun on slopes: geometry that needs no table, and what it moves at a site."""

import numpy as np
import pytest
from msgspec.structs import replace

from domain.site_climate.site import Ground, Site, Slope
from domain.site_climate.site_years import site_years, what_makes_the_years
from domain.weather.slope_sun import beam_mj, maxima_shift
from domain.weather.weather_generator import LEAST_RANGE_C

EQUINOX = 80
"""21 March as a place in the days of the year."""
PLACE = Site(latitude=48.2, longitude=11.6, elevation_m=500.0)
LATITUDE = 48.2


@pytest.mark.parametrize(("latitude", "steep"), [(35.0, 10.0), (50.0, 20.0), (60.0, 30.0)])
def test_at_the_equinox_a_slope_facing_the_sun_is_level_ground_nearer_the_equator(
    latitude: float, steep: float
) -> None:
    tilted = beam_mj(latitude, steep, 180.0)[EQUINOX - 1]
    assert tilted == pytest.approx(beam_mj(latitude - steep)[EQUINOX - 1], rel=0.02)


def test_level_ground_faces_nowhere_and_east_is_west() -> None:
    assert np.allclose(beam_mj(45.0, 0.0, 180.0), beam_mj(45.0))
    assert np.allclose(beam_mj(45.0, 20.0, 90.0), beam_mj(45.0, 20.0, 270.0))
    assert np.allclose(beam_mj(45.0, 20.0, -90.0), beam_mj(45.0, 20.0, 270.0))


def test_north_and_south_change_places_across_the_equator() -> None:
    north, south = beam_mj(40.0, 15.0, 180.0).sum(), beam_mj(-40.0, 15.0, 0.0).sum()
    assert north == pytest.approx(south, rel=0.01)
    assert beam_mj(-40.0, 15.0, 180.0).sum() < beam_mj(-40.0).sum() < south


def slope(steepness_deg: float, faces_deg: float) -> Ground:
    return Ground(slope=Slope(steepness_deg=steepness_deg, faces_deg=faces_deg))


def test_a_slope_warms_days_and_leaves_nights() -> None:
    level, sunny, shady = (
        site_years(replace(PLACE, ground=ground)).seasons.weather for ground in (None, slope(15, 180), slope(15, 0))
    )
    assert np.array_equal(sunny.tmin_c, level.tmin_c)
    assert sunny.tmax_c.mean() > level.tmax_c.mean() > shady.tmax_c.mean()
    assert (shady.tmax_c >= shady.tmin_c).all()
    shift = maxima_shift(level, LATITUDE, 15.0, 180.0)
    free = level.tmax_c + shift > level.tmin_c + LEAST_RANGE_C  # a maximum is never below its minimum
    assert free.mean() > 0.95
    assert np.allclose((sunny.tmax_c - level.tmax_c)[free], shift[free], atol=1e-4)


def test_what_was_measured_on_the_slope_is_not_counted_twice() -> None:
    told = replace(PLACE, bloom_here="04-28")
    on_slope = site_years(replace(PLACE, bloom_here="04-28", ground=slope(20, 180)))
    assert np.array_equal(on_slope.seasons.weather.tmax_c, site_years(told).seasons.weather.tmax_c)
    assert any(one.field == "ground/slope" and "Not counted" in one.why for one in on_slope.assumptions)


def test_the_answer_tells_how_much_a_slope_was_taken_to_do() -> None:
    for faces, code in ((180.0, "slope_warmer"), (0.0, "slope_cooler")):
        (told,) = [
            one for one in site_years(replace(PLACE, ground=slope(15, faces))).assumptions if "slope" in one.field
        ]
        assert told.code == code
        assert 0.2 < float(str(told.values["difference_c"])) < 3.0


def test_level_ground_and_other_fields_of_the_ground_make_no_other_years() -> None:
    bare = what_makes_the_years(replace(PLACE, ground=Ground(ph=7.9, wind="exposed", salt_spray=True)))
    assert bare.ground is None
    assert not [one for one in site_years(replace(PLACE, ground=slope(0, 180))).assumptions if "slope" in one.field]
