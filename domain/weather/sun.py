"""Sun geometry: declination, equation of time, day length, sunrise and sunset.

Angles of the sun by the day of the year alone: within 0.3 degree of the true declination over a leap cycle, which at
50 degrees of latitude is within 4 minutes of day length. Beyond the polar circles the sun may not rise or set: day
length is then 0 or 24 h, never an error.

Source: Spencer J. W., Fourier series representation of the position of the sun, Search 2(5):172, 1971 (declination
and equation of time; the coefficients 0.000075 and 0.04089 of many reprints are misprints of 0.0000075 and 0.040849);
Allen R. G. et al., Crop evapotranspiration, FAO Irrigation and Drainage Paper 56, 1998, eq. 25 and 34 (hour angle).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

GEOMETRIC_DEG = 0.0
"""Sun's altitude at which its centre stands on the horizon, without refraction (FAO-56)."""
UPPER_LIMB_DEG = -0.8333
"""Sun's altitude at which its upper limb shows, with mean refraction: sunrise as almanacs print it."""


def _year_angle(day_of_year: ArrayLike) -> Floats:
    return 2 * np.pi * (np.asarray(day_of_year, dtype=np.float64) - 1) / 365


def declination(day_of_year: ArrayLike) -> Floats:
    """Declination of the sun, radians, by day of the year (1 to 365)."""
    g = _year_angle(day_of_year)
    cosines = 0.006918 - 0.399912 * np.cos(g) - 0.006758 * np.cos(2 * g) - 0.002697 * np.cos(3 * g)
    return cosines + 0.070257 * np.sin(g) + 0.000907 * np.sin(2 * g) + 0.00148 * np.sin(3 * g)


def equation_of_time_minutes(day_of_year: ArrayLike) -> Floats:
    """Apparent minus mean solar time, minutes, by day of the year."""
    g = _year_angle(day_of_year)
    sines = 0.032077 * np.sin(g) + 0.040849 * np.sin(2 * g)
    return 1440 / (2 * np.pi) * (0.0000075 + 0.001868 * np.cos(g) - 0.014615 * np.cos(2 * g) - sines)


def hour_angle(latitude: ArrayLike, sun_declination: ArrayLike, altitude_deg: float = GEOMETRIC_DEG) -> Floats:
    """Hour angle, radians from 0 to pi, at which the sun sets below an altitude.

    latitude in degrees, declination in radians (broadcast together). 0 where the sun never rises above the altitude
    on that day, pi where it never sets.
    """
    phi = np.radians(np.clip(np.asarray(latitude, dtype=np.float64), -89.999, 89.999))
    delta = np.asarray(sun_declination, dtype=np.float64)
    above = np.sin(np.radians(altitude_deg)) - np.sin(phi) * np.sin(delta)
    result: Floats = np.arccos(np.clip(above / (np.cos(phi) * np.cos(delta)), -1.0, 1.0))
    return result


def day_length_h(day_of_year: ArrayLike, latitude: ArrayLike, altitude_deg: float = UPPER_LIMB_DEG) -> Floats:
    """Hours from sunrise to sunset (0 to 24), by day of the year and latitude in degrees, broadcast together."""
    return 24 / np.pi * hour_angle(latitude, declination(day_of_year), altitude_deg)


def sunrise_sunset_h(
    day_of_year: ArrayLike, latitude: ArrayLike, altitude_deg: float = UPPER_LIMB_DEG
) -> tuple[Floats, Floats]:
    """Hours of sunrise and sunset in apparent solar time (noon at 12), by day of the year and latitude in degrees."""
    half = day_length_h(day_of_year, latitude, altitude_deg) / 2
    return 12 - half, 12 + half
