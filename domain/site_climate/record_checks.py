"""Records that cannot be what they say: refused with a word for the likely mistake, or told as a warning.

Degrees Fahrenheit or tenths, minima and maxima exchanged, days sent twice or out of order, months of the other
hemisphere, hours out of order are refused. A year that is warmest in a strange month, and days that are warmest in a
strange hour, are told: such climates and such clocks exist. The limits are set wide of real weather: common practice of
quality control, no source, except where one stands beside them.
"""

import datetime as dt

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.faults import ContentFault, ContentFaults, pointer
from domain.common.season_days import YEAR_DAYS
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say
from domain.weather.normals import MONTH_DAYS

Floats = NDArray[np.float64]


class RecordCheckFigures(msgspec.Struct, frozen=True):
    """When a record is questioned or refused."""

    least_days: int
    hottest_c: float
    most_too_hot: float
    few_exchanged: float
    many_exchanged: float
    most_as_before: float
    repeated_days: int
    least_persistence: float
    seasonal_c: float
    months_off_days: int
    most_hourly_step: float
    least_daily_wave_c: float


FIGURES = figures("site_climate", "record_checks", RecordCheckFigures)
TROPIC = 23.5
WARMEST_DAY = {False: 200, True: 18}
"""Day of the year about which a temperate year is warmest, by hemisphere (south True)."""
WARMEST_HOURS = range(11, 19)


def refusal(at: tuple[str, ...], detail: str) -> ContentFaults:
    """One fault of a record, to be raised."""
    return ContentFaults([ContentFault(pointer(*at), detail)])


def check_values(at: tuple[str, ...], tmin: Floats, tmax: Floats) -> None:
    """Refuse too few days, other units than C, and minima above maxima; daily extremes (days,), NaN where missing."""
    known = np.isfinite(tmin) & np.isfinite(tmax)
    if known.sum() < FIGURES.least_days:
        raise refusal(at, f"Only {known.sum()} days have a minimum and a maximum; at least a year is needed.")
    hot = float((np.maximum(tmax, tmin)[known] > FIGURES.hottest_c).mean())
    if hot > FIGURES.most_too_hot:
        detail = (
            f"{hot:.0%} of the days are hotter than {FIGURES.hottest_c:g} C, which no place is: the figures look like "
            "degrees Fahrenheit or tenths of a degree. Send degrees Celsius."
        )
        raise refusal(at, detail)
    exchanged = float((tmin > tmax)[known].mean())
    if exchanged > FIGURES.few_exchanged:
        what = (
            "minima and maxima look exchanged"
            if exchanged > FIGURES.many_exchanged
            else "the two series do not belong together"
        )
        raise refusal((*at, "tmin_c"), f"On {exchanged:.0%} of the days the minimum is above the maximum: {what}.")


def check_twice(at: tuple[str, ...], tmin: Floats, tmax: Floats) -> None:
    """Refuse a record in which every day stands twice, one after the other."""
    as_before = (tmin[1:] == tmin[:-1]) & (tmax[1:] == tmax[:-1])
    runs = np.diff(np.flatnonzero(np.append(~as_before, True)))
    if as_before.mean() > FIGURES.most_as_before and runs.size and np.median(runs) == 2:
        raise refusal(at, f"{as_before.mean():.0%} of the days repeat the day before them: days were sent twice.")


def check_repeated(at: tuple[str, ...], tmin: Floats, tmax: Floats, first: dt.date) -> None:
    """Refuse a record in which twenty days or more stand again at another time, such as a year sent twice."""
    tenths = np.rint(np.nan_to_num(tmin, nan=-999.0) * 10.0) * 20_011.0 + np.rint(np.nan_to_num(tmax) * 10.0)
    windows = np.lib.stride_tricks.sliding_window_view(tenths, FIGURES.repeated_days)
    factors = np.random.default_rng(7).integers(1, 2**20, FIGURES.repeated_days).astype(np.float64)
    known = np.lib.stride_tricks.sliding_window_view(np.isfinite(tmin) & np.isfinite(tmax), FIGURES.repeated_days).all(
        axis=1
    )
    starts = np.flatnonzero(known)
    marks = (windows @ factors)[starts]
    order = np.argsort(marks, kind="stable")
    alike = np.flatnonzero(marks[order][1:] == marks[order][:-1])
    pairs = [(int(starts[order[k]]), int(starts[order[k + 1]])) for k in alike]
    found = [(a, b) for a, b in pairs if np.array_equal(windows[a], windows[b])]
    if found:
        before, again = (first + dt.timedelta(days=day) for day in min(found, key=lambda pair: (pair[1], pair[0])))
        detail = f"The days from {again} repeat those from {before}, day by day: days were sent twice."
        raise refusal(at, detail)


