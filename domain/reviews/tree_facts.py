"""What is known of a tree when causes are weighed: what was told of it, and what its site makes likely."""

import numpy as np

from domain.fruit.diseases import DISEASES
from domain.planting_list.wishes import Standing
from domain.pollination.pairs import FIGURES as PAIRS
from domain.reviews.causes import FIGURES as CAUSES
from domain.reviews.causes import TreeFacts
from domain.reviews.orchard import Orchard
from domain.suitability.site_fit import site_fit
from domain.tables.rootstocks import rootstocks
from domain.traits.fixed_parts import FIGURES as FIXED
from domain.traits.trait_table import FIGURES as TRAITS
from domain.trees.tree_size import scion_growth, years_to_first_crop


def tree_facts(orchard: Orchard, place: int) -> TreeFacts:
    """The facts of one tree of a planting."""
    told, tree = orchard.planting.request.trees[place], orchard.planting.trees[place]
    row, ground = orchard.row(tree), orchard.planting.request.site.ground
    sun = told.sun_hours if told.sun_hours is not None else None if ground is None else ground.sun_hours
    first = _first_crop(orchard, tree, orchard.planting.stocks[place])
    cultivar = None if row is None else orchard.sited.cultivars[row]
    growth = None if cultivar is None else scion_growth(cultivar)
    biennial = None if cultivar is None else cultivar.numbers.get("biennial")
    return TreeFacts(
        pollinated=orchard.want(tree).before,
        partner_trouble=partner_trouble(orchard, tree),
        age=orchard.planting.age(told),
        bears_from=first - CAUSES.first_crop_earlier,
        bears_by=first + CAUSES.first_crop_later,
        pruning=told.pruning,
        feeding=told.feeding,
        sun_hours=sun,
        drainage=None if ground is None else ground.drainage,
        vigour=None if growth is None else growth.vigour,
        biennial=None if biennial is None else biennial.value,
        lost=_lost(orchard, row),
        diseases=_diseases(orchard, row),
        insects={insect.insect: insect.pressure for insect in orchard.conditions.insects},
    )


def partner_trouble(orchard: Orchard, tree: Standing) -> str:
    """Why a tree is not served, if it is not: nobody there, somebody of no use, or somebody that blooms apart."""
    row = orchard.row(tree)
    others = [
        other
        for one in (*orchard.planting.trees, *orchard.planting.nearby)
        if (other := orchard.row(one)) is not None and other != row
    ]
    if row is None or not others:
        return "no_partner"
    fits = orchard.table.fits
    useful = [
        other
        for other in others
        if not fits.same_genotype[row, other]
        and float(fits.chance[row, other]) * float(fits.pollen_chance[other]) >= PAIRS.ineffective_chance
    ]
    return "partner_blooms_apart" if useful else "sterile_or_same_pollen"


def _first_crop(orchard: Orchard, tree: Standing, stock: str | None) -> float:
    row = orchard.row(tree)
    if stock is not None and row is not None:
        return years_to_first_crop(scion_growth(orchard.sited.cultivars[row]), rootstocks()[stock])
    if row is None:
        low, high = FIXED.usual_years_to_first_crop
    else:
        low, high = orchard.traits.fixed[row].years_to_first_crop
    return (low + high) / 2


def _lost(orchard: Orchard, row: int | None) -> dict[str, float]:
    """Factor of the crop -> share that it takes; of a tree without a name what it takes of the middle cultivar."""
    fit = site_fit(orchard.conditions, orchard.traits)
    of_crop = [factor for factor in fit.factors if factor.outcome == "crop"]
    return {
        factor.code: 1.0 - float(np.median(factor.likely) if row is None else factor.likely[row]) for factor in of_crop
    }


def _diseases(orchard: Orchard, row: int | None) -> dict[str, float]:
    """Disease -> pressure times susceptibility; one that nobody rated stands in the middle."""
    pressure = orchard.conditions.pressure
    rated = np.full(len(DISEASES), np.nan) if row is None else orchard.traits.susceptibility[row]
    taken = np.where(np.isnan(rated), TRAITS.unknown_susceptibility, rated)
    return {disease: float(pressure[disease] * taken[n]) for n, disease in enumerate(DISEASES)}
