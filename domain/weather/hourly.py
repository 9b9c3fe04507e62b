"""Hourly temperatures from daily minima and maxima and the length of the day.

By day a sine that leaves the minimum near sunrise and passes the maximum some two hours after noon; from sunset an
exponential decay towards the coming minimum. Times are apparent solar time.

Source: Parton W. J., Logan J. A., A model for diurnal variation in soil and air temperature, Agricultural Meteorology
23:205-216, 1981 (form, and constants for air at 150 cm at Denver, as restated in public code); the constants of Wann M.
et al. 1985 are the means of five North Carolina sites. Against six open hourly series (Illinois, two in Britain, two at
New York, Melbourne), hours made from the daily extremes with the Denver constants give chill portions within 3 %, hours
below 7.2 C within 6 % except in Melbourne (-34 % of few), and growing degree hours within 3 %.

Every hour lies between two temperatures of its day, in a share that depends on hour, date and latitude only: the shares
are computed once for a site and applied to all its years.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from domain.weather.sun import sunrise_sunset_h

Floats = NDArray[np.floating]

HOURS = 24
_SHORTEST_H, _LONGEST_H = 2.0, 22.0  # the form needs a day and a night: polar ones are held at these lengths


@dataclass(frozen=True)
class Lags:
    """Constants of the form: lag of the maximum after noon and of the minimum after sunrise (h), nightly decay."""

    maximum_h: float
    minimum_h: float
    decay: float


DENVER = Lags(maximum_h=1.86, minimum_h=-0.17, decay=2.20)
NORTH_CAROLINA = Lags(maximum_h=2.59, minimum_h=1.55, decay=2.20)


@dataclass(frozen=True)
class HourWeights:
    """Where the hours of days lie between two temperatures; arrays (days, 24), but for the sunset (days,).

    By day between the minimum (0) and the maximum (1); in the evening between tomorrow's minimum (0) and the
    temperature at sunset (1); in the morning between today's minimum (0) and yesterday's sunset (1).
    """

    weight: Floats
    morning: NDArray[np.bool_]
    evening: NDArray[np.bool_]
    sunset: Floats
    """Where the temperature at sunset lies between the day's minimum and maximum."""
    sunset_before: Floats
    """The same of the day before."""

    def of(self, days: slice) -> "HourWeights":
        """The weights of some of the days."""
        return HourWeights(*(values[days] for values in vars(self).values()))


def sunset_weight(rise_h: Floats, set_h: Floats, lags: Lags = DENVER) -> Floats:
    """Where the temperature at sunset lies between the minimum (0) and the maximum (1) of the day."""
    return _sine(set_h, rise_h, set_h, lags)


def weights_at(hour: Floats, rise_h: Floats, set_h: Floats, lags: Lags = DENVER) -> Floats:
    """Share of the upper temperature (HourWeights) at hours of the day, broadcast with hours of sunrise and sunset."""
    night = HOURS - (set_h - rise_h) + lags.minimum_h
    since_sunset = np.where(hour > set_h, hour - set_h, hour + HOURS - set_h)
    by_night = np.exp(-lags.decay * since_sunset / night)
    return np.where(_by_day(hour, rise_h, set_h, lags), _sine(hour, rise_h, set_h, lags), by_night)


def _by_day(hour: Floats, rise_h: Floats, set_h: Floats, lags: Lags) -> NDArray[np.bool_]:
    return (hour >= rise_h + lags.minimum_h) & (hour <= set_h)


def _sine(hour: Floats, rise_h: Floats, set_h: Floats, lags: Lags) -> Floats:
    stretch = set_h - rise_h + 2 * (lags.maximum_h - lags.minimum_h)
    wave: Floats = np.sin(np.pi * (hour - rise_h - lags.minimum_h) / stretch)
    return wave


