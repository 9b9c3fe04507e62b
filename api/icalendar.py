"""Calendars as iCalendar (RFC 5545): lines ended, escaped and folded as it asks, days without a time, every year again.

Identifiers and stamps follow from what is told and not from a clock, so that equal answers are equal bytes and a
calendar that is fetched again takes the place of the one before.
"""

import uuid
from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import Literal

import msgspec

MEDIA_TYPE = "text/calendar"
_LONGEST_LINE_OCTETS = 75
_NAMESPACE = uuid.UUID("6f0b8a52-6a0e-5f0a-9d0e-0d1c5a1e7b11")
"""Under which identifiers are made of what they identify (RFC 9562, section 5.5)."""


class Entry(msgspec.Struct, frozen=True, kw_only=True):
    """An event over whole days, or a note of one day. first, last: MM-DD, both counted in; last may lie after the new
    year. key: what it is, by which it is known again.
    """

    key: tuple[str, ...]
    kind: Literal["VEVENT", "VJOURNAL"] = "VEVENT"
    first: str
    last: str
    summary: str
    description: str
    categories: tuple[str, ...]


def document(product: str, name: str, year: int, entries: Iterable[Entry]) -> str:
    """A calendar of events that come back every year from `year` on. entries: at least one, as the standard asks."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:-//{product}//EN",
        "CALSCALE:GREGORIAN",
        f"NAME:{escaped(name)}",
    ]
    for entry in entries:
        lines += _component(entry, year)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded(line)}\r\n" for line in lines)


def _component(entry: Entry, year: int) -> Iterator[str]:
    first, after = days(entry.first, entry.last, year)
    yield f"BEGIN:{entry.kind}"
    yield f"UID:{uuid.uuid5(_NAMESPACE, chr(31).join(entry.key))}"
    yield f"DTSTAMP:{year:04d}0101T000000Z"
    yield f"DTSTART;VALUE=DATE:{_written(first)}"
    if entry.kind == "VEVENT":
        yield f"DTEND;VALUE=DATE:{_written(after)}"
        yield "RRULE:FREQ=YEARLY"
        yield "TRANSP:TRANSPARENT"
    yield f"SUMMARY:{escaped(entry.summary)}"
    yield f"DESCRIPTION:{escaped(entry.description)}"
    yield "CATEGORIES:" + ",".join(escaped(category) for category in entry.categories)
    yield f"END:{entry.kind}"


def _written(day: date) -> str:
    """A day of eight digits (section 3.3.4); the library of the system does not fill up a year before 1000."""
    return f"{day.year:04d}{day:%m%d}"


def days(first: str, last: str, year: int) -> tuple[date, date]:
    """The first day of a window, and the day after its last, which lies in the next year where it wraps."""
    begin, end = (date(year, int(day[:2]), int(day[3:])) for day in (first, last))
    if end < begin:
        end = end.replace(year=year + 1)
    return begin, end + timedelta(days=1)


def escaped(text: str) -> str:
    """Text as a value: backslashes, semicolons, commas and line ends escaped (section 3.3.11), other controls gone."""
    for char in ("\\", ";", ","):
        text = text.replace(char, "\\" + char)
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\n", "\\n")
    return "".join(char for char in text if char >= " " and char != "\x7f")


def folded(line: str) -> str:
    """A content line in pieces of at most 75 octets, never cut inside a character (section 3.1)."""
    pieces, room = [""], _LONGEST_LINE_OCTETS
    for char in line:
        size = len(char.encode())
        if size > room:
            pieces.append("")
            room = _LONGEST_LINE_OCTETS - 1  # the blank that begins a piece counts
        pieces[-1] += char
        room -= size
    return "\r\n ".join(pieces)
