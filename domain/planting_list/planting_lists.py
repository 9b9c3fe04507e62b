"""From a request of `planting-lists` to its answer: names resolved, cultivars judged at the site, lists chosen."""

from collections.abc import Collection, Mapping
from dataclasses import replace

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.assumptions import Assumption
from domain.common.cautions import Caution
from domain.common.distributions import PERCENTILE_80
from domain.fruit.diseases import DISEASE_BY_ID
from domain.fruit.kinds import pollen_donor
from domain.ground.plot import RectangleFrame
from domain.ground.projection import LocalPlane, distance_m, surely_within
from domain.hazards.root_cold import root_injury_a_year, root_kill_c
from domain.hazards.spot import short_of_water, spot_warnings
from domain.orchard_site.conditions import SiteConditions
from domain.planting_list.less_told import without
from domain.planting_list.list_answer import Limit, PlantingList, PlantingLists, Relax
from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.lists import lists_for
from domain.planting_list.pollen_donors import DonorJudged, donors_judged
from domain.planting_list.tree_options import FIGURES as TREES
from domain.planting_list.trees_at_site import SitedCultivars, holding, with_donors
from domain.planting_list.wishes import Wishes, not_in_stock, told_of_stock, wishes
from domain.pollination.bloom_overlap import never
from domain.pollination.site_pairs import pairs_in, site_pairs
from domain.pollination.site_windows import windows_of
from domain.site_climate.site import Site
from domain.suitability import sentences
from domain.suitability.proven import distances_km
from domain.suitability.ranking import rank_values
from domain.suitability.site_fit import SiteFit, site_fit
from domain.suitability.suitability_request import Weights
from domain.suitability.to_mind import ToMind, of_cultivars, of_the_site
from domain.suitability.verdicts import bears_as_grown_alike, limiting_factors, verdicts
from domain.suitability.warmer import assumed_warmer
from domain.suitability.without_winter import site_words
from domain.suitability.worth_finding_out import worth_finding_out
from domain.tables import cautions
from domain.tables.parameters import figures
from domain.tables.rootstocks import commonly_sold, rootstock_names
from domain.tables.words import Sentence, assume, say
from domain.traits.catalogue import Catalogue
from domain.traits.told_near_by import ToldNearBy, passed_over, told_near_by
from domain.traits.trait_table import TraitTable
from domain.trees.stock_hazards import HARDINESS_CLASSES, RootInjury


class SiteWishFigures(msgspec.Struct, frozen=True):
    """What of a site asks for other roots, or for more air. rain days: of the growing season; hot days: of a year."""

    most_root_injury_a_year: float
    far_km: float
    high_pressure: float
    aphid_winter_from_c: float
    aphid_summer_from_c: float
    hot_days: float


FIGURES = figures("planting_list", "planting_lists", SiteWishFigures)


def planting_lists(
    request: PlantingListsRequest,
    catalogue: Catalogue,
    conditions: SiteConditions,
    warmer: SiteConditions | None = None,
    wished: Wishes | None = None,
) -> PlantingLists:
    """Choose and explain planting lists for a site. Raises ContentFaults with every fault of content.

    warmer: the conditions of the site that much warmer, where the request asks for lists that hold in both. wished: the
    `wishes` of the request, where they have been resolved already.
    """
    injury = root_injury(conditions)
    wished = wishes(request, catalogue.tables) if wished is None else wished
    wished = _as_the_site_asks(wished, request, conditions, injury)
    traits = plantable(catalogue, wished.named)
    sited = sited_cultivars(traits, conditions, wished.weights, no_spray=wished.no_spray)
    sited = replace(
        sited,
        told=told_here(catalogue, conditions),
        passed_over=passed_over_here(traits, conditions),
        known_here=site_fit(conditions, traits).known_here,
    )
    taken = (*_roots(injury), *_watering(request, conditions))
    if warmer is not None and request.warmer_by_c is not None:
        sited = holding(sited, sited_cultivars(traits, warmer, wished.weights, no_spray=wished.no_spray))
        taken = (assumed_warmer(request.warmer_by_c), *taken)
    if not conditions.years.without_winter:
        at_once = site_pairs(catalogue, conditions, traits) if warmer is None else None
        sited = replace(sited, pairs=at_once or pairs_in(catalogue, traits, sited.windows))
    answer = lists_for(wished, sited, catalogue.tables.by_id)
    ground = request.site.ground
    told: tuple[Caution, ...] = (cautions.OLD_ORCHARD,) if ground is not None and ground.old_orchard else ()
    told += (cautions.NO_REST_BREAKING,) if conditions.years.without_winter else ()
    unknown = (say("find_out_neighbours"),) if wished.neighbourhood == "unknown" else ()
    whole = msgspec.structs.replace(
        answer,
        limits=(*_of_winter(conditions), *answer.limits),
        assumptions=(*answer.assumptions, *taken, *conditions.years.assumptions),
        warnings=(
            *conditions.years.warnings,
            *spot_warnings(request.site.ground, conditions.years),
            *site_words(conditions),
            *answer.warnings,
            *far_from_site(request.site, None if wished.room.plot is None else wished.room.plot.frame),
            *told_of_stock(request, catalogue.tables.names),
            *not_in_stock(wished, catalogue.tables.by_id, answer.planting_lists),
        ),
        worth_finding_out=(
            *worth_finding_out(request.site, conditions, traits, wished.weights, catalogue.is_advised(traits)),
            *unknown,
        ),
        planting_lists=tuple(
            msgspec.structs.replace(one, to_mind=_of_trees(one, conditions, catalogue)) for one in answer.planting_lists
        ),
        to_mind=of_the_site(conditions, site_fit(conditions, traits).site_frost, ground),
        cautions=(*answer.cautions, *told),
    )
    return without(whole, request.without)


