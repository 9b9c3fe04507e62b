"""The climate of one site, in the figures that growers know, and what it does for diseases and insects."""

from typing import Any

import msgspec
from litestar import Request, post
from litestar.di import NamedDependency
from litestar.params import RawBody

from api import queries, strict_bodies
from api.advisor import Advisor, Versions
from domain.hazards.health_answer import CodlingMoth, DiseaseWeather, FruitInsectHere, orchard_health
from domain.site_climate.climate_answer import SiteClimate, site_climate
from domain.site_climate.site import Site
from domain.suitability.worth_finding_out import worth_finding_out
from domain.tables.words import Sentence


class SiteClimatesRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The site whose climate is asked for."""

    site: Site


class SiteClimateAnswer(SiteClimate, frozen=True, kw_only=True):
    """Chill, frost, winter, heat and rain at the site, each with what it rests on; disease weather and insects."""

    worth_finding_out: tuple[Sentence, ...]
    disease_weather: tuple[DiseaseWeather, ...]
    codling_moth: CodlingMoth | None
    other_insects: tuple[FruitInsectHere, ...]
    versions: Versions


@post(
    "/site-climates",
    status_code=200,
    operation_id="describeSiteClimate",
    summary="The climate of a site",
    tags=["advice"],
    sync_to_thread=True,
)
def describe_site_climate(
    request: Request[Any, Any, Any], body: RawBody, advisor: NamedDependency[Advisor]
) -> SiteClimateAnswer:
    """Tell winter chill in every measure, frost dates, winter minimum, heat, rain and orchard health of one site."""
    queries.read(request, queries.NoQuery)
    asked = strict_bodies.read(request, body, SiteClimatesRequest)
    conditions = advisor.conditions(asked.site)
    health = orchard_health(conditions.health, south=conditions.years.south)
    told = {field: getattr(health, field) for field in health.__struct_fields__}
    return advisor.answer(
        SiteClimateAnswer,
        site_climate(asked.site, conditions.years),
        worth_finding_out=worth_finding_out(asked.site, conditions, advisor.catalogue.advised),
        **told,
    )
