"""The year of a tree that knows no winter: it starts on the day on which its leaves are stripped by hand.

Practice of Batu, East Java (7 S, 600 to 1200 m; Notodimedjo et al. 1981 and Acta Horticulturae 49:109-111, 1975,
abstracts read): buds break three to four weeks after the leaves are taken off, whenever that is; the trees flower, and
fruit is ripe four to five months later; within four weeks of picking they are stripped again, for two crops a year.
How far warmth moves these spans is not published: cooler highlands may take longer.
"""

import msgspec

from domain.common.season_days import YEAR_DAYS, day_of_year, month_day
from domain.tables.parameters import figures


class StrippingFigures(msgspec.Struct, frozen=True):
    """Spans of a cycle, each at its least and at its most."""

    bud_break_days: tuple[float, float]
    full_bloom_days: tuple[float, float]
    bloom_to_ripe_days: tuple[float, float]
    strip_again_days: float
    crops_a_year: int
    months_to_first_fruit: float
    warmest_highland_c: float


FIGURES = figures("tree_year", "leaf_stripping", StrippingFigures)


class StrippingSpan(msgspec.Struct, frozen=True, kw_only=True):
    """Between two recurring days, MM-DD."""

    from_day: str = msgspec.field(name="from")
    to_day: str = msgspec.field(name="to")


class StrippingCycle(msgspec.Struct, frozen=True, kw_only=True):
    """From one stripping of the leaves to the next. overlaps: this crop hangs when the next stripping told is due."""

    stripped_on: str
    bud_break: StrippingSpan
    bloom: StrippingSpan
    picking: StrippingSpan
    strip_again_by: str
    overlaps: bool


def cycles(stripped_on: tuple[str, ...]) -> tuple[StrippingCycle, ...]:
    """One cycle for each day of stripping (MM-DD), in the order of the calendar year."""
    days = sorted(day_of_year(day) - 1 for day in stripped_on)
    return tuple(_cycle(day, days[n + 1 - len(days)]) for n, day in enumerate(days))


def stripping_day(bloom_on: float) -> str:
    """The day (MM-DD) to strip the leaves so that full bloom falls about a day of the year (0 to 364)."""
    return _date(bloom_on - sum(FIGURES.full_bloom_days) / 2.0)


def _cycle(day: int, following: int) -> StrippingCycle:
    bloom_first, bloom_last = (day + span for span in FIGURES.full_bloom_days)
    ripe_first, ripe_last = bloom_first + FIGURES.bloom_to_ripe_days[0], bloom_last + FIGURES.bloom_to_ripe_days[1]
    until_next = (following - day) % YEAR_DAYS or YEAR_DAYS
    return StrippingCycle(
        stripped_on=_date(day),
        bud_break=_span(*(day + span for span in FIGURES.bud_break_days)),
        bloom=_span(bloom_first, bloom_last),
        picking=_span(ripe_first, ripe_last),
        strip_again_by=_date(ripe_last + FIGURES.strip_again_days),
        overlaps=until_next < ripe_first - day,
    )


def _span(first: float, last: float) -> StrippingSpan:
    return StrippingSpan(from_day=_date(first), to_day=_date(last))


def _date(day: float) -> str:
    return month_day(day, south=True)  # season day 0 of the south is 1 January
