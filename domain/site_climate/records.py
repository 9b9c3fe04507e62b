"""Depth 3: real seasons from daily or hourly temperatures of one to sixty years.

Rules, each told in the answer when it was used: gaps of up to five days are bridged by straight lines; a season
(midsummer to midsummer) with a longer gap is left out; sensors that stand still are taken as missing; the autumn after
the last summer, if the record ends before it, is that before it again. What cannot be put right is refused: Fahrenheit,
minima and maxima exchanged, days out of order, months of the other hemisphere.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import SEASON_DAYS, YEAR_DAYS
from domain.site_climate import record_checks
from domain.site_climate.record_checks import refusal
from domain.site_climate.site import DailyRecords, HourlyRecords
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say
from domain.weather.normals import MONTH_DAYS, MonthlyNormals, normals_of
from domain.weather.weather_generator import DailyWeather

Floats = NDArray[np.float64]
Real = TypeVar("Real", bound=np.floating)


class RecordFigures(msgspec.Struct, frozen=True):
    """What of a record is bridged, or said to stand still."""

    longest_bridge_days: int
    stuck_days: int
    stuck_hours: int
    stuck_days_alone: int
    most_stuck: float


FIGURES = figures("site_climate", "records", RecordFigures)
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
    notes: tuple[Sentence, ...]


FEW_DAYS = 20
"""With no more days than these a month of a year says nothing of how its days differ."""


_PACKED = np.dtype([("mark", "u1"), ("number", ">f8")])
_IS_NUMBER = 0xCB
"""A number as MessagePack writes it."""


def _numbers(values: Sequence[float | None]) -> Floats:
    """The values, NaN for None. Packed first: an array of half a million of them is made in a quarter of the time."""
    packed = msgspec.msgpack.encode(values)
    start = len(packed) - _PACKED.itemsize * len(values)
    if start >= 0:
        read = np.frombuffer(packed, _PACKED, offset=start)
        if (read["mark"] == _IS_NUMBER).all():
            return read["number"].astype(np.float64)
    return np.array(values, dtype=np.float64)


def _as_before(values: Floats) -> NDArray[np.bool_]:
    """Which values equal the one before."""
    return np.append(False, values[1:] == values[:-1])


def _runs(same: NDArray[np.bool_], longest: int) -> NDArray[np.bool_]:
    """Which values belong to a run of more than ``longest`` equal values (same: equal to the value before)."""
    change = np.flatnonzero(~same)
    lengths = np.diff(np.append(change, same.size))
    return np.repeat(lengths > longest, lengths)


def _bridged(values: Floats) -> Floats:
    """Gaps of up to five days filled by straight lines; a series without a value is returned as it is."""
    missing = np.isnan(values)
    if not missing.any() or missing.all():
        return values
    lengths = _run_lengths(missing)
    position = np.arange(values.size)
    filled = np.interp(position, position[~missing], values[~missing])
    inside = (position > np.flatnonzero(~missing)[0]) & (position < np.flatnonzero(~missing)[-1])
    return np.where(missing & inside & (lengths <= FIGURES.longest_bridge_days), filled, values)


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
    notes: list[Sentence] = []
    first = dt.date.fromisoformat(records.first_day)
    hours: Floats | None = None
    rain: Floats | None = None
    if isinstance(records, HourlyRecords):
        flat = _numbers(records.temperature_c)
        still = _runs(_as_before(flat), FIGURES.stuck_hours)
        flat = _without_stuck(flat, still, at, notes, "hours")
        hours = flat[: flat.size // 24 * 24].reshape(-1, 24)
        tmin, tmax = _daily_from_hourly(hours)
    else:
        tmin, tmax = _numbers(records.tmin_c), _numbers(records.tmax_c)
        rain = None if records.rain_mm is None else _numbers(records.rain_mm)
    record_checks.check_values(at, tmin, tmax)
    if hours is not None:
        notes += record_checks.check_hours(at, hours)
    else:
        record_checks.check_twice(at, tmin, tmax)
        same_low, same_high = _as_before(tmin), _as_before(tmax)
        both = _runs(same_low & same_high, FIGURES.stuck_days)
        low_still, high_still = (both | _runs(same, FIGURES.stuck_days_alone) for same in (same_low, same_high))
        tmin = _without_stuck(tmin, low_still, at, notes, "days")
        tmax = _without_stuck(tmax, high_still, at, notes, "days")
        turned = tmin > tmax
        if turned.any():
            tmin, tmax = np.where(turned, tmax, tmin), np.where(turned, tmin, tmax)
            notes.append(say("record_exchanged_back", days=int(turned.sum())))
    record_checks.check_repeated(at, tmin, tmax, first)
    dates = np.datetime64(first) + np.arange(tmin.size)
    months = dates.astype("datetime64[M]")
    day, month = (dates - months).astype(int), months.astype(int) % 12
    kept = ~((month == 1) & (day == 28))  # 29 February
    day_of_year = (np.append(0, np.cumsum(MONTH_DAYS))[month] + np.minimum(day, MONTH_DAYS[month] - 1))[kept]
    tmin, tmax, month, dates = tmin[kept], tmax[kept], month[kept], dates[kept]
    rain = None if rain is None else rain[kept]
    hours = None if hours is None else hours[kept]
    notes += record_checks.check_order(at, (tmin + tmax) / 2.0, day_of_year, latitude)
    gaps = int(np.isnan(tmin).sum())
    tmin, tmax = _bridged(tmin), _bridged(tmax)
    bridged = gaps - int(np.isnan(tmin).sum())
    if bridged:
        notes.append(say("record_gaps_bridged", days=bridged, longest_days=FIGURES.longest_bridge_days))

    south = latitude < 0
    starts = np.flatnonzero(day_of_year == (0 if south else int(MONTH_DAYS[:6].sum())))
    whole = [int(s) for s in starts if s + YEAR_DAYS <= tmin.size]
    complete = [s for s in whole if np.isfinite(tmin[s : s + YEAR_DAYS] + tmax[s : s + YEAR_DAYS]).all()]
    if not complete:
        begin = "1 January to 31 December" if south else "1 July to 30 June"
        raise refusal(
            at, f"No season from {begin} is whole (gaps of up to {FIGURES.longest_bridge_days} days are forgiven)."
        )
    left_out = [str(int(dates[s].astype("datetime64[Y]").astype(int)) + 1970) for s in whole if s not in complete]
    if left_out:
        longest = FIGURES.longest_bridge_days
        notes.append(say("record_seasons_left_out", years=tuple(left_out), longest_days=longest))
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
        hours=None if hours is None else _season_hours(hours, complete, np.isfinite(tmin + tmax)),
        normals=_normals(tmin, tmax, rain, month),
        tmin_sd_c=_within_sd(tmin, month, dates),
        notes=tuple(notes),
    )


def _without_stuck(
    values: Floats, still: NDArray[np.bool_], at: tuple[str, ...], notes: list[Sentence], unit: Literal["days", "hours"]
) -> Floats:
    share = float(still.mean())
    if share > FIGURES.most_stuck:
        raise refusal(at, f"{share:.0%} of the {unit} repeat the value before them: the sensor stood still.")
    if share:
        code = "record_days_stood_still" if unit == "days" else "record_hours_stood_still"
        note = say(code, count=int(still.sum()))
        if note not in notes:
            notes.append(note)
    return np.where(still, np.nan, values)


def _seasons(series: NDArray[Real], starts: Sequence[int]) -> NDArray[Real]:
    """Seasons (n, SEASON_DAYS, ...) of a series of days (days, ...).

    The autumn after the last summer is that before it where the record lacks it.
    """
    rows = []
    for start in starts:
        year = series[start : start + YEAR_DAYS]
        after = series[start + YEAR_DAYS : start + SEASON_DAYS]
        if len(after) < NEXT_AUTUMN_DAYS or not np.isfinite(after).all():
            after = year[:NEXT_AUTUMN_DAYS]
        rows.append(np.concatenate([year, after]))
    return np.array(rows)


def _season_hours(hours: Floats, starts: Sequence[int], known_days: NDArray[np.bool_]) -> NDArray[np.float32]:
    """Hours (n, SEASON_DAYS, 24) of the seasons, gaps bridged by straight lines, but for days that stay unknown."""
    flat = hours.ravel()
    known = np.isfinite(flat)
    if not known.all():
        position = np.arange(flat.size)
        flat = np.where(known, flat, np.interp(position, position[known], flat[known]))
    days = np.where(known_days[:, None], flat.reshape(-1, 24), np.nan)
    return _seasons(days.astype(np.float32), starts)


def _normals(tmin: Floats, tmax: Floats, rain: Floats | None, month: NDArray[np.intp]) -> MonthlyNormals:
    low = np.array([np.nanmean(tmin[month == m]) for m in range(12)])
    high = np.array([np.nanmean(tmax[month == m]) for m in range(12)])
    if rain is None or not np.isfinite(rain).any():
        return normals_of((low + high) / 2.0, high - low)
    mm = np.array([np.nanmean(rain[month == m]) for m in range(12)]) * MONTH_DAYS
    known = np.isfinite(rain)
    days = np.array([(rain[known & (month == m)] >= WET_MM).mean() for m in range(12)]) * MONTH_DAYS
    return normals_of((low + high) / 2.0, high - low, mm, days)


def _within_sd(tmin: Floats, month: NDArray[np.intp], dates: NDArray[np.datetime64]) -> Floats:
    """Standard deviation (12,) of the minima of each month about the mean of that month in its own year."""
    known = np.isfinite(tmin)
    group = dates[known].astype("datetime64[M]").astype(int)
    group -= group.min()
    days, minima = np.bincount(group), tmin[known]
    mean = np.bincount(group, minima) / np.maximum(days, 1)
    counts = (days > FEW_DAYS)[group]
    of_month, away = month[known][counts], (minima - mean[group])[counts]
    squares = np.bincount(of_month, away**2, minlength=12)
    months = np.zeros(days.size, dtype=np.intp)
    months[group] = month[known]
    free = np.bincount(months, np.where(days > FEW_DAYS, days - 1, 0), minlength=12)
    return np.sqrt(np.where(free > 0, squares / np.maximum(free, 1), np.nan))
