"""Hours made from days, and the sun at the poles."""

import numpy as np
import pytest

from domain.weather import hourly, sun


def test_polar_days_and_nights_have_a_length() -> None:
    lengths = sun.day_length_h(np.arange(1, 366)[:, None], np.array([-90.0, -70.0, 70.0, 90.0])[None, :])
    assert lengths.min() == 0
    assert lengths.max() == 24
    assert np.isfinite(lengths).all()


def test_sunrise_and_sunset_stand_round_noon() -> None:
    rise, set_ = sun.sunrise_sunset_h(np.arange(1, 366), 45.0)
    assert rise + set_ == pytest.approx(np.full(365, 24.0))


# TrenchR 1.1.1 (Buckley L. et al., 2023), unit-test values of the sine-exponential form with the constants of Wann et
# al. 1985: minimum 10, maximum 30, sunrise 6, sunset 18 h.
@pytest.mark.parametrize(("hour", "expected"), [(11.0, 23.91954), (20.0, 20.46866), (3.0, 13.35971)])
def test_published_values_of_the_form(hour: float, expected: float) -> None:
    rise, set_ = np.array(6.0), np.array(18.0)
    share = float(hourly.weights_at(np.array(hour), rise, set_, hourly.NORTH_CAROLINA))
    sunset = 10 + 20 * float(hourly.sunset_weight(rise, set_, hourly.NORTH_CAROLINA))
    upper = 30.0 if 6 + 1.55 < hour < 18 else sunset
    assert 10 + share * (upper - 10) == pytest.approx(expected, abs=0.005)


@pytest.mark.parametrize("latitude", [-70.0, -35.0, 0.0, 52.0, 80.0])
def test_hours_stay_between_the_neighbouring_extremes(latitude: float) -> None:
    random = np.random.default_rng(3)
    low = random.normal(2, 5, (42, 6))
    high = low + random.uniform(1, 15, (42, 6))
    hours = hourly.hourly_temperatures(low, high, hourly.hour_weights(np.arange(100, 140), latitude))
    assert hours.shape == (40, 24, 6)
    floor = np.minimum(np.minimum(low[:-2], low[1:-1]), low[2:])
    ceiling = np.maximum(np.maximum(high[:-2], high[1:-1]), low[2:])
    assert (hours >= floor[:, None] - 1e-9).all()
    assert (hours <= ceiling[:, None] + 1e-9).all()


def test_steady_days_reach_their_extremes() -> None:
    low, high = np.full((12, 1), 4.0), np.full((12, 1), 18.0)
    hours = hourly.hourly_temperatures(low, high, hourly.hour_weights(np.arange(90, 100), 45.0))
    assert hours.max() == pytest.approx(18, abs=0.2)
    assert hours.min() == pytest.approx(4, abs=1.2)
    warmest = hours[0, :, 0].argmax()
    assert 12 <= warmest <= 15
