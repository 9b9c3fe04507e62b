"""Calendars in other forms than JSON: `text/calendar` to subscribe to, `text/csv` to work on.

Days are those of a usual year, so an event comes back every year; between which days it lies is said in words.
"""

import hashlib
from collections import Counter
from collections.abc import Iterator, Mapping

import msgspec

from api import icalendar
from api.answer_forms import Form
from api.icalendar import Entry
from api.tables_of_answers import TEXT_CSV, Cell, table
from domain import __version__
from domain.common.season_days import shifted
from domain.site_climate.site import Site
from domain.tables.words import of_ten, say
from domain.year_of_work.calendar_answer import (
    CultivarCalendar,
    Day,
    Job,
    SeasonCalendars,
    SeasonCalendarsRequest,
    SiteEvent,
    StrippedCalendar,
)

USUAL_YEAR = 2001
"""In which the events first stand, where the request tells no day with a year."""

COLUMNS = (
    "kind",
    "code",
    "cultivar",
    "id",
    "for_trees",
    "from",
    "to",
    "earliest",
    "latest",
    "years_in_ten",
    "size",
    "words",
    "basis",
    "sources",
)
"""A row is a stage, an event of the site or a job. Days are MM-DD; earliest and latest: one year in ten goes beyond."""


def as_icalendar(asked: SeasonCalendarsRequest, answered: SeasonCalendars) -> str:
    """The calendars as iCalendar."""
    told = next((day for day in (asked.on, asked.site.as_of) if day is not None and len(day) == len("2001-01-01")), "")
    year = int(told[:4]) if told else USUAL_YEAR
    site, seen = _site_key(asked.site), Counter[tuple[str, ...]]()
    entries = []
    for entry in _entries(answered):
        seen[entry.key] += 1
        entries.append(msgspec.structs.replace(entry, key=(site, *entry.key, str(seen[entry.key]))))
    product = f"variety-siting advisor//{__version__}"
    return icalendar.document(product, say("calendar_name").words, year, entries)


def _site_key(site: Site) -> str:
    """By which a site is known again, whatever day it is asked on."""
    return hashlib.sha256(msgspec.json.encode(msgspec.structs.replace(site, as_of=None))).hexdigest()


def _entries(answered: SeasonCalendars) -> Iterator[Entry]:
    """What stands in the calendar: bloom of each cultivar, events of the site, the work, and what is said of all."""
    names = _names(answered)
    for calendar in answered.calendars:
        yield from _bloom(calendar)
    for event in answered.site_events:
        yield _site_event(event)
    for job in answered.work:
        yield _job(job, names)
    for stripped in answered.stripped:
        yield from _cycles(stripped)
    said = [one.words for one in answered.warnings] + [one.words for one in answered.cautions]
    yield Entry(
        key=("note",),
        kind="VJOURNAL",
        first="01-01",
        last="01-01",
        summary=say("calendar_note").words,
        description="\n".join(said + [one.why for one in answered.assumptions]),
        categories=("note",),
    )


def _names(answered: SeasonCalendars) -> dict[str, str]:
    """Id -> name of every cultivar told."""
    return {one.id: one.cultivar for one in answered.calendars} | {one.id: one.cultivar for one in answered.stripped}


def _bloom(calendar: CultivarCalendar) -> Iterator[Entry]:
    days = {event.event: event.day for event in calendar.events}
    first, full, fall = days["first_bloom"], days["full_bloom"], days["petal_fall"]
    if first is None or full is None or fall is None:
        return
    words = say(
        "calendar_bloom_days",
        first_early=first.earlier_one_year_in_ten,
        first_late=first.later_one_year_in_ten,
        full=full.median,
        fall_early=fall.earlier_one_year_in_ten,
        fall_late=fall.later_one_year_in_ten,
    )
    yield Entry(
        key=("bloom", calendar.id),
        first=first.median,
        last=fall.median,
        summary=say("calendar_bloom", cultivar=calendar.cultivar).words,
        description=words.words,
        categories=("bloom",),
    )


def _site_event(event: SiteEvent) -> Entry:
    return Entry(
        key=("event", event.event),
        first=event.day.median,
        last=event.day.median,
        summary=event.words,
        description=_between(event.day)
        if event.certain
        else f"{say('calendar_not_certain').words} {_between(event.day)}",
        categories=("watch",) if event.against is None else ("watch", event.against),
    )


def _between(day: Day) -> str:
    between = say(
        "calendar_between",
        earliest=day.earlier_one_year_in_ten,
        latest=day.later_one_year_in_ten,
        median=day.median,
    ).words
    return (
        between
        if of_ten(day.years_in_ten) == of_ten(10.0)
        else f"{between} {say('calendar_often', years=day.years_in_ten).words}"
    )


