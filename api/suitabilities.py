"""Cultivars ranked for one site, with the reasons."""

from api.advisor import Advisor, Versions
from api.computations import computation
from api.suitability_forms import SUITABILITY_FORMS
from domain.suitability.suitabilities import SuitabilitiesAnswer, stock, suitabilities
from domain.suitability.suitability_request import SuitabilityRequest
from domain.tables.observations import Source


class Suitabilities(SuitabilitiesAnswer, frozen=True, kw_only=True):
    """The ranked cultivars, best first, and what the answer took for granted.

    `sources` are those that `traits` name; null unless the evidence was asked for.
    """

    versions: Versions
    sources: tuple[Source, ...] | None


def rank_suitabilities(asked: SuitabilityRequest, advisor: Advisor) -> Suitabilities:
    """Judge the cultivars named, or all advised ones, at one site: years with a crop, and what stands in the way."""
    names = advisor.tables.names
    conditions = advisor.conditions(
        asked.site,
        also=lambda: stock(asked, names),
        warmer_by_c=asked.warmer_by_c,
    )
    warmer = advisor.if_warmer(asked.site, asked.warmer_by_c)
    computed = suitabilities(asked, advisor.catalogue, conditions, warmer)
    return advisor.answer(Suitabilities, computed, sources=_sources(advisor, computed) if asked.evidence else None)


def _sources(advisor: Advisor, computed: SuitabilitiesAnswer) -> tuple[Source, ...]:
    return advisor.sources(
        source_id for judged in computed.suitabilities for trait in judged.traits or () for source_id in trait.sources
    )


SUITABILITIES = computation(
    "/v1/suitabilities",
    rank_suitabilities,
    operation_id="rankSuitabilities",
    title="Cultivars ranked for a site, with reasons",
    summary="Cultivars ranked for a site",
    tag="advice",
    examples=("hollin-lane-suitabilities",),
    light=True,
    forms=SUITABILITY_FORMS,
)
