"""Frost dates of made-up seasons."""

import numpy as np

from domain.common.season_days import SEASON_DAYS
from domain.weather.frost_dates import (
    first_autumn_frost,
    first_autumn_frost_days,
    last_spring_frost,
    last_spring_frost_days,
)
from domain.weather.weather_generator import DailyWeather


def seasons_with(frosts: list[list[int]]) -> DailyWeather:
    tmin = np.full((len(frosts), SEASON_DAYS), 5.0, dtype=np.float32)
    for season, days in enumerate(frosts):
        tmin[season, days] = -1.0
    return DailyWeather(south=False, latitude=45.0, tmin_c=tmin, tmax_c=tmin + 10)


def test_first_and_last_of_each_season() -> None:
    weather = seasons_with([[120, 200, 300, 480], [100, 310], []])
    assert np.array_equal(last_spring_frost_days(weather), [300, 310, np.nan], equal_nan=True)
    assert np.array_equal(first_autumn_frost_days(weather), [120, 100, np.nan], equal_nan=True)
    assert np.array_equal(first_autumn_frost_days(weather, from_day=365), [480, np.nan, np.nan], equal_nan=True)
    assert np.isnan(last_spring_frost_days(weather, -2.2)).all()


def test_seasons_without_frost_count_as_early_springs_and_late_autumns() -> None:
    weather = seasons_with([[200]] * 4 + [[]] * 6)
    spring, autumn = last_spring_frost(weather), first_autumn_frost(weather)
    assert spring.frost_free_share == autumn.frost_free_share == 0.6
    assert (spring.tenth_percentile, spring.median, spring.ninetieth_percentile) == (None, None, 200)
    assert (autumn.tenth_percentile, autumn.median, autumn.ninetieth_percentile) == (200, None, None)


def test_a_frost_at_the_threshold_counts() -> None:
    weather = seasons_with([[250]])
    assert last_spring_frost(weather, -1.0).median == 250
    assert last_spring_frost(weather, -1.01).median is None