def hour_weights(day_of_year: ArrayLike, latitude: float, lags: Lags = DENVER) -> HourWeights:
    """Weights of the hours, taken at half past, of days of the year (days,) at a latitude in degrees."""
    rise, set_ = (t[:, None] for t in _held(np.atleast_1d(np.asarray(day_of_year)), latitude))
    rise_before, set_before = _held(np.atleast_1d(np.asarray(day_of_year)) - 1, latitude)
    hour = np.arange(HOURS)[None, :] + 0.5
    by_day = _by_day(hour, rise, set_, lags)
    return HourWeights(
        weight=weights_at(hour, rise, set_, lags),
        morning=~by_day & (hour < 12),
        evening=~by_day & (hour >= 12),
        sunset=sunset_weight(rise, set_, lags)[:, 0],
        sunset_before=sunset_weight(rise_before, set_before, lags),
    )


def _held(day_of_year: NDArray[np.integer], latitude: float) -> tuple[Floats, Floats]:
    rise, set_ = sunrise_sunset_h(day_of_year, latitude)
    half = np.clip(set_ - rise, _SHORTEST_H, _LONGEST_H) / 2
    return 12 - half, 12 + half


def hourly_temperatures(
    tmin_c: NDArray[np.floating], tmax_c: NDArray[np.floating], weights: HourWeights
) -> NDArray[np.floating]:
    """Temperatures of the hours, C: (days, 24, series), for minima and maxima (days + 2, series).

    The first and the last day given are the neighbours of the days wanted (repeat the end days where a series ends).
    The result has the type of the minima (float32 or float64). Any other unit of temperature does as well.
    """
    days, count = len(tmin_c) - 2, tmin_c.shape[1]
    hours = np.empty((days, HOURS, count), dtype=tmin_c.dtype)
    for _ in hour_by_hour(tmin_c, tmax_c, weights, tuple(np.moveaxis(hours, 1, 0))):
        pass
    return hours


def hour_by_hour(
    tmin_c: NDArray[np.floating],
    tmax_c: NDArray[np.floating],
    weights: HourWeights,
    into: Sequence[NDArray[np.floating]] | None = None,
) -> Iterator[NDArray[np.floating]]:
    """Temperatures (days, series) of the first hour of all days, of the second, and so on; arguments as in
    `hourly_temperatures`.

    into: the arrays to write them to; one, valid until the next hour, if left out.
    """
    kind = tmin_c.dtype
    at_sunset = weights.sunset.astype(kind)[:, None]
    before = weights.sunset_before.astype(kind)[:, None]
    minimum, maximum = tmin_c[1:-1], tmax_c[1:-1]
    evening_high = minimum + at_sunset * (maximum - minimum)
    morning_high = tmin_c[:-2] + before * (tmax_c[:-2] - tmin_c[:-2])
    share = weights.weight.astype(kind)
    slots = (np.empty(minimum.shape, dtype=kind),) * HOURS if into is None else into
    # Hour by hour: nearly all days of a block have the same hours of day and night, and no index array is needed then.
    mornings, evenings = weights.morning.sum(axis=0).tolist(), weights.evening.sum(axis=0).tolist()
    for hour, slot in enumerate(slots):
        morning, evening = weights.morning[:, hour], weights.evening[:, hour]
        low = _chosen(evening, evenings[hour], tmin_c[2:], minimum)
        by_day = _chosen(morning, mornings[hour], morning_high, maximum)
        high = _chosen(evening, evenings[hour], evening_high, by_day)
        np.subtract(high, low, out=slot)
        np.multiply(slot, share[:, hour, None], out=slot)
        np.add(slot, low, out=slot)
        yield slot


def _chosen(
    which: NDArray[np.bool_], count: int, then: NDArray[np.floating], other: NDArray[np.floating]
) -> NDArray[np.floating]:
    """Rows of `then` where `which` (days,) holds, which is on `count` days, and of `other` elsewhere."""
    if count == len(which):
        return then
    if not count:
        return other
    return np.where(which[:, None], then, other)
