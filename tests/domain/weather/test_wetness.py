from collections.abc import Sequence

import numpy as np
import pytest

from domain.common.arrays import Floats
from domain.weather.wetness import FIGURES, dew_chance, lasting_chance, spell_hours, stretch, wet_hours


def chance(wet: Sequence[float], hours: float, *, from_daylight: bool = False) -> Floats:
    rain = np.array([wet], dtype=np.float32)
    found: Floats = lasting_chance(rain, np.full_like(rain, hours), from_daylight=from_daylight)[0]
    return found


def test_any_rain_lasts_no_time_and_none_for_ever() -> None:
    assert chance([1, 0, 0, 0], 0.0)[0] == pytest.approx(1.0)
    assert (chance([1, 1, 1, 1], np.inf) == 0.0).all()
    assert (chance([0, 0, 0, 0], 1.0) == 0.0).all()


def test_the_mean_length_of_a_single_wet_day_is_the_stated_one() -> None:
    hours = np.arange(0.0, 95.0, 0.5)
    lasting = [float(chance([1, 0, 0, 0], h)[0]) for h in hours]
    assert np.trapezoid(lasting, hours) == pytest.approx(FIGURES.wet_day_h, abs=0.3)


def test_rain_on_the_next_days_lengthens_the_wetness() -> None:
    alone, two, three = (chance(wet, 18.0)[0] for wet in ([1, 0, 0, 0], [1, 1, 0, 0], [1, 1, 1, 0]))
    assert alone < two < three
    assert list(spell_hours(np.array([[1.0, 0.0, 0.0], [1.0, 1.0, 0.0]]))[:, 0]) == [
        FIGURES.wet_day_h,
        2 * FIGURES.wet_day_h,
    ]


def test_night_rain_loses_the_hours_before_daylight() -> None:
    assert 0.4 < chance([1, 0, 0, 0], 8.0, from_daylight=True)[0] / chance([1, 0, 0, 0], 8.0)[0] < 0.9


def test_a_chance_of_rain_gives_the_mean_of_rain_and_none() -> None:
    half = chance([0.5, 0, 0, 0], 8.0)[0]
    assert half == pytest.approx(0.5 * chance([1, 0, 0, 0], 8.0)[0], rel=1e-5)


def test_leaves_dry_faster_where_days_are_far_warmer_than_nights() -> None:
    ranges = np.array([5.0, 10.0, 18.0])
    longer = stretch(np.zeros(3), ranges)
    assert longer[0] > longer[1] > longer[2]
    assert longer[1] == pytest.approx(1.0)


def test_dew_comes_where_it_often_rains() -> None:
    rainy, dry = np.ones((3, 60), dtype=np.float32), np.zeros((3, 60), dtype=np.float32)
    assert dew_chance(rainy) == pytest.approx(1.0)
    assert dew_chance(dry) == pytest.approx(0.0)
    assert wet_hours(dry, np.ones_like(dry)).sum() == 0.0
