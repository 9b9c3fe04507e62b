"""What an orchard asks and gives on one day: what is ripe, what comes, what falls, what keeps, what is due."""

from collections.abc import Sequence
from typing import Literal, get_args

import msgspec
import numpy as np

from domain.common.season_days import day_of_year, month_day
from domain.suitability.site_fit import SiteFit
from domain.tables.parameters import figures
from domain.year_of_work.calendar_answer import Job, OnThisDay, RipeFruit, SiteEvent, StrippedCalendar
from domain.year_of_work.trees_told import TreesTold

YEAR = 365.0

Hanging = Literal["ripe", "coming", "falling", "gone"]


class DayFigures(msgspec.Struct, frozen=True):
    """How far ahead and back a day looks; see parameters/year_of_work.csv, subject on_this_day."""

    soon_days: int
    hangs_days: int
    short_weeks: int


FIGURES = figures("year_of_work", "on_this_day", DayFigures)


def on_this_day(day: str, fit: SiteFit, told: TreesTold, jobs: Sequence[Job], events: Sequence[SiteEvent]) -> OnThisDay:
    """The day MM-DD of the orchard's usual year. Fruit whose keeping nobody tells is never said to be in store.

    told: the trees; those too young to bear have no fruit.
    """
    today = day_of_year(day)
    hanging: dict[Hanging, list[RipeFruit]] = {one: [] for one in get_args(Hanging)}
    first, stored, later, unknown = list[RipeFruit](), list[RipeFruit](), list[RipeFruit](), list[RipeFruit]()
    for row in np.argsort(np.nan_to_num(fit.harvest_first, nan=1e4), kind="stable").tolist():
        begin, end = float(fit.harvest_first[row]), float(fit.harvest_last[row])
        if not np.isfinite(begin) or not told.bears(fit.cultivars[row].id):
            continue
        weeks = float(fit.storage_weeks[row, 0])
        fruit = _fruit(fit, row, weeks)
        start = day_of_year(fruit.from_)
        since = (today - start) % YEAR
        picking = end - begin
        when = _hanging(since, picking)
        hanging[when].append(fruit)
        if when == "ripe" and weeks <= FIGURES.short_weeks:
            first.append(fruit)
        if picking < since and np.isnan(weeks) and since <= picking + FIGURES.hangs_days:
            unknown.append(fruit)
        elif picking < since <= picking + 7.0 * weeks:
            left = picking + 7.0 * weeks - since
            (stored if left > FIGURES.soon_days else first).append(fruit)
            if left > 7.0 * FIGURES.short_weeks:
                later.append(fruit)
    return OnThisDay(
        day=day,
        ripe=tuple(hanging["ripe"]),
        ripe_within_two_weeks=tuple(hanging["coming"]),
        falling_soon=tuple(hanging["falling"]),
        eat_first=tuple(first),
        in_store=tuple(stored),
        keep_for_later=tuple(later),
        keeping_unknown=tuple(unknown),
        work=tuple(job for job in jobs if job.job != "pick" and _within(today, job.from_day, job.to_day)),
        watch=tuple(event for event in events if _near(today, event.day.median)),
    )


def on_a_stripped_day(
    day: str, stripped: Sequence[StrippedCalendar], told: TreesTold, jobs: Sequence[Job]
) -> OnThisDay:
    """The day MM-DD where there is no winter, from the cycles of the days of stripping that were told.

    How long fruit keeps there no source tells; `uncertainty_days` is half of the span of picking.
    """
    today = day_of_year(day)
    hanging: dict[Hanging, list[RipeFruit]] = {one: [] for one in get_args(Hanging)}
    for one in stripped:
        if one.verdict == "not_here" or not told.bears(one.id):
            continue
        for cycle in one.stripped.cycles:
            start = day_of_year(cycle.picking.from_day)
            picking = (day_of_year(cycle.picking.to_day) - start) % YEAR
            fruit = RipeFruit(
                cultivar=one.cultivar,
                id=one.id,
                from_=cycle.picking.from_day,
                to=cycle.picking.to_day,
                use_until=None,
                uncertainty_days=round(picking / 2.0),
            )
            hanging[_hanging((today - start) % YEAR, picking)].append(fruit)
    return OnThisDay(
        day=day,
        ripe=tuple(hanging["ripe"]),
        ripe_within_two_weeks=tuple(hanging["coming"]),
        falling_soon=tuple(hanging["falling"]),
        eat_first=(),
        in_store=(),
        keep_for_later=(),
        keeping_unknown=tuple(hanging["falling"]),
        work=tuple(job for job in jobs if job.job != "pick" and _within(today, job.from_day, job.to_day)),
        watch=(),
    )


def _hanging(since: float, picking: float) -> Hanging:
    """How fruit hangs that many days after its first day of picking, of which there are as many as told."""
    if since <= picking:
        return "ripe"
    if YEAR - since <= FIGURES.soon_days:
        return "coming"
    return "falling" if since <= picking + FIGURES.hangs_days else "gone"


def _fruit(fit: SiteFit, row: int, weeks: float) -> RipeFruit:
    until = None if np.isnan(weeks) else month_day(float(fit.harvest_last[row]) + 7.0 * weeks, fit.south)
    return RipeFruit(
        cultivar=fit.cultivars[row].name,
        id=fit.cultivars[row].id,
        from_=month_day(float(fit.harvest_first[row]), fit.south),
        to=month_day(float(fit.harvest_last[row]), fit.south),
        use_until=until,
        uncertainty_days=round(float(fit.harvest_spread_days[row])),
    )


def _within(today: int, begin: str, end: str) -> bool:
    """Whether a day lies in a window that may wrap the year."""
    start = day_of_year(begin)
    return (today - start) % YEAR <= (day_of_year(end) - start) % YEAR


def _near(today: int, day: str) -> bool:
    apart = abs(today - day_of_year(day)) % YEAR
    return min(apart, YEAR - apart) <= FIGURES.soon_days
