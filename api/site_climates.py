"""The climate of one site, in the figures that growers know, and what it does for diseases and insects."""

import msgspec

from api.advisor import Advisor, Versions
from api.computations import computation
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


def describe_site_climate(asked: SiteClimatesRequest, advisor: Advisor) -> SiteClimateAnswer:
    """Tell winter chill in every measure, frost dates, winter minimum, heat, rain and orchard health of one site."""
    conditions = advisor.conditions(asked.site)
    health = orchard_health(conditions.health, south=conditions.years.south)
    told = {field: getattr(health, field) for field in health.__struct_fields__}
    return advisor.answer(
        SiteClimateAnswer,
        site_climate(asked.site, conditions.years),
        worth_finding_out=worth_finding_out(asked.site, conditions, advisor.catalogue.advised),
        **told,
    )


SITE_CLIMATES = computation(
    "/v1/site-climates",
    describe_site_climate,
    operation_id="describeSiteClimate",
    title="Chill, frost, winter, heat, disease weather and codling moth at a site",
    summary="The climate of a site",
    tag="advice",
    examples=("hollin-lane-site-climates",),
    light=True,
)
