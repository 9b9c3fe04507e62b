"""From a request of `suitabilities` to its answer: names resolved, cultivars chosen, judged, ranked."""

import msgspec

from domain.common.asked_names import resolve_names
from domain.common.assumptions import Assumption
from domain.orchard_site.conditions import SiteConditions
from domain.suitability.assess import assess
from domain.suitability.suitability_answer import Suitability
from domain.suitability.suitability_request import SuitabilityRequest
from domain.suitability.warmer import assumed_warmer, holding
from domain.suitability.without_winter import site_words
from domain.suitability.worth_finding_out import worth_finding_out
from domain.tables.words import Sentence
from domain.traits.catalogue import Catalogue


class SuitabilitiesAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Every cultivar asked for at the site, best first, and what the answer took for granted."""

    assumptions: tuple[Assumption, ...]
    warnings: tuple[Sentence, ...]
    worth_finding_out: tuple[Sentence, ...]
    suitabilities: tuple[Suitability, ...]


def suitabilities(
    request: SuitabilityRequest,
    catalogue: Catalogue,
    conditions: SiteConditions,
    warmer: SiteConditions | None = None,
) -> SuitabilitiesAnswer:
    """Judge what is asked. Raises ContentFaults for unknown names and for a cultivar named twice.

    warmer: the conditions of the site that much warmer, where the request asks for them.
    """
    if request.cultivars is None:
        traits = catalogue.advised
    else:
        ids = resolve_names(catalogue.tables.names, request.cultivars, "cultivars")
        traits = catalogue.choose([catalogue.tables.by_id[cultivar_id] for cultivar_id in ids])
    judged = assess(conditions, traits, request.weights, request.evidence)
    if request.cultivars is not None:
        asked = dict(zip(ids, request.cultivars, strict=True))
        judged = tuple(msgspec.structs.replace(one, asked=asked[one.id]) for one in judged)
    assumptions = conditions.years.assumptions
    if warmer is not None and request.warmer_by_c is not None:
        judged = holding(judged, assess(warmer, traits, request.weights), request.warmer_by_c)
        assumptions = (assumed_warmer(request.warmer_by_c), *assumptions)
    return SuitabilitiesAnswer(
        assumptions=assumptions,
        warnings=(*conditions.years.warnings, *site_words(conditions)),
        worth_finding_out=worth_finding_out(request.site, conditions, traits, request.weights),
        suitabilities=judged,
    )