def _of_trees(one: PlantingList, conditions: SiteConditions, catalogue: Catalogue) -> tuple[ToMind, ...]:
    """What the cultivars of a list ask here."""
    return of_cultivars(conditions, [catalogue.tables.by_id[tree.id] for tree in one.trees])


def _of_winter(conditions: SiteConditions) -> tuple[Limit, ...]:
    """The limit where there is no winter: no list is made of trees whose year begins when they are stripped."""
    if not conditions.years.without_winter:
        return ()
    said, relax = say("no_list_without_winter"), say("relax_no_winter")
    return (Limit(limit="climate", **msgspec.structs.asdict(said), relax=Relax(**msgspec.structs.asdict(relax))),)


def far_from_site(site: Site, frame: LocalPlane | RectangleFrame | None) -> tuple[Sentence, ...]:
    """A warning where the plot lies far from the place whose climate was asked for. frame: of the plot."""
    if not isinstance(frame, LocalPlane) or site.latitude is None or site.longitude is None:
        return ()
    plot, asked = (frame.longitude, frame.latitude), (site.longitude, site.latitude)
    if surely_within((plot, asked), 1000 * FIGURES.far_km):
        return ()
    apart_km = distance_m(plot, asked) / 1000
    if apart_km <= FIGURES.far_km:
        return ()
    return (say("plot_far_from_site", apart_km=apart_km),)


def root_injury(conditions: SiteConditions) -> RootInjury:
    """Chance a year that cold in the ground kills half of the roots, by class of hardiness, best first; kept."""

    def made() -> RootInjury:
        limits = [root_kill_c(hardiness) for hardiness in HARDINESS_CLASSES]
        best, good, middling, worst = root_injury_a_year(conditions.years.seasons.weather, limits).round(2).tolist()
        return best, good, middling, worst

    return conditions.kept.get("root_injury", None, made)


def _roots(injury: RootInjury) -> tuple[Assumption, ...]:
    """What is taken for granted of roots, where the ground freezes deep enough to matter."""
    if injury[-1] <= FIGURES.most_root_injury_a_year:
        return ()
    return (assume("available", "tender_roots_freeze", winters=10.0 * injury[-1]),)


def _unwatered(request: PlantingListsRequest) -> bool:
    """Whether the caller says that nobody waters grown trees."""
    return request.site.ground is not None and request.site.ground.irrigated is False


def _watering(request: PlantingListsRequest, conditions: SiteConditions) -> tuple[Assumption, ...]:
    """What is taken for granted where summers are so dry that apples are grown with water or not at all."""
    ground = request.site.ground
    share = short_of_water(ground, conditions.years)
    if share is None or (ground is not None and ground.irrigated is not None):
        return ()
    return (assume("site.ground.irrigated", "trees_are_watered", True, share=share),)


def _as_the_site_asks(
    wished: Wishes, request: PlantingListsRequest, conditions: SiteConditions, injury: RootInjury
) -> Wishes:
    """The wishes, with more air where a disease presses that wants it, and what presses on the roots."""
    wanting_air = [conditions.pressure[name] for name, disease in DISEASE_BY_ID.items() if disease.wants_air]
    if max(wanting_air, default=0.0) >= FIGURES.high_pressure:
        wished = replace(wished, air_m=TREES.air_where_disease_presses_m)
    cold = injury[-1] > FIGURES.most_root_injury_a_year
    stocks = wished.rootstocks
    if cold and not any(rootstock_names().resolve(name) for name in request.available or ()):
        stocks = commonly_sold(request.site.latitude, request.site.longitude, cold_winters=True)
    mild = conditions.summer.winter_minimum_c >= FIGURES.aphid_winter_from_c
    here = msgspec.structs.replace(
        wished.trees.hazards,
        root_injury=injury if cold else None,
        fire_blight=round(conditions.pressure["fire_blight"], 1),
        woolly_aphid=mild and conditions.summer.summer_c >= FIGURES.aphid_summer_from_c,
        drought=_unwatered(request) and short_of_water(request.site.ground, conditions.years) is not None,
        heat=conditions.very_hot_days >= FIGURES.hot_days,
    )
    return replace(wished, trees=msgspec.structs.replace(wished.trees, hazards=here), rootstocks=stocks)


