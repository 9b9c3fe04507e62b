"""From a request of `suitabilities` to its answer: names resolved, cultivars chosen, judged, ranked."""

import msgspec

from domain.common.asked_names import KnownNames, Names, known_names, resolve_names
from domain.common.assumptions import Assumption
from domain.hazards.spot import spot_warnings
from domain.orchard_site.conditions import SiteConditions
from domain.suitability.assess import assess, best_of_each_tree, least_spoilt
from domain.suitability.site_fit import site_fit
from domain.suitability.suitability_answer import Suitability
from domain.suitability.suitability_request import SuitabilityRequest
from domain.suitability.to_mind import ToMind, of_the_site
from domain.suitability.warmer import assumed_warmer, holding
from domain.suitability.without_winter import site_words
from domain.suitability.worth_finding_out import worth_finding_out
from domain.tables.words import Sentence, say
from domain.traits.catalogue import Catalogue

NEAREST = 3
MOST_TOLD = 50


class SuitabilitiesAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Every cultivar asked for at the site, best first, and what the answer took for granted."""

    assumptions: tuple[Assumption, ...]
    warnings: tuple[Sentence, ...]
    worth_finding_out: tuple[Sentence, ...]
    to_mind: tuple[ToMind, ...]
    suitabilities: tuple[Suitability, ...]


def suitabilities(
    request: SuitabilityRequest,
    catalogue: Catalogue,
    conditions: SiteConditions,
    warmer: SiteConditions | None = None,
) -> SuitabilitiesAnswer:
    """Judge what is asked. Raises ContentFaults for unknown names, unless they are to be told.

    warmer: the conditions of the site that much warmer, where the request asks for them.
    """
    asked: dict[str, str] = {}
    told: tuple[Sentence, ...] = ()
    traits = catalogue.advised
    if request.cultivars is not None:
        found = stock(request, catalogue.tables.names)
        asked, told = found.asked, told_of_names(found, catalogue.tables.names)
        if not asked:  # every name is unknown, and told
            return SuitabilitiesAnswer(
                assumptions=conditions.years.assumptions,
                warnings=(*conditions.years.warnings, *site_words(conditions), *told),
                worth_finding_out=(),
                to_mind=(),
                suitabilities=(),
            )
        traits = catalogue.choose([catalogue.tables.by_id[cultivar_id] for cultivar_id in asked])
    of_each_tree = request.limit is not None and not asked  # what is asked by name is compared by itself
    # Whoever holds the best against something looks at all of them.
    most = request.limit if warmer is None and not request.no_spray else None
    judged = assess(
        conditions,
        traits,
        request.weights,
        request.evidence,
        no_spray=request.no_spray,
        most=most,
        of_each_tree=of_each_tree and warmer is None,
    )
    if asked:
        judged = tuple(msgspec.structs.replace(one, asked=asked[one.id]) for one in judged)
    assumptions = conditions.years.assumptions
    if warmer is not None and request.warmer_by_c is not None:
        then = assess(warmer, traits, request.weights, no_spray=request.no_spray, factors=False)
        judged = holding(judged, then, request.warmer_by_c)
        judged = best_of_each_tree(judged, traits) if of_each_tree else judged
        assumptions = (assumed_warmer(request.warmer_by_c), *assumptions)
    return SuitabilitiesAnswer(
        assumptions=assumptions,
        warnings=(
            *conditions.years.warnings,
            *site_words(conditions),
            *spot_warnings(request.site.ground, conditions.years),
            *told,
            *(least_spoilt(judged) if request.no_spray else ()),
        ),
        worth_finding_out=worth_finding_out(request.site, conditions, traits, request.weights),
        to_mind=of_the_site(conditions, site_fit(conditions, traits).site_frost, request.site.ground),
        suitabilities=judged[: request.limit],
    )


def stock(request: SuitabilityRequest, names: Names) -> KnownNames:
    """The cultivars of a request. Raises ContentFaults with every unknown name, unless they are to be told."""
    asked = request.cultivars or []
    if request.unknown_names == "refuse":
        resolve_names(names, asked, "cultivars", once=False)
    return known_names(names, asked)


def told_of_names(found: KnownNames, names: Names) -> tuple[Sentence, ...]:
    """What of a stock was left out: names nobody knows, and those that name one cultivar again."""
    unknown = [
        say("name_unknown", name=name, nearest=names.nearest(name, NEAREST)) for name in found.unknown[:MOST_TOLD]
    ]
    return (*unknown, *(say("named_again", name=name) for name in found.again[:MOST_TOLD]))
