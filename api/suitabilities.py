"""Cultivars ranked for one site, with the reasons."""

from typing import Any

from litestar import Request, post
from litestar.di import NamedDependency
from litestar.params import RawBody

from api import queries, strict_bodies
from api.advice import Advisor, Versions
from domain.naming_requests import resolve_names
from domain.suitability.advice import SuitabilitiesAnswer, suitabilities
from domain.suitability.request import SuitabilityRequest


class Suitabilities(SuitabilitiesAnswer, frozen=True, kw_only=True):
    """The ranked cultivars, best first, and what the answer took for granted."""

    versions: Versions


@post(
    "/suitabilities",
    status_code=200,
    operation_id="rankSuitabilities",
    summary="Cultivars ranked for a site",
    tags=["advice"],
    sync_to_thread=True,
)
def rank_suitabilities(
    request: Request[Any, Any, Any], body: RawBody, advisor: NamedDependency[Advisor]
) -> Suitabilities:
    """Judge the cultivars named, or all advised ones, at one site: years with a crop, and what stands in the way."""
    queries.read(request, queries.NoQuery)
    asked = strict_bodies.read(request, body, SuitabilityRequest)
    conditions = advisor.conditions(
        asked.site, also=lambda: resolve_names(advisor.tables.names, asked.cultivars or (), "cultivars")
    )
    return advisor.answer(Suitabilities, suitabilities(asked, advisor.catalogue, conditions))
