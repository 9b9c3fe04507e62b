"""The generator keeps what it is given: means, seed, hemisphere, order of the extremes."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.common.season_days import SEASON_DAYS, YEAR_DAYS
from domain.weather.normals import MonthlyNormals
from domain.weather.variability import expected_variability, wet_day_share
from domain.weather.weather_generator import daily_cycle, fast_autoregression, simulate

COLD = MonthlyNormals(
    tmin_c=(-12.2, -10.0, -4.2, 1.9, 7.8, 13.2, 16.0, 14.7, 9.7, 3.5, -2.4, -9.0),
    tmax_c=(-3.0, -0.4, 6.5, 14.4, 21.0, 26.0, 28.4, 26.8, 22.5, 15.4, 7.1, -0.5),
    rain_days=(10, 8, 11, 11, 11, 11, 10, 9, 9, 9, 10, 10),
)
MONTH_ENDS = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


def shifted(normals: MonthlyNormals) -> MonthlyNormals:
    """The same climate half a year later."""

    def half_a_year(values: tuple[float, ...]) -> tuple[float, ...]:
        return values[6:] + values[:6]

    assert normals.rain_days is not None
    return MonthlyNormals(
        tmin_c=half_a_year(normals.tmin_c),
        tmax_c=half_a_year(normals.tmax_c),
        rain_days=half_a_year(normals.rain_days),
    )


def test_shape_and_order() -> None:
    years = simulate(COLD, 43.1, years=30)
    assert years.tmin_c.shape == years.tmax_c.shape == (30, SEASON_DAYS)
    assert years.tmin_c.dtype == np.float32
    assert (years.tmax_c - years.tmin_c).min() >= 0.99
    assert np.array_equal(years.tmin_c[0, YEAR_DAYS:], years.tmin_c[1, : SEASON_DAYS - YEAR_DAYS])


@given(months=st.lists(st.floats(-25, 25), min_size=12, max_size=12))
@settings(max_examples=30, deadline=None)
def test_daily_cycle_keeps_the_monthly_means(months: list[float]) -> None:
    course = daily_cycle(tuple(months))
    means = [course[a:b].mean() for a, b in pairwise(MONTH_ENDS)]
    assert means == pytest.approx(months, abs=1e-6)


def test_simulated_months_have_the_normals_as_means() -> None:
    years = simulate(COLD, 43.1, years=200)
    start = 181  # day of the year of 1 July, from 0
    days = np.concatenate([years.tmin_c[:, :YEAR_DAYS].mean(axis=0), years.tmax_c[:, :YEAR_DAYS].mean(axis=0)])
    for mean, published in zip(days.reshape(2, YEAR_DAYS), (COLD.tmin_c, COLD.tmax_c), strict=True):
        by_date = np.roll(mean, start)
        found = [by_date[a:b].mean() for a, b in pairwise(MONTH_ENDS)]
        assert found == pytest.approx(published, abs=0.15)


def test_equal_normals_give_equal_years_and_the_seed_counts() -> None:
    first, again = simulate(COLD, 43.1, years=5), simulate(COLD, 43.1, years=5)
    other = simulate(COLD, 43.1, years=5, seed=1)
    assert np.array_equal(first.tmin_c, again.tmin_c)
    assert not np.array_equal(first.tmin_c, other.tmin_c)


def test_a_warmer_site_meets_the_same_weather() -> None:
    warmer = MonthlyNormals(
        tmin_c=tuple(t + 2 for t in COLD.tmin_c), tmax_c=tuple(t + 2 for t in COLD.tmax_c), rain_days=COLD.rain_days
    )
    now, then = simulate(COLD, 43.1, years=20), simulate(warmer, 43.1, years=20)
    assert np.corrcoef(now.tmin_c.ravel(), then.tmin_c.ravel())[0, 1] > 0.99
    assert (then.tmin_c - now.tmin_c).mean() == pytest.approx(2, abs=0.05)


def test_the_southern_half_year_later_is_the_same_climate() -> None:
    north, south = simulate(COLD, 43.1, years=100), simulate(shifted(COLD), -43.1, years=100)
    assert south.south
    assert not north.south
    # Months of other lengths shift dates by up to three days.
    assert np.abs(north.tmin_c[:, :YEAR_DAYS].mean(axis=0) - south.tmin_c[:, :YEAR_DAYS].mean(axis=0)).max() < 1.5
    assert south.tmin_c[:, :YEAR_DAYS].min(axis=1).mean() == pytest.approx(
        float(north.tmin_c[:, :YEAR_DAYS].min(axis=1).mean()), abs=0.6
    )


def test_wet_days_are_as_many_as_given_and_come_in_spells() -> None:
    years = simulate(COLD, 43.1, years=200)
    assert years.wet is not None
    assert COLD.rain_days is not None
    wet = years.wet[:, :YEAR_DAYS]
    assert wet.mean() == pytest.approx(sum(COLD.rain_days) / 365, abs=0.02)
    after_wet = wet[:, 1:][wet[:, :-1]].mean()
    assert after_wet > wet.mean() + 0.1
    summer = slice(0, 60)
    warm = years.tmax_c[:, summer]
    assert warm[wet[:, summer]].mean() < warm[~wet[:, summer]].mean() - 1


def test_no_rain_known_no_wet_days() -> None:
    dry = MonthlyNormals(tmin_c=COLD.tmin_c, tmax_c=COLD.tmax_c)
    assert wet_day_share(dry) is None
    assert simulate(dry, 43.1, years=3).wet is None


def test_variability_stays_sane_at_the_ends_of_the_earth() -> None:
    for tmin, tmax in ((-60.0, -50.0), (25.0, 27.0), (-5.0, 25.0)):
        spread = expected_variability(MonthlyNormals(tmin_c=(tmin,) * 12, tmax_c=(tmax,) * 12), 65.0)
        assert 0.3 < spread.tmin_sd_c.min() <= spread.tmin_sd_c.max() < 9
        assert 0.3 < spread.tmax_sd_c.min() <= spread.tmax_sd_c.max() < 9


def test_the_autoregression_is_stationary() -> None:
    autoregression, innovation = fast_autoregression()
    assert np.abs(np.linalg.eigvals(autoregression)).max() < 1
    covariance = np.eye(2)
    for _ in range(200):
        covariance = autoregression @ covariance @ autoregression.T + innovation @ innovation.T
    assert np.diag(covariance) == pytest.approx([1, 1], abs=1e-9)
