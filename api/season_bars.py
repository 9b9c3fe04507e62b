"""Bloom and picking of several cultivars as bars along the year, with what frost leaves of the bloom.

The year is cut where nothing stands in it, so that a southern season reads as one piece too; where something stands in
all of it, where the least does.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from api import svg
from api.svg import FAINT, INK, WIDTH_PX, Part, element, text, titled
from domain.tables.words import label, say

MOST_ROWS = 40
_ROW_PX, _HEAD_PX, _LANE_PX = 30.0, 30.0, 20.0
_MOST_NAME_PX = 230.0
_MONTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_YEAR = 365
_BLOOM, _PICKING, _KEEPS = ("#f1c4d3", "#8c2f55"), ("#e39a4d", "#7b430d"), ("#f6e3c8", "#a67c45")
_PAD_DAYS = 8


@dataclass(frozen=True)
class Bar:
    """One cultivar; days are MM-DD. bloom: first, full (None where it is not known apart) and last. Between early and
    late it lies in eight years of ten.

    frost_spares: springs of ten in which frost leaves enough bloom.
    """

    name: str
    bloom: tuple[str, str | None, str] | None = None
    bloom_between: tuple[str, str] | None = None
    picking: tuple[str, str] | None = None
    use_until: str | None = None
    frost_spares: float | None = None
    picking_is: str = "picking"
    """What the bar of the picking is: the code of its label, and of its sentence."""


@dataclass(frozen=True)
class Mark:
    """A day to be seen across all bars, MM-DD, and what it is."""

    day: str
    words: str


def season_bars(bars: Sequence[Bar], marks: Sequence[Mark] = (), if_none: str = "no_season") -> list[Part]:
    """The bars below a line of months, and below them what their colours mean.

    if_none: the label where none is drawn.
    """
    shown = bars[:MOST_ROWS]
    if not any(_spans_of(bar) for bar in shown):
        return [svg.heading(label("picture", if_none), (), WIDTH_PX)]
    axis = _Axis.of(shown, marks)
    lanes = _lanes(marks, axis)
    above = _HEAD_PX + _LANE_PX * (1 + max(lanes, default=-1))
    height = above + _ROW_PX * len(shown) + 4
    drawn = [*_months(axis, above, height), *_marks(marks, lanes, axis, height)]
    for n, bar in enumerate(shown):
        drawn.append(_row(bar, axis, above + _ROW_PX * n))
    return [Part(WIDTH_PX, height, "".join(drawn)), _key(shown)]


@dataclass(frozen=True)
class _Axis:
    """Days of the year along the width, from the end of the longest run of days on which the fewest things stand; room
    for names left, for frost right.
    """

    first: int
    days: int
    left: float
    right: float

    @classmethod
    def of(cls, bars: Sequence[Bar], marks: Sequence[Mark]) -> "_Axis":
        spans = [(_day(first), _day(last)) for bar in bars for first, last in _spans_of(bar)]
        stands = np.zeros(_YEAR, dtype=int)
        for first, last in (*spans, *((_day(mark.day),) * 2 for mark in marks)):
            stands[np.arange(first, first + (last - first) % _YEAR + 1) % _YEAR] += 1
        begin, length = _longest_run(stands == stands.min())
        free = length if stands.min() == 0 else 0
        pad = min(_PAD_DAYS, (free + 1) // 2)
        names = max(svg.width_of(bar.name, 13) for bar in bars)
        frost = 90.0 if any(bar.frost_spares is not None for bar in bars) else 8.0
        days = _YEAR - 1 - free + 2 * pad if free else _YEAR
        return cls((begin + length - pad) % _YEAR, min(days, _YEAR), min(names, _MOST_NAME_PX) + 12, WIDTH_PX - frost)

    def at(self, day: int) -> float:
        """Where a day (0 on 1 January) stands, px."""
        return self.left + (day - self.first) % _YEAR / self.days * (self.right - self.left)

    def pieces(self, days: tuple[str, str]) -> list[tuple[float, float]]:
        """From where to where a span stands, px: two pieces where the year is cut in its midst."""
        begin, end = (self.at(_day(day)) for day in days)
        return [(begin, end)] if begin <= end else [(begin, self.right), (self.left, end)]


def _day(month_day: str) -> int:
    month, day = int(month_day[-5:-3]), int(month_day[-2:])
    return sum(_MONTHS[: month - 1]) + min(day, _MONTHS[month - 1]) - 1


def _longest_run(of: NDArray[np.bool_]) -> tuple[int, int]:
    """Where the longest run of true days around the year begins, and how long it is; at least one day is true."""
    if of.all():
        return 0, _YEAR
    start = int(np.argmin(of))  # a day that is false, so that no run passes the end
    turned = np.concatenate(([False], np.roll(of, -start), [False])).astype(int)
    begins, ends = np.flatnonzero(np.diff(turned) == 1), np.flatnonzero(np.diff(turned) == -1)
    longest = int(np.argmax(ends - begins))
    return (start + int(begins[longest])) % _YEAR, int(ends[longest] - begins[longest])


def _spans_of(bar: Bar) -> list[tuple[str, str]]:
    """First and last day of all that is drawn of a bar."""
    found = [] if bar.bloom is None else [(bar.bloom[0], bar.bloom[-1])]
    found += [span for span in (bar.bloom_between, bar.picking) if span is not None]
    return [*found, *_keeps(bar)]


def _keeps(bar: Bar) -> list[tuple[str, str]]:
    return [] if bar.use_until is None or bar.picking is None else [(bar.picking[1], bar.use_until)]


def _months(axis: _Axis, above: float, height: float) -> Iterator[str]:
    start = 0
    for month, days in enumerate(_MONTHS, start=1):
        since = (start - axis.first) % _YEAR
        until = min(since + days, axis.days)
        if since < axis.days:
            x = axis.at(start)
            yield element("path", d=f"M{x:.1f},{above - 6:.1f}V{height:.1f}", stroke="#d3d8ce")
            room = (until - since) / axis.days * (axis.right - axis.left)
            yield from _month(month, x, room)
        elif since + days > _YEAR:  # begun before the first day
            yield from _month(month, axis.left, (since + days - _YEAR) / axis.days * (axis.right - axis.left))
        start += days
    yield element("path", d=f"M{axis.left:.1f},{above - 6:.1f}H{axis.right:.1f}", stroke=FAINT)
    if axis.right < WIDTH_PX - 10:
        yield text(label("picture", "frost_spares_head"), axis.right + 8, 14, 12, fill=FAINT)


def _month(month: int, x: float, room: float) -> Iterator[str]:
    """The name of a month, cut where it has little room."""
    name = label("month", str(month))
    fitting = next((one for one in (name, name[:3]) if svg.width_of(one, 12) <= room - 4), None)
    if fitting is not None:
        yield text(fitting, x + 4, 14, 12, fill=FAINT)


def _lanes(marks: Sequence[Mark], axis: _Axis) -> list[int]:
    """In which line above the bars the words of each mark stand, so that none run into each other."""
    ends: list[float] = []
    lanes = []
    for mark in sorted(marks, key=lambda one: axis.at(_day(one.day))):
        left, right = _words_at(mark, axis)
        lane = next((n for n, end in enumerate(ends) if end + 8 <= left), len(ends))
        ends[lane : lane + 1] = [right]
        lanes.append(lane)
    return lanes


def _words_at(mark: Mark, axis: _Axis) -> tuple[float, float]:
    wide = svg.width_of(mark.words, 12)
    left = min(axis.at(_day(mark.day)) + 4, WIDTH_PX - wide)
    return left, left + wide


def _marks(marks: Sequence[Mark], lanes: Sequence[int], axis: _Axis, height: float) -> Iterator[str]:
    for mark, lane in zip(sorted(marks, key=lambda one: axis.at(_day(one.day))), lanes, strict=True):
        x, y = axis.at(_day(mark.day)), 20 + _LANE_PX * lane
        line = element(
            "path", d=f"M{x:.1f},{y:.1f}V{height:.1f}", stroke="#1f5f99", stroke_dasharray="5 3", stroke_width=1.5
        )
        yield titled(mark.words, line, text(mark.words, _words_at(mark, axis)[0], y + 14, 12, fill="#174a78"))


def _row(bar: Bar, axis: _Axis, top: float) -> str:
    middle = top + _ROW_PX / 2
    parts = [text(svg.shortened(bar.name, axis.left - 12, 13), axis.left - 8, middle + 4.5, 13, text_anchor="end")]
    for keeps in _keeps(bar):
        parts += _span(keeps, axis, middle, 8, _KEEPS)
    if bar.bloom_between is not None:
        for early, late in axis.pieces(bar.bloom_between):
            d = f"M{early:.1f},{middle - 4:.1f}v8m0,-4H{late:.1f}m0,-4v8"
            parts.append(element("path", d=d, stroke=_BLOOM[1], fill="none"))
    if bar.bloom is not None:
        first, full, last = bar.bloom
        parts += _span((first, last), axis, middle, 16, _BLOOM)
        if full is not None:
            x = axis.at(_day(full))
            parts.append(element("path", d=f"M{x:.1f},{middle - 8:.1f}v16", stroke=_BLOOM[1], stroke_width=2))
    if bar.picking is not None:
        parts += _span(bar.picking, axis, middle, 16, _PICKING)
    if bar.frost_spares is not None:
        parts.append(text(say("picture_frost_spares", years=bar.frost_spares).words, axis.right + 8, middle + 4.5, 13))
    return titled(_told(bar), *parts)


def _span(days: tuple[str, str], axis: _Axis, middle: float, height: float, look: tuple[str, str]) -> Iterator[str]:
    for x, end in axis.pieces(days):
        yield element(
            "rect",
            x=x, y=middle - height / 2, width=max(end - x, 2), height=height, rx=2, fill=look[0], stroke=look[1],
        )  # fmt: skip


def _told(bar: Bar) -> str:
    """A row in words, for those who do not see it."""
    told = []
    if bar.bloom is not None:
        first, full, last = bar.bloom
        span = say("picture_bloom_span", first=first, last=last) if full is None else None
        told.append((span or say("picture_bloom", first=first, full=full, last=last)).words)
    if bar.picking is not None:
        told.append(say(f"picture_{bar.picking_is}", first=bar.picking[0], last=bar.picking[1]).words)
    if bar.use_until is not None:
        told.append(say("picture_use_until", day=bar.use_until).words)
    return f"{bar.name}. {' '.join(told)}".strip()


def _key(bars: Sequence[Bar]) -> Part:
    blooms = any(bar.bloom is not None for bar in bars)
    looks = [
        ("bloom" if any(bar.bloom and bar.bloom[1] for bar in bars) else "bloom_span", _BLOOM, blooms),
        (bars[0].picking_is, _PICKING, any(bar.picking is not None for bar in bars)),
        ("keeps", _KEEPS, any(bar.use_until is not None for bar in bars)),
    ]
    drawn, x = [], 0.0
    for code, (fill, stroke), used in looks:
        if used:
            words = label("picture", code)
            drawn.append(element("rect", x=x + 1, y=4, width=22, height=12, fill=fill, stroke=stroke))
            drawn.append(text(words, x + 30, 15, 13, fill=INK))
            x += 30 + svg.width_of(words, 13) + 16
    return Part(WIDTH_PX, svg.LINE_PX, "".join(drawn))


def in_words(bars: Sequence[Bar], if_none: str = "no_season") -> str:
    """All rows in words, or by a label that there are none."""
    return " ".join(_told(bar) for bar in bars[:MOST_ROWS]) or label("picture", if_none)