def _job(job: Job, names: Mapping[str, str]) -> Entry:
    whose = tuple(names.get(one, one) for one in job.cultivars)
    told = [job.words, say("calendar_for", trees=job.for_trees).words]
    earliest, latest = _begins(job)
    if earliest is not None and latest is not None:
        told.append(say("calendar_begins", earliest=earliest, latest=latest).words)
    told += [say(f"caution.{code}").words for code in job.cautions]
    told.append(say("calendar_basis", basis=job.basis).words)
    return Entry(
        key=("job", job.job, job.for_trees, *job.cultivars),
        first=job.from_day,
        last=job.to_day,
        summary=(
            say("calendar_job_of", job=job.job, cultivars=whose) if whose else say("calendar_job", job=job.job)
        ).words,
        description="\n".join(told),
        categories=("work",),
    )


def _begins(job: Job) -> tuple[str | None, str | None]:
    """The days between which a job begins in eight years of ten; None where the years are not told apart."""
    earlier, later = job.days_earlier_one_year_in_ten, job.days_later_one_year_in_ten
    return (
        None if earlier is None else shifted(job.from_day, -earlier),
        None if later is None else shifted(job.from_day, later),
    )


def _cycles(stripped: StrippedCalendar) -> Iterator[Entry]:
    """Bloom of a tree whose leaves are stripped by hand (its picking is told as work), and what is said of it there."""
    for number, cycle in enumerate(stripped.stripped.cycles, start=1):
        yield Entry(
            key=("stripped", stripped.id, str(number)),
            first=cycle.bloom.from_day,
            last=cycle.bloom.to_day,
            summary=say("calendar_bloom", cultivar=stripped.cultivar).words,
            description=say("calendar_stripped", stripped_on=cycle.stripped_on).words,
            categories=("bloom",),
        )
    yield Entry(
        key=("verdict", stripped.id),
        kind="VJOURNAL",
        first="01-01",
        last="01-01",
        summary=stripped.cultivar,
        description=stripped.words,
        categories=("note",),
    )


def as_table(_: SeasonCalendarsRequest, answered: SeasonCalendars) -> str:
    """The calendars as a table."""
    return table(COLUMNS, _rows(answered))


def _rows(answered: SeasonCalendars) -> Iterator[dict[str, Cell]]:
    names = _names(answered)
    for calendar in answered.calendars:
        for event in calendar.events:
            row: dict[str, Cell] = {
                "kind": "stage",
                "code": event.event,
                "cultivar": calendar.cultivar,
                "id": calendar.id,
            }
            yield row | ({} if event.day is None else _days(event.day))
    for site_event in answered.site_events:
        told: dict[str, Cell] = {
            "kind": "event",
            "code": site_event.event,
            "size": site_event.size,
            "words": site_event.words,
        }
        yield told | _days(site_event.day)
    for job in answered.work:
        earliest, latest = _begins(job)
        yield {
            "kind": "job",
            "code": job.job,
            "cultivar": [names.get(one, one) for one in job.cultivars],
            "id": job.cultivars,
            "for_trees": job.for_trees,
            "from": job.from_day,
            "to": job.to_day,
            "earliest": earliest,
            "latest": latest,
            "words": job.words,
            "basis": job.basis,
            "sources": job.sources,
        }
    for stripped in answered.stripped:
        whose: dict[str, Cell] = {"cultivar": stripped.cultivar, "id": stripped.id}
        yield {"kind": "verdict", "code": stripped.verdict, "words": stripped.words, **whose}
        for cycle in stripped.stripped.cycles:
            for code, span in (("bloom", cycle.bloom), ("picking", cycle.picking)):
                yield {"kind": "cycle", "code": code, "from": span.from_day, "to": span.to_day, **whose}


def _days(day: Day) -> dict[str, Cell]:
    return {
        "from": day.median,
        "to": day.median,
        "earliest": day.earlier_one_year_in_ten,
        "latest": day.later_one_year_in_ten,
        "years_in_ten": day.years_in_ten,
    }


CALENDAR_FORMS = (
    Form(
        icalendar.MEDIA_TYPE,
        "iCalendar (RFC 5545): bloom, events of the site and work as events of whole days that come every year.",
        as_icalendar,
    ),
    Form(TEXT_CSV, f"A table with a head (RFC 4180), its columns: {', '.join(COLUMNS)}.", as_table),
)
"""Forms of the calendars beside JSON."""
