"""Records as a CSV text (RFC 4180), for callers whose thermometer writes one.

Two sets of columns, named in the first line, in any order:

- daily: ``date`` (YYYY-MM-DD), ``tmin_c``, ``tmax_c`` and, if known, ``rain_mm``;
- hourly: ``time`` (YYYY-MM-DDTHH:MM, local standard time, full hours; a space may stand for the T), ``temperature_c``.

Commas between the cells, points in the numbers. Rows may come in any order; days and hours that are left out, and empty
cells, are missing. A day or an hour told twice with the same figures counts once; told twice with different ones it is
a fault. A byte order mark and either kind of line end are forgiven, and so are empty lines.
"""

import csv
import datetime as dt
import io
import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from domain.common.faults import ContentFault, ContentFaults, pointer
from domain.site_climate.site import (
    LONGEST_DAILY,
    LONGEST_HOURLY,
    MEASURED_LIMITS_C,
    RAIN_LIMITS_MM,
    DailyRecords,
    HourlyRecords,
)

DAILY = ("date", "tmin_c", "tmax_c")
RAIN = "rain_mm"
HOURLY = ("time", "temperature_c")
MOST_FAULTS = 20
"""Faults after which reading stops."""

_EXPECTED = "the columns date, tmin_c, tmax_c (and rain_mm if known), or time, temperature_c"
_LIMITS = {"tmin_c": MEASURED_LIMITS_C, "tmax_c": MEASURED_LIMITS_C, "temperature_c": MEASURED_LIMITS_C}
_LIMITS[RAIN] = RAIN_LIMITS_MM
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_HOURS = {f"{mark}{hour:02d}:00{rest}": hour for mark in "T " for hour in range(24) for rest in ("", ":00")}
_MOST_SHOWN = 40

Row = tuple[float | None, ...]
Moments = Callable[[str], int]


@dataclass(frozen=True)
class _Columns:
    """A set of columns: how its moments are numbered, one after another, and how many a record may have."""

    key: str
    figures: tuple[str, ...]
    moments: Moments
    form: str
    longest: int