def plantable(catalogue: Catalogue, named: Collection[str]) -> TraitTable:
    """Traits of the advised apples, of every donor of pollen and of the cultivars of the `named` ids."""
    return catalogue.choose(
        [
            cultivar
            for cultivar in catalogue.tables.cultivars
            if cultivar.status == "advised" or pollen_donor(cultivar) or cultivar.id in named
        ]
    )


def told_here(catalogue: Catalogue, conditions: SiteConditions) -> Mapping[str, frozenset[ToldNearBy]]:
    """What sources tell of cultivars near the site, kept with it."""
    witnesses, years = catalogue.traits.witnesses, conditions.years

    def made() -> Mapping[str, frozenset[ToldNearBy]]:
        km = distances_km(witnesses.on_earth, years.latitude, years.longitude)
        return told_near_by(catalogue.tables.witnesses, witnesses, km)

    return conditions.kept.get("told_near_by", None, made)


def passed_over_here(traits: TraitTable, conditions: SiteConditions) -> NDArray[np.float64]:
    """How far each cultivar (n,) of a table is passed over by those who speak of the place, however early; kept.

    Not as in its rank, where what nobody could know yet does not sink: on a list it must be had.
    """
    years = conditions.years

    def made() -> NDArray[np.float64]:
        km = distances_km(traits.witnesses.on_earth, years.latitude, years.longitude)
        return passed_over(traits.witnesses, km, however_early=True)[traits.witnessed]

    return conditions.kept.get("passed_over_on_lists", traits, made)


def sited_cultivars(
    traits: TraitTable, conditions: SiteConditions, weights: Weights, *, no_spray: bool = False
) -> SitedCultivars:
    """Cultivars judged at the site. no_spray: whether what disease does to unsprayed fruit counts in the verdict.

    All but the rank, which alone depends on the weights, is kept with the site.
    """
    fit = site_fit(conditions, traits)
    key = (traits, no_spray)
    unranked, donors = conditions.kept.get("sited", key, lambda: _unranked(fit, traits, conditions, no_spray))
    worth = rank_values(fit, weights, heard=False)
    return with_donors(replace(unranked, rank_value=rank_values(fit, weights), worth=worth), donors)


def _unranked(
    fit: SiteFit, traits: TraitTable, conditions: SiteConditions, no_spray: bool
) -> tuple[SitedCultivars, tuple[DonorJudged, ...]]:
    """The cultivars with no rank yet, and what is planted for its pollen alone."""
    judged, limiting = verdicts(fit, no_spray=no_spray), limiting_factors(fit, no_spray=no_spray)
    windows = windows_of(conditions, traits)
    if conditions.years.without_winter:  # no crop can be counted on, and no bloom but that of a told stripping
        judged, limiting = ["not_here"] * len(judged), ["winter_chill"] * len(limiting)
        windows = never(windows)
    found = SitedCultivars(
        cultivars=fit.cultivars,
        crop_chance=fit.crop_chance,
        windows=windows,
        harvest_first=fit.harvest_first,
        harvest_last=fit.harvest_last,
        storage_weeks=fit.storage_weeks,
        likely_years=fit.likely_years,
        rank_value=np.zeros(len(fit.cultivars), dtype=np.float32),
        worth=np.zeros(len(fit.cultivars), dtype=np.float32),
        sound=fit.outcomes["sound_fruit"].likely,
        verdict=tuple(judged),
        limiting=tuple(limiting),
        said=tuple(
            sentences.verdict(verdict, cultivar.name, fit.years(row), factor, alike)
            for row, (cultivar, verdict, factor, alike) in enumerate(
                zip(fit.cultivars, judged, limiting, bears_as_grown_alike(fit).tolist(), strict=True)
            )
        ),
        chill_years=10.0 * fit.factor("winter_chill").likely,
        south=fit.south,
        judged_share=fit.judged_share,
        keeps_surely=(
            traits.value["storage_weeks_low"] - np.float32(PERCENTILE_80) * traits.spread["storage_weeks_low"]
        ),
    )
    return found, donors_judged(fit, windows.known.tolist())
