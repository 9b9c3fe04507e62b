"""How long rain and dew keep leaves wet, where of each day no more is known than whether it was wet.

A wet day wets the leaves for some nine hours, more or less: lengths follow a Weibull distribution whose mean and spread
are chosen after the wetting periods, and the days on which 250 wet hours had come together, that the Virginia Tech
station at Winchester reported from 2010 to 2019 (Yoder K., tree fruit disease pages; short showers are not reported
there). On consecutive wet days the hours add up, since dry breaks shorter than eight hours are bridged (Biggs A. R.,
Mills table, West Virginia University). Leaves dry faster where days are far warmer than nights: wetness lasts as long
as the relative humidity stays above 87 % (threshold quoted by Ghahreman and Sahragard, Journal of Water Research in
Agriculture 27:415-428, 2013), with the dew point at the day's minimum (Allen R. G. et al., FAO-56, 1998, eq. 48).
That one distribution, so stretched, serves everywhere is common practice, no source.

Wet days may be given as flags or as chances (0 to 1); what comes back is then the chance.
"""

from functools import lru_cache
from math import gamma

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import Floats
from domain.tables.parameters import figures


class WetnessFigures(msgspec.Struct, frozen=True):
    """How long rain and dew keep leaves wet."""

    wet_day_h: float
    weibull_shape: float
    humid_above_minimum_c: float
    usual_range_c: float
    dew_h: float
    night_from_h: float
    night_to_h: float


FIGURES = figures("weather", "wetness", WetnessFigures)


LONGEST_SPELL_DAYS = 3
_STEP_H = 0.5
_LAST_H = 96.0


@lru_cache(maxsize=2)
def _survival(from_daylight: bool) -> Floats:
    """Chance (spell days 1.., half hours) that wetness that starts with a rain lasts at least so long."""
    steps = int(_LAST_H / _STEP_H)
    edges = np.arange(steps + 1) * _STEP_H
    scale = FIGURES.wet_day_h / gamma(1.0 + 1.0 / FIGURES.weibull_shape)
    below = 1.0 - np.exp(-((edges / scale) ** FIGURES.weibull_shape))
    one_day = np.diff(below)
    lengths, spells = one_day, []
    for _ in range(LONGEST_SPELL_DAYS):
        spells.append(np.append(lengths[::-1].cumsum()[::-1], 0.0))
        lengths = np.convolve(lengths, one_day)[:steps]
    survival = np.array(spells)
    if from_daylight:
        night = int((24.0 - FIGURES.night_from_h + FIGURES.night_to_h) / _STEP_H)
        day = int(24.0 / _STEP_H) - night
        padded = np.pad(survival, ((0, 0), (0, night)))
        later = [padded[:, lost : lost + steps + 1] for lost in range(1, night + 1)]
        survival = (day * survival + np.sum(later, axis=0)) / (day + night)
    table: Floats = survival.astype(np.float32)
    return table


def lasting_chance(wet: NDArray[np.floating], needed_h: Floats, *, from_daylight: bool = False) -> Floats:
    """Chance (years, days) that it rains on a day and the leaves stay wet for the hours needed.

    wet, needed_h: (years, days), inf hours where none suffice. from_daylight: of a rain that starts at night only the
    hours from 07:00 on count.
    """
    tomorrow, day_after = _following(wet, 1), _following(wet, 2)
    position = np.minimum(needed_h, _LAST_H) / np.float32(_STEP_H)
    low = position.astype(np.intp)
    share = position - low
    one, two, three = (
        row.take(low) * (1.0 - share) + np.append(row[1:], 0.0).take(low) * share for row in _survival(from_daylight)
    )
    lasts = (1.0 - tomorrow) * one + tomorrow * ((1.0 - day_after) * two + day_after * three)
    chance: Floats = np.where(needed_h < _LAST_H, wet * lasts, 0.0).astype(np.float32)
    return chance


def lasting_days(
    wet: NDArray[np.floating],
    needed_h: Floats,
    year: NDArray[np.intp],
    day: NDArray[np.intp],
    *,
    from_daylight: bool = False,
) -> Floats:
    """Days a year (years,), of some days (n,), on which it rains and leaves stay wet for the hours needed (n,):
    `lasting_chance` summed, worked out for those days alone.
    """
    some = needed_h < _LAST_H
    year, day, needed_h = year[some], day[some], needed_h[some]
    last = wet.shape[1] - 1
    days = np.stack([wet[year, np.minimum(day + later, last)] for later in range(LONGEST_SPELL_DAYS)], axis=1)
    chance = lasting_chance(days, needed_h[:, None], from_daylight=from_daylight)[:, 0]
    return np.asarray(np.bincount(year, chance, minlength=len(wet)), dtype=np.float64)


def _following(wet: NDArray[np.floating], days: int) -> NDArray[np.floating]:
    """The wet days so many days later; the last day stands for those after it."""
    later = np.empty_like(wet)
    later[:, :-days] = wet[:, days:]
    later[:, -days:] = wet[:, -1:]
    return later


def stretch(tmin_c: Floats, tmax_c: Floats) -> Floats:
    """How much longer wetness lasts than at the usual daily range, by the share of the day that is humid."""
    usual = _humid_share(np.full(1, FIGURES.usual_range_c))
    longer: Floats = (_humid_share(tmax_c - tmin_c) / usual).astype(np.float32)
    return longer


def _humid_share(range_c: Floats) -> Floats:
    half = np.maximum(range_c / 2.0, FIGURES.humid_above_minimum_c / 2.0)
    share: Floats = 0.5 + np.arcsin(FIGURES.humid_above_minimum_c / half - 1.0) / np.pi
    return share


def spell_hours(wet: NDArray[np.floating]) -> Floats:
    """Mean hours (years, days) of the wetness that starts with each day, were it to rain: longer if it rains on."""
    tomorrow = _following(wet, 1)
    hours: Floats = FIGURES.wet_day_h * (1.0 + tomorrow + tomorrow * _following(wet, 2))
    return hours


def dew_chance(wet: NDArray[np.floating]) -> Floats:
    """Chance (days,) of dew in a dry night: the share of wet days about that date.

    Common practice, no source: nights are dewy where and when it often rains, and rarely so in a dry season.
    """
    month = 31
    share = wet.mean(axis=0, dtype=np.float64)
    padded = np.pad(share, month // 2, mode="edge")
    smooth: Floats = np.convolve(padded, np.ones(month) / month, mode="valid").astype(np.float32)
    return smooth


def wet_hours(wet: NDArray[np.floating], stretched: Floats) -> Floats:
    """Expected hours (years, days) that leaves are wet on each day, by rain (stretched) or by dew."""
    hours: Floats = FIGURES.wet_day_h * stretched * wet + (1.0 - wet) * (FIGURES.dew_h * dew_chance(wet))
    return hours
