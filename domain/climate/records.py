"""Depth 3: real seasons from daily or hourly temperatures of one to sixty years.

Rules, each told in the answer when it was used: gaps of up to five days are bridged by straight lines; a season
(midsummer to midsummer) with a longer gap is left out; sensors that stand still are taken as missing; the autumn after
the last summer, if the record ends before it, is that before it again. What cannot be put right is refused: Fahrenheit,
minima and maxima exchanged, days out of order, months of the other hemisphere.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from domain.climate.normals import MONTH_DAYS, MonthlyNormals, normals_of
from domain.climate.site import DailyRecords, HourlyRecords
from domain.climate.weather_generator import DailyWeather
from domain.problems import ContentFault, ContentFaults, pointer
from domain.season_calendar import SEASON_DAYS, YEAR_DAYS

Floats = NDArray[np.float64]

HOTTEST_C = 57.0
"""No thermometer screen has measured more (World Meteorological Organization, records of extremes: 56.7 C)."""
LONGEST_BRIDGE_DAYS = 5
STUCK_DAYS, STUCK_HOURS = 6, 30
MOST_STUCK = 0.2
FEW_EXCHANGED, MANY_EXCHANGED = 0.02, 0.5
LEAST_PERSISTENCE = 0.2
TROPIC = 23.5
NEXT_AUTUMN_DAYS = SEASON_DAYS - YEAR_DAYS
WET_MM = 1.0


@dataclass(frozen=True)
class Record:
    """The complete seasons of a record.

    hours: (seasons, SEASON_DAYS, 24) if the record is hourly. normals: monthly means of all whole months' days.
    tmin_sd_c: (12,) standard deviation of daily minima within the months. rain_known: whether normals tell rain days.
    """

    weather: DailyWeather
    hours: NDArray[np.float32] | None
    normals: MonthlyNormals
    tmin_sd_c: Floats
    notes: tuple[str, ...]


def _numbers(values: Sequence[float | None]) -> Floats:
    return np.array(values, dtype=np.float64)  # None becomes NaN


def _refuse(at: tuple[str, ...], detail: str) -> ContentFaults:
    return ContentFaults([ContentFault(pointer(*at), detail)])


def _runs(same: NDArray[np.bool_], longest: int) -> NDArray[np.bool_]:
    """Which values belong to a run of more than ``longest`` equal values (same: equal to the value before)."""
    change = np.flatnonzero(~same)
    lengths = np.diff(np.append(change, same.size))
    return np.repeat(lengths > longest, lengths)


def _check_values(at: tuple[str, ...], tmin: Floats, tmax: Floats) -> None:
    known = np.isfinite(tmin) & np.isfinite(tmax)
    if known.sum() < 300:
        raise _refuse(at, f"Only {known.sum()} days have a minimum and a maximum; at least a year is needed.")
    hot = float((np.maximum(tmax, tmin)[known] > HOTTEST_C).mean())
    if hot > 0.01:
        detail = (
            f"{hot:.0%} of the days are hotter than {HOTTEST_C:g} C, which no place is: the figures look like degrees "
            "Fahrenheit or tenths of a degree. Send degrees Celsius."
        )
        raise _refuse(at, detail)
    exchanged = float((tmin > tmax)[known].mean())
    if exchanged > FEW_EXCHANGED:
        what = (
            "minima and maxima look exchanged"
            if exchanged > MANY_EXCHANGED
            else "the two series do not belong together"
        )
        raise _refuse((*at, "tmin_c"), f"On {exchanged:.0%} of the days the minimum is above the maximum: {what}.")


def _persistence(mean: Floats, day_of_year: NDArray[np.intp]) -> float:
    """Lag-one correlation of daily means about their seasonal course."""
    angle = 2.0 * np.pi * day_of_year / YEAR_DAYS
    course = np.stack([np.ones_like(angle), np.cos(angle), np.sin(angle), np.cos(2 * angle), np.sin(2 * angle)], axis=1)
    known = np.isfinite(mean)
    fitted = np.linalg.lstsq(course[known], mean[known], rcond=None)[0]
    away = mean - course @ fitted
    pairs = np.isfinite(away[1:]) & np.isfinite(away[:-1])
    if pairs.sum() < 100 or away[1:][pairs].std() == 0.0:
        return 1.0
    return float(np.corrcoef(away[1:][pairs], away[:-1][pairs])[0, 1])


def _check_order(at: tuple[str, ...], mean: Floats, day_of_year: NDArray[np.intp], latitude: float) -> None:
    if _persistence(mean, day_of_year) < LEAST_PERSISTENCE:
        detail = "One day tells nothing of the next: the days look shuffled. Send them in the order of the calendar."
        raise _refuse(at, detail)
    if abs(latitude) < TROPIC:
        return
    month = np.searchsorted(np.cumsum(MONTH_DAYS), day_of_year, side="right")
    summer = np.nanmean(mean[np.isin(month, (5, 6, 7))])
    winter = np.nanmean(mean[np.isin(month, (11, 0, 1))])
    if (summer - winter) * np.sign(latitude) < -2.0:
        where = "south" if latitude < 0 else "north"
        detail = f"The warm months are the cold ones of a latitude in the {where}: check its sign, or the first day."
        raise _refuse(at, detail)


def _repeated_years(tmin: Floats, tmax: Floats, first: dt.date) -> list[str]:
    """Years of the record that are copies of the year before them."""
    copies = []
    for start in range(YEAR_DAYS, tmin.size - YEAR_DAYS + 1, YEAR_DAYS):
        now, before = slice(start, start + YEAR_DAYS), slice(start - YEAR_DAYS, start)
        equal = (tmin[now] == tmin[before]) & (tmax[now] == tmax[before])
        if equal.mean() > 0.8:
            copies.append(str((first + dt.timedelta(days=start)).year))
    return copies


def _bridged(values: Floats) -> Floats:
    """Gaps of up to five days filled by straight lines; a series without a value is returned as it is."""
    missing = np.isnan(values)
    if not missing.any() or missing.all():
        return values
    lengths = _run_lengths(missing)
    position = np.arange(values.size)
    filled = np.interp(position, position[~missing], values[~missing])
    inside = (position > np.flatnonzero(~missing)[0]) & (position < np.flatnonzero(~missing)[-1])
    return np.where(missing & inside & (lengths <= LONGEST_BRIDGE_DAYS), filled, values)


def _run_lengths(flag: NDArray[np.bool_]) -> NDArray[np.intp]:
    """For each position the length of the run of equal flags it belongs to."""
    change = np.flatnonzero(np.append(True, flag[1:] != flag[:-1]))
    lengths = np.diff(np.append(change, flag.size))
    return np.repeat(lengths, lengths)


def _daily_from_hourly(hours: Floats) -> tuple[Floats, Floats]:
    """Minimum and maximum of each day (days, 24); NaN where more than three hours are missing."""
    enough = np.isfinite(hours).sum(axis=1) >= 21
    low, high = np.full(len(hours), np.nan), np.full(len(hours), np.nan)
    low[enough], high[enough] = np.nanmin(hours[enough], axis=1), np.nanmax(hours[enough], axis=1)
    return low, high


def read_records(records: DailyRecords | HourlyRecords, latitude: float, at: tuple[str, ...]) -> Record:
    """The complete seasons of a record; ContentFaults with a clear word for what cannot be used."""
    notes: list[str] = []
    first = dt.date.fromisoformat(records.first_day)
    hours: Floats | None = None
    rain: Floats | None = None
    if isinstance(records, HourlyRecords):
        flat = _numbers(records.temperature_c)
        still = _runs(np.append(False, flat[1:] == flat[:-1]), STUCK_HOURS)
        flat = _without_stuck(flat, still, at, notes, "hours")
        hours = flat[: flat.size // 24 * 24].reshape(-1, 24)
        tmin, tmax = _daily_from_hourly(hours)
    else:
        tmin, tmax = _numbers(records.tmin_c), _numbers(records.tmax_c)
        rain = None if records.rain_mm is None else _numbers(records.rain_mm)
    _check_values(at, tmin, tmax)
    if hours is None:
        same = np.append(False, (tmin[1:] == tmin[:-1]) & (tmax[1:] == tmax[:-1]))
        still = _runs(same, STUCK_DAYS)
        tmin, tmax = (_without_stuck(series, still, at, notes, "days") for series in (tmin, tmax))
        turned = tmin > tmax
        if turned.any():
            tmin, tmax = np.where(turned, tmax, tmin), np.where(turned, tmin, tmax)
            notes.append(f"On {turned.sum()} days minimum and maximum stood exchanged; they were exchanged back.")
    copies = _repeated_years(tmin, tmax, first)
    if copies:
        raise _refuse(
            at, f"The year from {', '.join(copies)} repeats the year before it day by day: days were sent twice."
        )

    dates = np.datetime64(first) + np.arange(tmin.size)
    months = dates.astype("datetime64[M]")
    day, month = (dates - months).astype(int), months.astype(int) % 12
    kept = ~((month == 1) & (day == 28))  # 29 February
    day_of_year = (np.append(0, np.cumsum(MONTH_DAYS))[month] + np.minimum(day, MONTH_DAYS[month] - 1))[kept]
    tmin, tmax, month, dates = tmin[kept], tmax[kept], month[kept], dates[kept]
    rain = None if rain is None else rain[kept]
    hours = None if hours is None else hours[kept]
    _check_order(at, (tmin + tmax) / 2.0, day_of_year, latitude)
    gaps = int(np.isnan(tmin).sum())
    tmin, tmax = _bridged(tmin), _bridged(tmax)
    bridged = gaps - int(np.isnan(tmin).sum())
    if bridged:
        notes.append(
            f"{bridged} missing days in gaps of up to {LONGEST_BRIDGE_DAYS} days were bridged by straight lines."
        )

    south = latitude < 0
    starts = np.flatnonzero(day_of_year == (0 if south else int(MONTH_DAYS[:6].sum())))
    whole = [int(s) for s in starts if s + YEAR_DAYS <= tmin.size]
    complete = [s for s in whole if np.isfinite(tmin[s : s + YEAR_DAYS] + tmax[s : s + YEAR_DAYS]).all()]
    if not complete:
        begin = "1 January to 31 December" if south else "1 July to 30 June"
        raise _refuse(at, f"No season from {begin} is whole (gaps of up to {LONGEST_BRIDGE_DAYS} days are forgiven).")
    left_out = [str(int(dates[s].astype("datetime64[Y]").astype(int)) + 1970) for s in whole if s not in complete]
    if left_out:
        notes.append(f"Seasons that begin in {', '.join(left_out)} were left out: they have gaps of more than 5 days.")
    low, high = _seasons(tmin, complete), _seasons(tmax, complete)
    wet = None if rain is None else _seasons(np.where(np.isfinite(rain), rain, 0.0), complete) >= WET_MM
    weather = DailyWeather(
        south=south,
        latitude=latitude,
        tmin_c=low.astype(np.float32),
        tmax_c=high.astype(np.float32),
        wet=wet,
        first_years=tuple(int(dates[s].astype("datetime64[Y]").astype(int)) + 1970 for s in complete),
    )
    return Record(
        weather=weather,
        hours=None if hours is None else _season_hours(hours, complete),
        normals=_normals(tmin, tmax, rain, month),
        tmin_sd_c=np.array([_within_sd(tmin, month, dates, m) for m in range(12)]),
        notes=tuple(notes),
    )


def _without_stuck(
    values: Floats, still: NDArray[np.bool_], at: tuple[str, ...], notes: list[str], unit: str
) -> Floats:
    share = float(still.mean())
    if share > MOST_STUCK:
        raise _refuse(at, f"{share:.0%} of the {unit} repeat the value before them: the sensor stood still.")
    if share:
        words = f"{int(still.sum())} {unit} in which the sensor stood still were taken as missing."
        if words not in notes:
            notes.append(words)
    return np.where(still, np.nan, values)


def _seasons(series: Floats, starts: Sequence[int]) -> Floats:
    """Seasons (n, SEASON_DAYS); the autumn after the last summer is that before it where the record lacks it."""
    rows = []
    for start in starts:
        year = series[start : start + YEAR_DAYS]
        after = series[start + YEAR_DAYS : start + SEASON_DAYS]
        if after.size < NEXT_AUTUMN_DAYS or not np.isfinite(after).all():
            after = year[:NEXT_AUTUMN_DAYS]
        rows.append(np.concatenate([year, after]))
    return np.array(rows)


def _season_hours(hours: Floats, starts: Sequence[int]) -> NDArray[np.float32]:
    """Hours (n, SEASON_DAYS, 24) of the seasons, gaps bridged by straight lines."""
    flat = hours.ravel()
    known = np.isfinite(flat)
    position = np.arange(flat.size)
    flat = np.where(known, flat, np.interp(position, position[known], flat[known]))
    return np.stack([_seasons(flat.reshape(-1, 24)[:, hour], starts) for hour in range(24)], axis=2).astype(np.float32)


def _normals(tmin: Floats, tmax: Floats, rain: Floats | None, month: NDArray[np.intp]) -> MonthlyNormals:
    low = np.array([np.nanmean(tmin[month == m]) for m in range(12)])
    high = np.array([np.nanmean(tmax[month == m]) for m in range(12)])
    if rain is None or not np.isfinite(rain).any():
        return normals_of((low + high) / 2.0, high - low)
    mm = np.array([np.nanmean(rain[month == m]) for m in range(12)]) * MONTH_DAYS
    known = np.isfinite(rain)
    days = np.array([(rain[known & (month == m)] >= WET_MM).mean() for m in range(12)]) * MONTH_DAYS
    return normals_of((low + high) / 2.0, high - low, mm, days)


def _within_sd(tmin: Floats, month: NDArray[np.intp], dates: NDArray[np.datetime64], which: int) -> float:
    """Standard deviation of the minima of one month about the mean of that month in its own year."""
    year = dates.astype("datetime64[Y]").astype(int)
    squares, count = 0.0, 0
    for y in np.unique(year[month == which]):
        days = tmin[(month == which) & (year == y)]
        days = days[np.isfinite(days)]
        if days.size > 20:
            squares += float(((days - days.mean()) ** 2).sum())
            count += days.size - 1
    return float(np.sqrt(squares / count)) if count else float("nan")
