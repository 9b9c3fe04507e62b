"""Records as a CSV text, for callers whose thermometer writes one.

Two sets of columns, named in the first line, in any order:

- daily: ``date`` (YYYY-MM-DD), ``tmin_c``, ``tmax_c`` and, if known, ``rain_mm``;
- hourly: ``time`` (YYYY-MM-DDTHH:MM, local standard time, full hours; a space may stand for the T), ``temperature_c``.

Rows may come in any order; days and hours that are left out, and empty cells, are missing. A day or an hour told twice
with the same figures counts once; told twice with different ones it is a fault.
"""

import csv
import datetime as dt
import io
import math
from collections.abc import Callable, Mapping

from domain.climate.site import LONGEST_DAILY, LONGEST_HOURLY, DailyRecords, HourlyRecords
from domain.problems import ContentFault, ContentFaults, pointer

DAILY = {"date", "tmin_c", "tmax_c"}
HOURLY = {"time", "temperature_c"}
RAIN = "rain_mm"
MOST_FAULTS = 20

Moment = dt.datetime
Row = tuple[float | None, ...]


def records_of_csv(text: str, at: tuple[str, ...] = ("records",)) -> DailyRecords | HourlyRecords:
    """The records told by a CSV text; ContentFaults name the lines (the first line is 1)."""
    reader = csv.DictReader(io.StringIO(text.removeprefix("\ufeff")), strict=False)
    columns = {name.strip() for name in reader.fieldnames or () if name}
    reader.fieldnames = [name.strip() for name in reader.fieldnames or ()]
    if columns >= DAILY and columns <= DAILY | {RAIN}:
        figures = ["tmin_c", "tmax_c", *([RAIN] if RAIN in columns else [])]
        rows = _read(reader, "date", figures, _day, at)
        first, table = _filled(rows, dt.timedelta(days=1), LONGEST_DAILY, len(figures), at)
        return DailyRecords(
            first_day=first.date().isoformat(),
            tmin_c=tuple(row[0] for row in table),
            tmax_c=tuple(row[1] for row in table),
            rain_mm=tuple(row[2] for row in table) if RAIN in columns else None,
        )
    if columns == HOURLY:
        rows = _read(reader, "time", ["temperature_c"], _hour, at)
        midnight = min(rows).replace(hour=0)
        rows.setdefault(midnight, (None,))
        first, table = _filled(rows, dt.timedelta(hours=1), LONGEST_HOURLY, 1, at)
        return HourlyRecords(first_day=first.date().isoformat(), temperature_c=tuple(row[0] for row in table))
    detail = (
        "The first line must name the columns date, tmin_c, tmax_c (and rain_mm if known), or time, temperature_c; "
        f"it names {', '.join(sorted(columns)) or 'none'}."
    )
    raise ContentFaults([ContentFault(pointer(*at), detail)])


def _day(cell: str) -> Moment:
    return dt.datetime.combine(dt.date.fromisoformat(cell), dt.time())


def _hour(cell: str) -> Moment:
    moment = dt.datetime.fromisoformat(cell)
    if moment.tzinfo is not None or moment.minute or moment.second or moment.microsecond:
        raise ValueError(cell)
    return moment


def _number(cell: str | None) -> float | None:
    if cell is None or not cell.strip():
        return None
    value = float(cell)
    if not math.isfinite(value) or abs(value) > 2000.0:
        raise ValueError(cell)
    return value


def _read(
    reader: "csv.DictReader[str]",
    key: str,
    figures: list[str],
    moment_of: Callable[[str], Moment],
    at: tuple[str, ...],
) -> dict[Moment, Row]:
    rows: dict[Moment, Row] = {}
    faults: list[ContentFault] = []
    cells: Mapping[str, str | None]
    for cells in reader:
        line = f"Line {reader.line_num}"
        try:
            moment = moment_of((cells.get(key) or "").strip())
            row = tuple(_number(cells.get(figure)) for figure in figures)
        except ValueError as error:
            faults.append(ContentFault(pointer(*at), f"{line}: not a {key} with numbers ({error})."))
        else:
            if rows.setdefault(moment, row) != row:
                faults.append(ContentFault(pointer(*at), f"{line}: {cells[key]} was told before with other figures."))
        if len(faults) >= MOST_FAULTS:
            break
    if not rows and not faults:
        faults.append(ContentFault(pointer(*at), "There is no row below the names of the columns."))
    if faults:
        raise ContentFaults(faults)
    return rows


def _filled(
    rows: dict[Moment, Row], step: dt.timedelta, longest: int, width: int, at: tuple[str, ...]
) -> tuple[Moment, list[Row]]:
    """First moment, and a row for every step from it to the last moment."""
    first, last = min(rows), max(rows)
    count = round((last - first) / step) + 1
    if count > longest:
        raise ContentFaults([ContentFault(pointer(*at), "Records of more than 60 years are not read.")])
    nothing: Row = (None,) * width
    return first, [rows.get(first + number * step, nothing) for number in range(count)]
