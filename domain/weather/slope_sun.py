"""What a slope's steepness and the way it faces do to the warmth of its days.

The beam of the sun on a slope against that on level ground, day by day, by the geometry of both (the slope's normal
times the direction to the sun, while it stands above the horizon). How much of it comes through the air: Hargreaves
and Samani as in Allen R. G. et al., Crop evapotranspiration, FAO Irrigation and Drainage Paper 56, 1998, eq. 50, by the
range of the day. Maxima rise by a figure for each MJ of the difference, set so that opposite slopes of a gorge in
Indiana bloom 6.0 days apart (Jackson M. T., Effects of microclimate on spring flowering phenology, Ecology 47:407-415,
1966, abstract), if they fell by 30 degrees. Minima are left as they are: at night the way a slope faces moved them by
half a degree at most (Fuh 1962, as printed in Fundamentals of the Physical Environment, table 8.5). Air measured round
a hill (Seo, Jeon, Yun 2008) differs by aspect as much or more; the test of it stands in tests/published/test_ground.py.
"""

from dataclasses import replace

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import YEAR_DAYS
from domain.tables.parameters import figures
from domain.weather.sun import declination
from domain.weather.weather_generator import LEAST_RANGE_C, DailyWeather, season_days_of_year

Floats = NDArray[np.float64]
Field = NDArray[np.float32]


class SlopeSunFigures(msgspec.Struct, frozen=True):
    """See parameters/weather.csv, subject slope_sun."""

    warmer_c_per_mj: float
    through_air: float
    most_through_air: float


FIGURES = figures("weather", "slope_sun", SlopeSunFigures)
SOLAR_MJ_PER_H = 4.92
"""The solar constant, 0.0820 MJ a m2 and minute (FAO-56, eq. 21), for an hour."""
STEP_H = 0.25


def beam_mj(latitude: float, steepness_deg: float = 0.0, faces_deg: float = 0.0) -> Floats:
    """Beam of the sun (365,) on a slope above the air, MJ a m2 and day.

    latitude and steepness in degrees; faces_deg: where the slope falls to, degrees clockwise from north. The level
    part of the horizon alone hides the sun.
    """
    delta = declination(np.arange(1, YEAR_DAYS + 1))[:, None]
    angle = np.radians(15.0 * (np.arange(0.0, 24.0, STEP_H) + STEP_H / 2 - 12.0))[None, :]
    phi, steep, faces = np.radians([latitude, steepness_deg, faces_deg])
    up = np.sin(phi) * np.sin(delta) + np.cos(phi) * np.cos(delta) * np.cos(angle)
    north = np.cos(phi) * np.sin(delta) - np.sin(phi) * np.cos(delta) * np.cos(angle)
    east = -np.cos(delta) * np.sin(angle)
    onto = np.cos(steep) * up + np.sin(steep) * (np.sin(faces) * east + np.cos(faces) * north)
    nearer = 1.0 + 0.033 * np.cos(2.0 * np.pi * np.arange(1, YEAR_DAYS + 1) / YEAR_DAYS)
    total: Floats = SOLAR_MJ_PER_H * STEP_H * nearer * np.where(up > 0.0, np.maximum(onto, 0.0), 0.0).sum(axis=1)
    return total


def maxima_shift(weather: DailyWeather, latitude: float, steepness_deg: float, faces_deg: float) -> Field:
    """Degrees (seasons, days) by which each day's maximum is warmer on the slope than on level ground."""
    more = beam_mj(latitude, steepness_deg, faces_deg) - beam_mj(latitude)
    of_day = more[np.asarray(season_days_of_year(weather.south), dtype=np.intp) % YEAR_DAYS]
    through = FIGURES.through_air * np.sqrt(np.maximum(weather.tmax_c - weather.tmin_c, 0.0))
    shift: Field = np.minimum(through, FIGURES.most_through_air) * (FIGURES.warmer_c_per_mj * of_day)[None, :]
    return shift.astype(np.float32)


def with_maxima_shifted(weather: DailyWeather, latitude: float, steepness_deg: float, faces_deg: float) -> DailyWeather:
    """The same weather on a slope; nights stay as they are."""
    least = weather.tmin_c + np.float32(LEAST_RANGE_C)
    warmer = weather.tmax_c + maxima_shift(weather, latitude, steepness_deg, faces_deg)
    return replace(weather, tmax_c=np.maximum(warmer, np.minimum(least, weather.tmax_c)))
