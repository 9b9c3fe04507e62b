"""From a request of `planting-list-reviews` to its answer."""

from domain.common.cautions import Caution
from domain.hazards.spot import spot_warnings
from domain.orchard_site.conditions import SiteConditions
from domain.planting_list.planting_lists import far_from_site
from domain.reviews.causes_told import what_ails
from domain.reviews.changes import changes
from domain.reviews.cures import cure
from domain.reviews.orchard import Orchard, orchard
from domain.reviews.planting import Planting, planting
from domain.reviews.review_answer import Change, PlantingListReview, ReviewedTreeAnswer, ReviewVerdict
from domain.reviews.review_request import PlantingListReviewRequest
from domain.reviews.trees_judged import complained, tree_judged
from domain.reviews.whole import unnamed, verdict, whole, years_together
from domain.tables import cautions
from domain.tables.words import Sentence, say
from domain.traits.catalogue import Catalogue

PLANTED = frozenset({"add_tree", "replace", "move", "other_stock"})
GRAFTED = frozenset({"add_scion", "regraft"})
DUG = frozenset({"add_tree", "replace", "move", "remove", "drain"})
DUG_FOR = frozenset({"wet_soil", "salt_spray"})
"""Causes against which a drain or a belt of trees is put into the ground."""
REACHED_UP = frozenset({"prune", "thin", "let_light_in", "shield_fruit", "clear_away", "strip_leaves", "remove"})


def review(
    request: PlantingListReviewRequest,
    catalogue: Catalogue,
    conditions: SiteConditions,
    planted: Planting | None = None,
) -> PlantingListReview:
    """Judge a planting. Raises ContentFaults with every fault of names and dates.

    planted: the planting of the request, where it has been resolved already.
    """
    resolved = planting(request, catalogue.tables.names) if planted is None else planted
    at = orchard(resolved, catalogue, conditions)
    ails = [what_ails(at, place) for place in range(len(request.trees))]
    trees = tuple([tree_judged(at, place, each) for place, each in enumerate(ails)])
    years = years_together(at)
    found = changes(at, trees, ails, years)
    judged = verdict(trees, found, years)
    return PlantingListReview(
        verdict=judged,
        said=_said(at, judged),
        trees=trees,
        whole=whole(at, trees, years.known),
        changes=found,
        assumptions=conditions.years.assumptions,
        warnings=(
            *conditions.years.warnings,
            *spot_warnings(request.site.ground, conditions.years),
            *far_from_site(request.site, resolved.places.frame),
        ),
        cautions=_cautions(found, trees),
    )


def _said(at: Orchard, judged: ReviewVerdict) -> Sentence:
    if judged == "sound" and complained(at):
        return say("review_sound_with_complaints")
    if judged == "sound" and (trees := unnamed(at)):
        return say("review_sound_as_far_as_known", trees=trees)
    if judged == "not_known" and (trees := unnamed(at)) and len(trees) < len(at.rows):
        return say("review_not_known_of_some", trees=trees)
    return say(f"review_{judged}")


def _cautions(found: tuple[Change, ...], trees: tuple[ReviewedTreeAnswer, ...]) -> tuple[Caution, ...]:
    """Cautions of what is advised: the changes, and what is done by hand against each cause that is told."""
    causes = [cause for tree in trees for cause in tree.likely_causes]
    named = {cause.cause for cause in causes}
    kinds = {one.change for one in found} | {cure(cause) for cause in causes}
    grafted = kinds & GRAFTED or any(one.code == "change_remove_but_graft" for one in found)
    told = []
    if kinds & PLANTED:
        told.append(cautions.ASK_LOCALLY)
    if grafted:
        told += [cautions.PLANT_HEALTH, cautions.GRAFTING_KNIVES]
    if kinds & DUG or named & DUG_FOR:
        told.append(cautions.DIGGING)
    if kinds & REACHED_UP:
        told.append(cautions.LADDERS)
    if "frost_took_the_bloom" in named:
        told.append(cautions.FROST_NIGHTS)
    if kinds & {"shield_fruit", "clear_away", "prune"} or any(":" in cause for cause in named):
        told.append(cautions.SPRAYS)
    return tuple(told)
