"""Season calendars as a picture: bloom and first ripe fruit of each cultivar, with the frosts of the spring."""

from api import svg
from api.answer_forms import Form
from api.season_bars import Bar, Mark, in_words, season_bars
from api.stripped_bars import UNLESS_STRIPPED, stripped_bars
from api.svg import IMAGE_SVG, WIDTH_PX
from domain.tables.words import label, say
from domain.year_of_work.calendar_answer import CultivarCalendar, SeasonCalendars, SeasonCalendarsRequest


def as_picture(_: SeasonCalendarsRequest, answered: SeasonCalendars) -> str:
    """The bars of the calendars, and the days of the last frosts across them."""
    bars = [_bar(one) for one in answered.calendars]
    marks = []
    for event in answered.site_events:
        if event.event == "last_frost":
            marks.append(Mark(event.day.median, label("picture", "frost_median")))
            marks.append(Mark(event.day.later_one_year_in_ten, label("picture", "frost_one_year_in_ten")))
    title = say("picture_calendar", cultivars=len(answered.calendars) + len(answered.stripped)).words
    head = svg.heading(
        title, [say("picture_stripped" if answered.stripped else "picture_calendar_told").words], WIDTH_PX
    )
    for one in answered.stripped:
        bars += stripped_bars(one.cultivar, one.verdict, one.stripped)
    unless = any(one.code == UNLESS_STRIPPED for one in answered.stripped)
    none = "no_season_unless_stripped" if unless else "no_season"
    return svg.document(title, in_words(bars, none), [head, *season_bars(bars, marks, none)])


def _bar(one: CultivarCalendar) -> Bar:
    days = {event.event: event.day for event in one.events}
    first, full, fall, ripe = (days.get(code) for code in ("first_bloom", "full_bloom", "petal_fall", "first_ripe"))
    bloom = between = None
    if first is not None and full is not None and fall is not None:
        bloom = (first.median, full.median, fall.median)
        between = (first.earlier_one_year_in_ten, fall.later_one_year_in_ten)
    picking = None if ripe is None else (ripe.earlier_one_year_in_ten, ripe.later_one_year_in_ten)
    frost = one.frost.years_in_ten if bloom else None
    return Bar(one.cultivar, bloom, between, picking, frost_spares=frost, picking_is="first_ripe")


CALENDAR_PICTURE = Form(
    IMAGE_SVG, "A picture of bloom and first ripe fruit, with the last frosts of spring.", as_picture
)
