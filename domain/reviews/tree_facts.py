"""What is known of a tree when causes are weighed: what was told of it, and what its site makes likely."""

import datetime
from typing import TypedDict

import numpy as np

from domain.common.season_days import FIRST_WINTER, SEASON_DAYS, month_day, season_day
from domain.fruit.bearing import bears_on_tips
from domain.pollination.pairs import FIGURES as PAIRS
from domain.reviews.cause_facts import FIGURES as CAUSES
from domain.reviews.cause_facts import TreeFacts
from domain.reviews.orchard import Orchard
from domain.reviews.review_request import ReviewedTree
from domain.site_climate.site import Ground
from domain.trees.tree_size import years_to_first_crop


def tree_facts(orchard: Orchard, place: int, label_doubted: bool = False) -> TreeFacts:
    """The facts of one tree of a planting. label_doubted: whether dates seen speak against its label."""
    told, row = orchard.planting.request.trees[place], orchard.rows[place]
    ground, room, known = orchard.planting.request.site.ground, orchard.rooms.trees[place], orchard.cultivar_facts(row)
    sun = told.sun_hours
    if sun is None and orchard.planting.places.known:
        sun = orchard.rooms.sun_of(place)
    if sun is None and ground is not None:
        sun = ground.sun_hours
    size = None if room.stock is None else room.stock.numbers.get("size_percent")
    first = known.first_crop_years
    if room.stock is not None and row is not None:
        first = years_to_first_crop(room.scion, room.stock)
    last = first + CAUSES.first_crop_later
    frost = _frost_of_last_bloom(orchard, place, row)
    return TreeFacts(
        pollinated=orchard.pollinated(place),
        partner_trouble=partner_trouble(orchard, place),
        age=orchard.planting.age(told),
        bears_from=first - CAUSES.first_crop_earlier,
        bears_by=last,
        bears_late=last + (CAUSES.untold_stock_later if room.stock is None else 0.0),
        pruning=told.pruning,
        feeding=told.feeding,
        sun_hours=sun,
        **_of_ground(orchard, ground),
        vigour=room.scion.vigour,
        biennial=known.biennial,
        lost=known.lost if frost is None else known.lost | {"frost_at_bloom": frost},
        crowded=orchard.rooms.crowded(place),
        outgrown=room.outgrown,
        stock_percent=None if size is None else size.value,
        cropped_years_ago=_last_crop(told, orchard.planting.as_of),
        label_doubted=label_doubted,
        form_unfit=room.form_unfit,
        on_tips=bears_on_tips(room.scion.bearing),
        pits=known.pits,
        mottles=known.mottles,
        crab=told.kind == "crab_apple",
        very_hot_days=orchard.conditions.very_hot_days,
        signs=tuple(dict.fromkeys(told.signs)) if told.signs else (),
        after_leaf_fall=orchard.after_leaf_fall,
        diseases=known.diseases,
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


def partner_trouble(orchard: Orchard, place: int) -> str:
    """Why a tree is not served, if it is not: nobody there, somebody of no use, or somebody that blooms apart."""
    row = orchard.rows[place]
    others = [] if row is None else [other for other in orchard.pollen.sources.rows if other != row]
    if not others:
        return "no_partner"
    fits = orchard.table.fits
    useful = [
        other
        for other in others
        if not fits.same_genotype[row, other]
        and float(fits.chance[row, other]) * float(fits.pollen_chance[other]) >= PAIRS.ineffective_chance
    ]
    return "partner_blooms_apart" if useful else "sterile_or_same_pollen"


def _last_crop(told: ReviewedTree, as_of: datetime.date | None) -> float | None:
    """Years since the last crop that was seen."""
    if as_of is None or not told.seen:
        return None
    crops = [datetime.date.fromisoformat(seen.date) for seen in told.seen if seen.event == "last_crop"]
    return None if not crops else (as_of - max(crops)).days / 365.25


def _frost_of_last_bloom(orchard: Orchard, place: int, row: int | None) -> float | None:
    """Share of the crops that frost took of the last bloom before today, which is told then, and not of a usual year.

    By the records of its spring; without them, of a bloom whose day was seen, what frost takes of one on that day in
    all springs. None where there is neither.
    """
    as_of, weather = orchard.planting.as_of, orchard.conditions.years.seasons.weather
    if as_of is None or row is None or not (weather.first_years or orchard.planting.request.trees[place].seen):
        return None
    blooms = [seen.date for seen in orchard.planting.request.trees[place].seen if seen.event == "full_bloom"]
    if not (weather.first_years or blooms):
        return None
    full = orchard.own.fit.bloom.full[row]
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
