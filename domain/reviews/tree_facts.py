"""What is known of a tree when causes are weighed: what was told of it, and what its site makes likely."""

import datetime
from typing import TypedDict

import numpy as np

from domain.common.season_days import FIRST_WINTER, SEASON_DAYS, month_day, season_day
from domain.fruit.bearing import bears_on_tips
from domain.fruit.reference import MOTTLING
from domain.planting_list.wishes import Standing
from domain.pollination.kinship import sport_group
from domain.pollination.pairs import FIGURES as PAIRS
from domain.reviews.causes import FIGURES as CAUSES
from domain.reviews.causes import TreeFacts
from domain.reviews.orchard import Orchard
from domain.reviews.review_request import ReviewedTree
from domain.reviews.tree_room import TreeTold
from domain.site_climate.site import Ground
from domain.suitability.site_fit import SiteFit
from domain.suitability.to_mind import FIGURES as MIND
from domain.traits.fixed_parts import FIGURES as FIXED
from domain.trees.tree_size import years_to_first_crop


def tree_facts(orchard: Orchard, place: int, label_doubted: bool = False) -> TreeFacts:
    """The facts of one tree of a planting. label_doubted: whether dates seen speak against its label."""
    told, tree = orchard.planting.request.trees[place], orchard.planting.trees[place]
    row, ground = orchard.row(tree), orchard.planting.request.site.ground
    reckoned = float(orchard.rooms.sun[place]) if orchard.planting.places.known else np.nan
    sun = told.sun_hours
    if sun is None:
        sun = reckoned if np.isfinite(reckoned) else None if ground is None else ground.sun_hours
    room = orchard.rooms.trees[place]
    size = None if room.stock is None else room.stock.numbers.get("size_percent")
    first = _first_crop(orchard, row, room)
    cultivar = None if row is None else orchard.sited.cultivars[row]
    biennial = None if cultivar is None else cultivar.numbers.get("biennial")
    pit = None if cultivar is None else cultivar.numbers.get("bitter_pit")
    return TreeFacts(
        pollinated=orchard.pollinated(place),
        partner_trouble=partner_trouble(orchard, tree),
        age=orchard.planting.age(told),
        bears_from=first - CAUSES.first_crop_earlier,
        bears_by=first + CAUSES.first_crop_later,
        bears_late=first + CAUSES.first_crop_later + (CAUSES.untold_stock_later if room.stock is None else 0.0),
        pruning=told.pruning,
        feeding=told.feeding,
        sun_hours=sun,
        **_of_ground(orchard, ground),
        vigour=room.scion.vigour,
        biennial=None if biennial is None else biennial.value,
        lost=_lost(orchard, place, row),
        crowded=orchard.rooms.crowded(place),
        outgrown=room.outgrown,
        stock_percent=None if size is None else size.value,
        cropped_years_ago=_last_crop(told, orchard.planting.as_of),
        label_doubted=label_doubted,
        form_unfit=room.form_unfit,
        on_tips=bears_on_tips(room.bearing),
        pits=pit is not None and pit.value >= MIND.bitter_pit_from,
        mottles=cultivar is not None and sport_group(cultivar, orchard.catalogue.tables.by_id) in MOTTLING,
        very_hot_days=orchard.conditions.very_hot_days,
        signs=tuple(dict.fromkeys(told.signs)),
        after_leaf_fall=orchard.after_leaf_fall,
        diseases=orchard.diseases(row),
        insects=orchard.insects,
    )


class _OfGround(TypedDict, total=False):
    """The facts of a tree that are those of the ground it stands on."""

    drainage: str | None
    texture: str | None
    ph: float | None
    irrigated: bool | None
    water: float | None
    salt_spray: bool | None


def _of_ground(orchard: Orchard, ground: Ground | None) -> _OfGround:
    if ground is None:
        return {}
    return _OfGround(
        drainage=ground.drainage,
        texture=ground.texture,
        ph=ground.ph,
        irrigated=ground.irrigated,
        water=orchard.water,
        salt_spray=ground.salt_spray,
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


def _first_crop(orchard: Orchard, row: int | None, tree: TreeTold) -> float:
    if tree.stock is not None and row is not None:
        return years_to_first_crop(tree.scion, tree.stock)
    if row is None:
        low, high = FIXED.usual_years_to_first_crop
    else:
        low, high = orchard.traits.fixed[row].years_to_first_crop
    return (low + high) / 2


def _last_crop(told: ReviewedTree, as_of: datetime.date | None) -> float | None:
    """Years since the last crop that was seen."""
    crops = [datetime.date.fromisoformat(seen.date) for seen in told.seen if seen.event == "last_crop"]
    return None if as_of is None or not crops else (as_of - max(crops)).days / 365.25


def _lost(orchard: Orchard, place: int, row: int | None) -> dict[str, float]:
    """Factor of the crop -> share that it takes; of a tree without a name what it takes of the middle cultivar.

    Where the records of the site hold the last bloom, what frost took of it is told, and not of a usual year.
    """
    fit = orchard.own.fit
    of_crop = [factor for factor in fit.factors if factor.outcome == "crop"]
    lost: dict[str, float] = {
        factor.code: 1.0 - float(np.median(factor.likely) if row is None else factor.likely[row]) for factor in of_crop
    }
    of_year = _frost_of_last_bloom(orchard, place, fit, row)
    return lost if of_year is None else lost | {"frost_at_bloom": of_year}


def _frost_of_last_bloom(orchard: Orchard, place: int, fit: SiteFit, row: int | None) -> float | None:
    """Share of the crops that frost took of the last bloom before today.

    By the records of its spring; without them, of a bloom whose day was seen, what frost takes of one on that day in
    all springs. None where there is neither.
    """
    as_of, weather = orchard.planting.as_of, orchard.conditions.years.seasons.weather
    blooms = [seen.date for seen in orchard.planting.request.trees[place].seen if seen.event == "full_bloom"]
    if as_of is None or row is None or not (weather.first_years or blooms):
        return None
    full = fit.bloom.full[row]
    usual = month_day(float(np.median(full)), weather.south)
    bloomed = as_of.year if f"{as_of:%m-%d}" >= usual else as_of.year - 1
    years = [first + (0 if weather.south else 1) for first in weather.first_years or ()]
    season = years.index(bloomed) if bloomed in years else None
    day = np.inf if season is None else float(full[season])
    for seen in blooms:
        if seen.startswith(f"{bloomed:04d}-"):
            day = float(season_day(seen[5:], weather.south, not_before=FIRST_WINTER.start))
    if day >= SEASON_DAYS:
        return None
    every_season = np.full((1, full.size), day, dtype=np.float32)
    left = orchard.conditions.frost_chance.chance(every_season)[0]
    return 1.0 - float(left.mean() if season is None else left[season])