def _seasonal_course(day_of_year: NDArray[np.intp]) -> Floats:
    angle = 2.0 * np.pi * day_of_year / YEAR_DAYS
    return np.stack([np.ones_like(angle), np.cos(angle), np.sin(angle), np.cos(2 * angle), np.sin(2 * angle)], axis=1)


def persistence(away: Floats) -> float:
    """Lag-one correlation of daily means about their seasonal course (days,); 1 where it cannot be told."""
    pairs = np.isfinite(away[1:]) & np.isfinite(away[:-1])
    if pairs.sum() < 100 or away[1:][pairs].std() == 0.0:
        return 1.0
    return float(np.corrcoef(away[1:][pairs], away[:-1][pairs])[0, 1])


def check_order(at: tuple[str, ...], mean: Floats, day_of_year: NDArray[np.intp], latitude: float) -> list[Sentence]:
    """Refuse shuffled days and months of the other hemisphere; a warning where the year is warmest at an odd time.

    mean: daily means (days,), C. day_of_year: 0 to 364.
    """
    course = _seasonal_course(day_of_year)
    known = np.isfinite(mean)
    fitted = np.linalg.lstsq(course[known], mean[known], rcond=None)[0]
    if persistence(mean - course @ fitted) < FIGURES.least_persistence:
        detail = "One day tells nothing of the next: the days look shuffled. Send them in the order of the calendar."
        raise refusal(at, detail)
    if abs(latitude) < TROPIC:
        return []
    south = latitude < 0
    month = np.searchsorted(np.cumsum(MONTH_DAYS), day_of_year, side="right")
    summer = np.nanmean(mean[np.isin(month, (5, 6, 7))])
    winter = np.nanmean(mean[np.isin(month, (11, 0, 1))])
    if (summer - winter) * np.sign(latitude) < -2.0:
        where = "south" if south else "north"
        detail = f"The warm months are the cold ones of a latitude in the {where}: check its sign, or the first day."
        raise refusal(at, detail)
    warmest = float(np.degrees(np.arctan2(fitted[2], fitted[1])) / 360.0 * YEAR_DAYS)
    off = (warmest - WARMEST_DAY[south] + YEAR_DAYS / 2) % YEAR_DAYS - YEAR_DAYS / 2
    if float(np.hypot(fitted[1], fitted[2])) > FIGURES.seasonal_c and abs(off) > FIGURES.months_off_days:
        return [say("record_warmest_late" if off > 0 else "record_warmest_early", days=abs(off))]
    return []


def check_hours(at: tuple[str, ...], hours: Floats) -> list[Sentence]:
    """Refuse hours out of order within their days; a warning where the days are warmest at an odd hour.

    hours: (days, 24), C, NaN where missing.
    """
    whole = hours[np.isfinite(hours).all(axis=1)]
    if not len(whole):
        return []
    step = np.abs(np.diff(whole, axis=1)).mean()
    if step > FIGURES.most_hourly_step * max(float(np.ptp(whole, axis=1).mean()), 0.1):
        raise refusal(at, "One hour tells nothing of the next: the hours look shuffled. Send them in their order.")
    wave = whole.mean(axis=0)
    warmest = int(wave.argmax())
    if np.ptp(wave) > FIGURES.least_daily_wave_c and warmest not in WARMEST_HOURS:
        return [say("record_warmest_hour", hour=warmest)]
    return []
