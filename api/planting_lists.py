"""The main job: ranked planting lists for a site."""

from typing import Any

from litestar import Request, post
from litestar.di import NamedDependency
from litestar.params import RawBody

from api import queries, strict_bodies
from api.advisor import Advisor, Versions
from domain.planting_list.list_answer import PlantingLists
from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.planting_lists import planting_lists
from domain.planting_list.wishes import wishes


class PlantingListsAnswer(PlantingLists, frozen=True, kw_only=True):
    """Ranked planting lists, what binds them, and what not to plant."""

    versions: Versions


@post(
    "/planting-lists",
    status_code=200,
    operation_id="choosePlantingLists",
    summary="Ranked planting lists for a site",
    tags=["advice"],
    sync_to_thread=True,
)
def choose_planting_lists(
    request: Request[Any, Any, Any], body: RawBody, advisor: NamedDependency[Advisor]
) -> PlantingListsAnswer:
    """Choose lists of trees that crop, ripen and pollinate each other at the site, the best list first."""
    queries.read(request, queries.NoQuery)
    asked = strict_bodies.read(request, body, PlantingListsRequest)
    conditions = advisor.conditions(asked.site, also=lambda: wishes(asked, advisor.tables.names))
    warmer = advisor.if_warmer(asked.site, asked.warmer_by_c)
    return advisor.answer(PlantingListsAnswer, planting_lists(asked, advisor.catalogue, conditions, warmer))
