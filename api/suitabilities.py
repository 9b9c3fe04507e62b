"""Cultivars ranked for one site, with the reasons."""

from typing import Any

from litestar import Request, post
from litestar.di import NamedDependency
from litestar.params import RawBody

from api import queries, strict_bodies
from api.advisor import Advisor, Versions
from domain.common.asked_names import resolve_names
from domain.suitability.suitabilities import SuitabilitiesAnswer, suitabilities
from domain.suitability.suitability_request import SuitabilityRequest
from domain.tables.observations import Source


class Suitabilities(SuitabilitiesAnswer, frozen=True, kw_only=True):
    """The ranked cultivars, best first, and what the answer took for granted.

    `sources` are those that `traits` name; null unless the evidence was asked for.
    """

    versions: Versions
    sources: tuple[Source, ...] | None


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
    warmer = advisor.if_warmer(asked.site, asked.warmer_by_c)
    computed = suitabilities(asked, advisor.catalogue, conditions, warmer)
    return advisor.answer(Suitabilities, computed, sources=_sources(advisor, computed) if asked.evidence else None)


def _sources(advisor: Advisor, computed: SuitabilitiesAnswer) -> tuple[Source, ...]:
    return advisor.sources(
        source_id for judged in computed.suitabilities for trait in judged.traits or () for source_id in trait.sources
    )
