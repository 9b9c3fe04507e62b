"""Days of a growing season, counted from the middle of summer, in both hemispheres.

A *season* begins at midsummer: 1 July north of the equator, 1 January south of it. It holds the autumn, the winter
in which buds are chilled, the bloom in spring, the summer, and the autumn and early winter in which the last fruit is
picked: ``SEASON_DAYS`` days (18 months) of a 365-day calendar without 29 February. Season day 0 is the first of these.
Recurring dates at the edge of the program are ``MM-DD``.
"""

import datetime as dt
from functools import lru_cache

YEAR_DAYS = 365
SEASON_DAYS = 549
"""Days of one season: 365 + 184, midsummer to the end of the second winter's first weeks."""

FIRST_WINTER = slice(60, 330)
"""Season days of the winter in which buds are chilled: September to May, March to November in the south."""

ONE_YEAR = slice(180, 180 + YEAR_DAYS)
"""Season days of one calendar year, from midwinter."""

WARM_HALF = slice(150, 530)
"""Season days that hold the whole of one summer, whatever quarter of it is warmest."""

_COMMON_YEAR = 2001  # any year without 29 February


def season_start(south: bool) -> str:
    """First day of a season, ``MM-DD``: 1 July in the north, 1 January in the south."""
    return "01-01" if south else "07-01"


def day_of_year(month_day: str) -> int:
    """Day of a 365-day year, 1 to 365, of an ``MM-DD`` date; 29 February counts as 28 February.

    Raises ValueError for a date that no year holds.
    """
    month, day = (int(part) for part in month_day.split("-"))
    if (month, day) == (2, 29):
        day = 28
    return dt.date(_COMMON_YEAR, month, day).timetuple().tm_yday


def month_day(season_day: float, south: bool) -> str:
    """The ``MM-DD`` date of a season day (rounded to the nearest day)."""
    return _year_from_midsummer(south)[round(season_day) % YEAR_DAYS]


def shifted(month_day: str, days: int) -> str:
    """The ``MM-DD`` date so many days after another, or before."""
    day = (day_of_year(month_day) - 1 + days) % YEAR_DAYS
    return (dt.date(_COMMON_YEAR, 1, 1) + dt.timedelta(days=day)).strftime("%m-%d")


@lru_cache(maxsize=2)
def calendar(south: bool) -> tuple[str, ...]:
    """The ``MM-DD`` dates of season days 0 to two years on, for those who need many."""
    return tuple(month_day(day, south) for day in range(2 * YEAR_DAYS + 1))


@lru_cache(maxsize=2)
def _year_from_midsummer(south: bool) -> tuple[str, ...]:
    first = dt.date(_COMMON_YEAR, 1, 1) + dt.timedelta(days=day_of_year(season_start(south)) - 1)
    return tuple((first + dt.timedelta(days=day)).strftime("%m-%d") for day in range(YEAR_DAYS))


def season_day(month_day: str, south: bool, not_before: int = 0) -> int:
    """The first season day on or after ``not_before`` that falls on an ``MM-DD`` date."""
    first = day_of_year(season_start(south)) - 1
    day = (day_of_year(month_day) - 1 - first) % YEAR_DAYS
    while day < not_before:
        day += YEAR_DAYS
    return day