def records_of_csv(text: str, at: tuple[str, ...] = ("records",)) -> DailyRecords | HourlyRecords:
    """The records told by a CSV text; ContentFaults name line (the first is 1) and column."""
    lines = _lines(text.removeprefix("\ufeff"), at)
    names = [name.strip() for name in next(lines, (1, []))[1]]
    columns = _columns(names, at)
    rows, faults = _rows(lines, names, columns, at)
    if not rows and not faults:
        faults = [ContentFault(pointer(*at), "There is no row below the names of the columns.", line=1)]
    if faults:
        raise ContentFaults(faults)
    first, last = min(rows), max(rows)
    if columns.key == "time":
        first -= first % 24
    if last - first >= columns.longest:
        detail = "Records of more than 60 years are not read; is a year mistyped?"
        raise ContentFaults([ContentFault(pointer(*at), detail, column=columns.key)])
    series: list[list[float | None]] = [[None] * (last - first + 1) for _ in columns.figures]
    for moment, row in rows.items():
        for values, value in zip(series, row, strict=True):
            values[moment - first] = value
    told = {figure: tuple(values) for figure, values in zip(columns.figures, series, strict=True)}
    if columns.key == "time":
        return HourlyRecords(first_day=dt.date.fromordinal(first // 24).isoformat(), **told)
    return DailyRecords(first_day=dt.date.fromordinal(first).isoformat(), **told)


def _lines(text: str, at: tuple[str, ...]) -> Iterator[tuple[int, list[str]]]:
    """Number and cells of every line that is not empty; ContentFaults where the grammar of CSV is broken."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        for cells in reader:
            if cells:
                yield reader.line_num, cells
    except csv.Error as broken:
        detail = f"This line is no CSV: {broken}."
        raise ContentFaults([ContentFault(pointer(*at), detail, line=max(reader.line_num, 1))]) from broken


def _columns(names: list[str], at: tuple[str, ...]) -> _Columns:
    """Which of the sets of columns the first line names."""
    if len(set(names)) == len(names):
        if set(DAILY) <= set(names) <= {*DAILY, RAIN}:
            figures = tuple(name for name in (*DAILY[1:], RAIN) if name in names)
            return _Columns("date", figures, _days(), "YYYY-MM-DD", LONGEST_DAILY)
        if set(names) == set(HOURLY):
            return _Columns("time", HOURLY[1:], _hours(), "YYYY-MM-DDTHH:00, local standard time", LONGEST_HOURLY)
    counts = Counter(names)
    twice = next((name for name in names if counts[name] > 1), None)
    separator = next((mark for mark in (";", "\t") if any(mark in name for name in names)), None)
    if separator is not None:
        named = "semicolons" if separator == ";" else "tabs"
        detail = f"The cells are separated by {named}. Separate them by commas, and write numbers with a point: 3.5."
    elif twice:
        detail = f"The column {twice[:_MOST_SHOWN]} is named twice."
    else:
        shown = ", ".join(repr(name[:_MOST_SHOWN]) for name in names[:8]) or "none"
        detail = f"The first line must name {_EXPECTED}; it names {shown}."
    raise ContentFaults([ContentFault(pointer(*at), detail, line=1)])


def _days() -> Moments:
    """A reader of dates as numbers of days. Raises ValueError."""

    def day(cell: str) -> int:
        if not _DATE.fullmatch(cell):
            raise ValueError(cell)
        return dt.date.fromisoformat(cell).toordinal()

    return day


def _hours() -> Moments:
    """A reader of full hours as numbers of hours, which remembers the dates. Raises ValueError."""
    day, days = _days(), dict[str, int]()

    def hour(cell: str) -> int:
        date = cell[:10]
        if date not in days:
            days[date] = day(date) * 24
        try:
            return days[date] + _HOURS[cell[10:]]
        except KeyError:
            raise ValueError(cell) from None

    return hour


def _rows(
    lines: Iterator[tuple[int, list[str]]], names: list[str], columns: _Columns, at: tuple[str, ...]
) -> tuple[dict[int, Row], list[ContentFault]]:
    """Figures by moment, and the faults of the first bad lines."""
    rows: dict[int, Row] = {}
    faults: list[ContentFault] = []
    key = names.index(columns.key)
    places = [(names.index(figure), *_LIMITS[figure]) for figure in columns.figures]
    width = len(names)
    for line, cells in lines:
        try:
            if len(cells) != width:
                raise ValueError(line)
            moment = columns.moments(cells[key].strip())
            row = tuple([_number(cells[place], low, high) for place, low, high in places])
        except ValueError:
            faults.append(_bad_line(line, cells, names, columns, at))
        else:
            if rows.setdefault(moment, row) != row:
                detail = f"{cells[key].strip()} was told before with other figures."
                faults.append(ContentFault(pointer(*at), detail, line=line, column=columns.key))
        if len(faults) >= MOST_FAULTS:
            break
    return rows, faults


def _number(cell: str, low: float, high: float) -> float | None:
    if not cell or cell.isspace():
        return None
    value = float(cell)
    if not low <= value <= high or "_" in cell or not cell.isascii():
        raise ValueError(cell)
    return value


def _bad_line(line: int, cells: list[str], names: list[str], columns: _Columns, at: tuple[str, ...]) -> ContentFault:
    """What is wrong in a line that could not be read."""
    if len(cells) != len(names):
        detail = f"Expected {len(names)} cells, as the first line names; got {len(cells)}."
        if len(cells) > len(names):
            detail += " Is there a comma in a number? Write 3.5."
        return ContentFault(pointer(*at), detail, line=line)
    for name, cell in zip(names, cells, strict=True):
        shown = f"“{cell.strip()[:_MOST_SHOWN]}”"
        try:
            if name == columns.key:
                detail = f"Expected {columns.form}; got {shown}."
                columns.moments(cell.strip())
            else:
                low, high = _LIMITS[name]
                detail = f"Expected a number from {low:g} to {high:g}, such as 3.5, or nothing; got {shown}."
                _number(cell, low, high)
        except ValueError:
            return ContentFault(pointer(*at), detail, line=line, column=name)
    raise AssertionError(line)
