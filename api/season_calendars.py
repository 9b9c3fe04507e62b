"""The year of some cultivars at a site: stages, frost, picking, health, and the work by hand."""

from typing import Any

from litestar import Request, post
from litestar.di import NamedDependency
from litestar.params import RawBody

from api import queries, strict_bodies
from api.advisor import Advisor, Versions
from domain.year_of_work.calendar_answer import SeasonCalendars, SeasonCalendarsRequest
from domain.year_of_work.calendars import requested_ids, season_calendars


class SeasonCalendarsAnswer(SeasonCalendars, frozen=True, kw_only=True):
    """The calendars, and what they were computed with."""

    versions: Versions


@post(
    "/season-calendars",
    status_code=200,
    operation_id="tellSeasonCalendars",
    summary="The year of some cultivars at a site",
    tags=["advice"],
    sync_to_thread=True,
)
def tell_season_calendars(
    request: Request[Any, Any, Any], body: RawBody, advisor: NamedDependency[Advisor]
) -> SeasonCalendarsAnswer:
    """Tell bloom, frost, picking, diseases, insects and work, in a usual year and, if asked, year by year."""
    queries.read(request, queries.NoQuery)
    asked = strict_bodies.read(request, body, SeasonCalendarsRequest)
    conditions = advisor.conditions(asked.site, also=lambda: requested_ids(asked, advisor.tables))
    return advisor.answer(SeasonCalendarsAnswer, season_calendars(asked, advisor.catalogue, conditions))
