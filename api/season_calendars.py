"""The year of some cultivars at a site: stages, frost, picking, health, and the work by hand."""

from api.advisor import Advisor, Versions
from api.calendar_forms import CALENDAR_FORMS
from api.calendar_picture import CALENDAR_PICTURE
from api.computations import computation
from domain.year_of_work.calendar_answer import SeasonCalendars, SeasonCalendarsRequest
from domain.year_of_work.calendars import season_calendars
from domain.year_of_work.trees_told import trees_told


class SeasonCalendarsAnswer(SeasonCalendars, frozen=True, kw_only=True):
    """The calendars, and what they were computed with."""

    versions: Versions


def tell_season_calendars(asked: SeasonCalendarsRequest, advisor: Advisor) -> SeasonCalendarsAnswer:
    """Tell bloom, frost, picking, diseases, insects and work, in a usual year and, if asked, year by year."""
    conditions = advisor.conditions(asked.site, also=lambda: trees_told(asked, advisor.tables))
    return advisor.answer(SeasonCalendarsAnswer, season_calendars(asked, advisor.catalogue, conditions))


SEASON_CALENDARS = computation(
    "/v1/season-calendars",
    tell_season_calendars,
    operation_id="tellSeasonCalendars",
    title="The year of some cultivars at a site: bloom, frost, picking, health and work",
    summary="The year of some cultivars at a site",
    tag="advice",
    examples=("hollin-lane-season-calendars",),
    light=True,
    forms=(*CALENDAR_FORMS, CALENDAR_PICTURE),
)
