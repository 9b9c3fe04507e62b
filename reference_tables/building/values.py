"""Numbers out of value cells: single values, ranges, bounds and recurring dates in the spellings of many texts."""

import calendar
import datetime as dt
import re

Bounds = tuple[float | None, float | None]

_NUMBER = r"[-−+]?\d+(?:\.\d+)?"
_SINGLE = re.compile(rf"^(?:about |ca\.? ?|c\. ?|~)?({_NUMBER})$")
_RANGE = re.compile(rf"^({_NUMBER})\s*(?:\.\.|–|—|\bto\b|-)\s*({_NUMBER})$")
_UPPER = re.compile(
    rf"^(?:<|<=|≤|below |under |up to |at most )\s*(?:{_NUMBER}\s*\.\.\s*)?({_NUMBER})$|^({_NUMBER}) or less$"
)
_UPPER_RANGE = re.compile(rf"^\.\.({_NUMBER})$")
_LOWER = re.compile(
    rf"^(?:>|>=|≥|above |over |at least |more than )\s*({_NUMBER})$|^({_NUMBER})\s*(?:\.\.|\+| or more)$"
)
_DATE = re.compile(r"^(\d{2})-(\d{2})$")
_ZONE = re.compile(
    r"^(?:usda |canadian )?(?:zones? )?(\d{1,2})([ab])?(?:\s*(?:\.\.|-|–)\s*(\d{1,2})([ab])?)?$", re.IGNORECASE
)

_COMMON_YEAR = 2001
YEAR_DAYS = 365


def parse(value: str, unit: str = "") -> Bounds:
    """(low, high) of a printed value; equal for a single number, None for an open end, both None for words.

    With a unit that names ``MM-DD`` the value is a recurring date or window, answered as days of a 365-day year; the
    end of a window that passes the new year lies beyond 365.
    """
    text = value.strip()
    if "MM-DD" in unit:
        return _dates(text)
    if unit == "zone":
        return _zone(text)
    if match := _SINGLE.match(text):
        number = _number(match[1])
        return number, number
    if match := _RANGE.match(text):
        first, second = _number(match[1]), _number(match[2])
        return min(first, second), max(first, second)
    if (match := _UPPER.match(text)) or (match := _UPPER_RANGE.match(text)):
        return None, _number(next(group for group in match.groups() if group))
    if match := _LOWER.match(text):
        return _number(match[1] or match[2]), None
    return None, None


def months(value: str) -> Bounds:
    """(first, last) month of a season of use, the last beyond 12 if it passes the new year."""
    low, high = (float(part) for part in (value.split("..") if ".." in value else (value, value)))
    return low, high if high >= low else high + 12


def _number(text: str) -> float:
    return float(text.replace("−", "-"))


def _day(text: str) -> float | None:
    match = _DATE.match(text)
    if not match:
        return None
    month, day = int(match[1]), int(match[2])
    return float(dt.date(_COMMON_YEAR, month, min(day, 28) if month == 2 else day).timetuple().tm_yday)


def _dates(text: str) -> Bounds:
    parts = text.split("..") if ".." in text else [text, text]
    low, high = _day(parts[0]), _day(parts[1])
    if low is not None and high is not None and high < low:
        high += YEAR_DAYS
    return low, high


def is_zone(text: str) -> bool:
    """Whether a cell is a hardiness zone or a range of zones and nothing else (``3``, ``4b``, ``zones 4-8A``)."""
    return _ZONE.match(text.strip()) is not None


def _zone(text: str) -> Bounds:
    match = _ZONE.match(text)
    if not match:
        return parse(text)
    low, high = (
        float(number) + (0.5 if (half or "").lower() == "b" else 0.0) if number else None
        for number, half in ((match[1], match[2]), (match[3], match[4]))
    )
    return low, low if high is None else high


_MONTHS = tuple(calendar.month_name[month].lower() for month in range(1, 13))
_DAYS_OF_THIRD = {"early": (1, 10), "mid": (11, 20), "middle": (11, 20), "late": (21, 31)}


def month_words(text: str) -> Bounds:
    """A window printed in words of the month (``mid to late August``): thirds of months as days of the year."""
    found = re.findall(
        r"(early|mid|middle|late)?(?:[ -]to[ -](early|mid|late))?[ -]?(" + "|".join(_MONTHS) + ")", text.lower()
    )
    if not found:
        return None, None
    (first, _, first_month), (last, last_too, last_month) = found[0], found[-1]
    start_day = _DAYS_OF_THIRD.get(first, (1, 31))[0]
    end_day = _DAYS_OF_THIRD.get(last_too or last, (1, 31))[1]
    start, end = _MONTHS.index(first_month) + 1, _MONTHS.index(last_month) + 1
    return _dates(f"{start:02d}-{start_day:02d}..{end:02d}-{min(end_day, 28 if end == 2 else 30):02d}")
