"""Heat: growing degree hours and degree days.

Sources: Anderson J. L., Richardson E. A., Kesner C. D., Validation of chill unit and flower bud phenology models for
'Montmorency' sour cherry, Acta Horticulturae 184:71-78, 1986 (ASYMCUR growing degree hours, restated in public code);
University of California Statewide IPM Program, degree-day calculator (single sine, horizontal cutoff).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.floating]

GDH_BASE_C, GDH_OPTIMUM_C, GDH_CRITICAL_C = 4.0, 25.0, 36.0


def growing_degree_hours(temperature_c: Floats) -> Floats:
    """Growing degree hours of each hour (ASYMCUR, stress factor 1): 0 at 4 C and below, 21 at 25 C, 0 from 36 C.

    Any shape; keeps the float type.
    """
    rise = GDH_OPTIMUM_C - GDH_BASE_C
    # One cosine serves both branches: below the optimum (1 - cos(pi x)) / 2, above it 1 - sin(pi/2 y) = 1 - cos(...).
    t = np.clip(temperature_c, GDH_BASE_C, GDH_CRITICAL_C)
    warm = t > GDH_OPTIMUM_C
    below = (t - GDH_BASE_C) * (np.pi / rise)
    above = (GDH_CRITICAL_C - t) * (np.pi / 2 / (GDH_CRITICAL_C - GDH_OPTIMUM_C))
    curve = np.cos(np.where(warm, above, below))
    result: Floats = np.where(warm, rise * (1 - curve), rise / 2 * (1 - curve))
    return result


def _sine_above(tmin_c: Floats, tmax_c: Floats, threshold_c: float) -> Floats:
    mean, half = (tmax_c + tmin_c) / 2, (tmax_c - tmin_c) / 2
    ratio = np.clip((threshold_c - mean) / np.where(half > 0, half, 1.0), -1.0, 1.0)
    angle = np.arcsin(ratio)
    partial = ((mean - threshold_c) * (np.pi / 2 - angle) + half * np.sqrt(1 - ratio**2)) / np.pi
    result: Floats = np.where(threshold_c >= tmax_c, 0.0, np.where(threshold_c <= tmin_c, mean - threshold_c, partial))
    return result


def degree_days(
    tmin_c: ArrayLike, tmax_c: ArrayLike, lower_c: float, upper_c: float | None = None
) -> NDArray[np.floating]:
    """Degree days (C day) of each day between thresholds, by a single sine through its minimum and maximum.

    With an upper threshold the count is cut off horizontally: warmth above it adds nothing. Keeps the float type.
    """
    low, high = (np.asarray(t) for t in (tmin_c, tmax_c))
    low, high = (t if np.issubdtype(t.dtype, np.floating) else t.astype(np.float64) for t in (low, high))
    total = _sine_above(low, high, lower_c)
    return total if upper_c is None else total - _sine_above(low, high, upper_c)
