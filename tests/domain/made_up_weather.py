"""Made-up weather for tests: a plain yearly wave, the same every season unless told otherwise."""

import numpy as np

from domain.common.season_days import SEASON_DAYS
from domain.weather.seasons import Seasons, seasons
from domain.weather.weather_generator import DailyWeather


def wave(
    mean_c: float, half_swing_c: float, half_range_c: float = 5.0, count: int = 3, south: bool = False
) -> DailyWeather:
    """Seasons from midsummer: warmest at the start, coldest half a year later."""
    day = np.arange(SEASON_DAYS, dtype=np.float32)
    middle = mean_c + half_swing_c * np.cos(2.0 * np.pi * (day - 15.0) / 365.0)
    field = np.repeat(middle[None, :], count, axis=0).astype(np.float32)
    return DailyWeather(
        south=south,
        latitude=-45.0 if south else 45.0,
        tmin_c=(field - np.float32(half_range_c)).astype(np.float32),
        tmax_c=(field + np.float32(half_range_c)).astype(np.float32),
    )


def wave_seasons(mean_c: float, half_swing_c: float, **kwargs: float) -> Seasons:
    """The seasons of such a wave."""
    return seasons(wave(mean_c, half_swing_c, **kwargs))  # type: ignore[arg-type]  # passed on as given
