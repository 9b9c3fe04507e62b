"""From a request of `planting-lists` to its answer: names resolved, cultivars judged at the site, lists chosen."""

from collections.abc import Collection
from dataclasses import replace

import msgspec
import numpy as np

from domain.common import cautions
from domain.ground.projection import LocalPlane, earth_centred
from domain.hazards.root_cold import ROOT_HARDINESS_C, root_injury_a_year
from domain.orchard_site.conditions import SiteConditions
from domain.planting_list.list_answer import PlantingLists
from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.lists import lists_for
from domain.planting_list.tree_options import AIR_WHERE_DISEASE_PRESSES_M
from domain.planting_list.trees_at_site import SitedCultivars, holding
from domain.planting_list.wishes import Wishes, wishes
from domain.pollination.site_windows import windows_of
from domain.site_climate.site_years import Assumption
from domain.suitability import words
from domain.suitability.ranking import limiting_factors, rank_values, verdicts
from domain.suitability.site_fit import site_fit
from domain.suitability.suitabilities import Catalogue
from domain.suitability.suitability_request import Weights
from domain.suitability.warmer import assumed_warmer
from domain.suitability.worth_finding_out import worth_finding_out
from domain.tables.rootstocks import commonly_sold, rootstock_names

MOST_ROOT_INJURY_A_YEAR = 0.1
"""Chance a year of injury to tender roots (those of M.9) from which hardy rootstocks are asked for; common practice."""

FAR_KM = 20.0
HIGH_PRESSURE = 0.6
"""Pressure of scab or fire blight (0 to 1) from which crowns get more air; our judgement."""

NEIGHBOURS_WORTH_KNOWING = "Which apple and crab apple trees bloom within about 100 m, and when."


def planting_lists(
    request: PlantingListsRequest,
    catalogue: Catalogue,
    conditions: SiteConditions,
    warmer: SiteConditions | None = None,
) -> PlantingLists:
    """Choose and explain planting lists for a site. Raises ContentFaults with every fault of content.

    warmer: the conditions of the site that much warmer, where the request asks for lists that hold in both.
    """
    injury = root_injury(conditions)
    wished = _as_the_site_asks(wishes(request, catalogue.tables.names), request, conditions, injury)
    sited = sited_cultivars(catalogue, conditions, wished.named, wished.weights)
    taken = _roots(injury)
    if warmer is not None and request.warmer_by_c is not None:
        sited = holding(sited, sited_cultivars(catalogue, warmer, wished.named, wished.weights))
        taken = (assumed_warmer(request.warmer_by_c), *taken)
    answer = lists_for(wished, sited, catalogue.tables.by_id)
    ground = request.site.ground
    told = (cautions.OLD_ORCHARD,) if ground is not None and ground.old_orchard else ()
    unknown = (NEIGHBOURS_WORTH_KNOWING,) if wished.neighbourhood == "unknown" else ()
    return msgspec.structs.replace(
        answer,
        assumptions=(*answer.assumptions, *taken, *conditions.years.assumptions),
        warnings=(*conditions.years.warnings, *_far_from_site(request, wished)),
        worth_finding_out=(*worth_finding_out(request.site, conditions, catalogue.advised, wished.weights), *unknown),
        cautions=(*answer.cautions, *told),
    )


def _far_from_site(request: PlantingListsRequest, wished: Wishes) -> tuple[str, ...]:
    """A warning where the plot lies far from the place whose climate was asked for."""
    site, plot = request.site, wished.room.plot
    if plot is None or not isinstance(plot.frame, LocalPlane) or site.latitude is None or site.longitude is None:
        return ()
    places = earth_centred([[plot.frame.longitude, plot.frame.latitude], [site.longitude, site.latitude]])
    apart_km = float(np.linalg.norm(places[0] - places[1])) / 1000
    if apart_km <= FAR_KM:
        return ()
    return (f"The plot lies {apart_km:,.0f} km from the site's latitude and longitude: is one of them mistaken?",)


def root_injury(conditions: SiteConditions) -> float:
    """Chance a year that cold in the ground hurts tender roots."""
    weather = conditions.years.seasons.weather
    return float(root_injury_a_year(weather, [ROOT_HARDINESS_C["tender"]])[0])


def _roots(injury: float) -> tuple[Assumption, ...]:
    """What is taken for granted of roots, where the ground freezes deep enough to matter."""
    if injury <= MOST_ROOT_INJURY_A_YEAR:
        return ()
    why = (
        f"The ground freezes so deep that tender roots (M.9) would be hurt in about {words.years(10.0 * injury)} "
        "winters, under the snow that usually lies; a mulch of straw helps."
    )
    return (Assumption("available", "hardy rootstocks only", why),)


def _as_the_site_asks(
    wished: Wishes, request: PlantingListsRequest, conditions: SiteConditions, injury: float
) -> Wishes:
    """The wishes, with more air between crowns where scab or fire blight presses, and hardy roots where it is cold."""
    if max(conditions.pressure["scab"], conditions.pressure["fire_blight"]) >= HIGH_PRESSURE:
        wished = replace(wished, air_m=AIR_WHERE_DISEASE_PRESSES_M)
    if injury <= MOST_ROOT_INJURY_A_YEAR:
        return wished
    stocks = wished.rootstocks
    if not any(rootstock_names().resolve(name) for name in request.available or ()):
        stocks = commonly_sold(request.site.latitude, request.site.longitude, cold_winters=True)
    return replace(wished, trees=msgspec.structs.replace(wished.trees, cold_winters=True), rootstocks=stocks)


def sited_cultivars(
    catalogue: Catalogue, conditions: SiteConditions, named: Collection[str], weights: Weights
) -> SitedCultivars:
    """The advised apples, every crab apple and the cultivars of the `named` ids, judged at the site."""
    chosen = [
        cultivar
        for cultivar in catalogue.tables.cultivars
        if cultivar.shelf == "advised" or cultivar.kind == "crab_apple" or cultivar.id in named
    ]
    traits = catalogue.choose(chosen)
    fit = site_fit(conditions, traits)
    return SitedCultivars(
        cultivars=fit.cultivars,
        crop_chance=fit.crop_chance,
        windows=windows_of(conditions, fit, traits),
        harvest_first=fit.harvest_first,
        harvest_last=fit.harvest_last,
        storage_weeks=fit.storage_weeks,
        likely_years=fit.likely,
        rank_value=rank_values(fit, weights),
        sound=fit.sound,
        verdict=tuple(verdicts(fit, ~np.isnan(traits.value["ripening_offset_days"]))),
        limiting=tuple(limiting_factors(fit)),
        south=fit.south,
    )
