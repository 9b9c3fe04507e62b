"""Hourly temperatures from daily minima and maxima and the length of the day.

By day a sine from the minimum at sunrise to the maximum 1.5 h after noon and on towards sunset; by night an exponential
decay, with a time constant of 4 h, to the coming minimum, which it meets exactly at the next sunrise.

Source: Goudriaan J., van Laar H. H., Modelling potential crop growth processes, Kluwer, 1994 (form and constants
P = 1.5 h and TC = 4 h, as restated in public crop-model code). Times are apparent solar time.

Every hour lies between one minimum and one maximum, so an hour is ``minimum + weight * (maximum - minimum)``, where the
weight depends on hour, date and latitude only: it is computed once for a site and applied to all its years.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from domain.climate.sun import sunrise_sunset_h

HOURS = 24
MAXIMUM_AFTER_NOON_H = 1.5
NIGHT_TIME_CONSTANT_H = 4.0
_SHORTEST_H, _LONGEST_H = 2.0, 22.0  # the form needs a day and a night: polar ones are held at these lengths


@dataclass(frozen=True)
class HourWeights:
    """How hours of days lie between minima and maxima; all arrays (days, 24).

    An hour before sunrise lies between yesterday's maximum and today's minimum, one after the maximum between today's
    maximum and tomorrow's minimum, the rest between today's extremes.
    """

    weight: NDArray[np.float64]
    """0 at the minimum, 1 at the maximum."""
    yesterdays_maximum: NDArray[np.bool_]
    tomorrows_minimum: NDArray[np.bool_]


def hour_weights(day_of_year: ArrayLike, latitude: float) -> HourWeights:
    """Weights of the hours, taken at half past, of days of the year (days,) at a latitude in degrees."""
    rise, set_ = (np.atleast_1d(t)[:, None] for t in sunrise_sunset_h(day_of_year, latitude))
    length = np.clip(set_ - rise, _SHORTEST_H, _LONGEST_H)
    rise, set_ = 12 - length / 2, 12 + length / 2
    night = HOURS - length
    hour = np.arange(HOURS)[None, :] + 0.5

    def sine(at: NDArray[np.floating]) -> NDArray[np.floating]:
        wave: NDArray[np.floating] = np.sin(np.pi * (at - rise) / (length + 2 * MAXIMUM_AFTER_NOON_H))
        return wave

    after_sunset = np.where(hour < rise, hour + HOURS - set_, hour - set_)
    end = np.exp(-night / NIGHT_TIME_CONSTANT_H)
    decay = (np.exp(-after_sunset / NIGHT_TIME_CONSTANT_H) - end) / (1 - end)
    by_day = (hour >= rise) & (hour <= set_)
    return HourWeights(
        weight=np.where(by_day, sine(hour), sine(set_) * decay),
        yesterdays_maximum=hour < rise,
        tomorrows_minimum=hour > 12 + MAXIMUM_AFTER_NOON_H,
    )


def hourly_temperatures(
    tmin_c: NDArray[np.floating], tmax_c: NDArray[np.floating], weights: HourWeights
) -> NDArray[np.floating]:
    """Temperatures of the hours, C: (days, 24, series), for minima and maxima (days + 2, series).

    The first and the last day given are the neighbours of the days wanted (repeat the end days where a series ends).
    The result has the type of the minima (float32 or float64).
    """
    today = slice(1, -1)
    low = np.where(weights.tomorrows_minimum[:, :, None], tmin_c[2:, None, :], tmin_c[today, None, :])
    high = np.where(weights.yesterdays_maximum[:, :, None], tmax_c[:-2, None, :], tmax_c[today, None, :])
    high -= low
    high *= weights.weight[:, :, None].astype(tmin_c.dtype)
    high += low
    return high
