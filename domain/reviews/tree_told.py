"""What is told of a tree, held against itself: its room by places and size, and what cannot all be right."""

import datetime

from domain.fruit.signs import speaks_of
from domain.reviews.orchard import Orchard
from domain.reviews.review_answer import ReviewRoom
from domain.reviews.tree_room import FIGURES, TreeTold
from domain.tables.words import Sentence, say

NO_FLOWER, NO_FRUIT = frozenset({"no_bloom"}), frozenset({"no_bloom", "bloom_but_no_fruit"})


def room_of(orchard: Orchard, place: int) -> ReviewRoom | None:
    """The room of a tree; None where neither place nor size of it is told."""
    tree, nearest = orchard.rooms.trees[place], orchard.planting.places.nearest(place)
    told = tree.told
    if nearest is None and told.spread_m is None and told.height_m is None:
        return None
    sun = orchard.rooms.sun_of(place) if told.sun_hours is None and nearest is not None else None
    return ReviewRoom(
        crown_spread_m=round(tree.now[1], 1),
        grown_spread_m=round(tree.grown.crown_spread_m.likely, 1),
        nearest=None if nearest is None else orchard.names[nearest[0]],
        nearest_m=None if nearest is None else round(nearest[1], 1),
        crowded=orchard.rooms.crowded(place),
        outgrown=tree.outgrown,
        sun_hours=None if sun is None else round(sun, 1),
        said=_said(orchard, place),
    )


def _said(orchard: Orchard, place: int) -> Sentence | None:
    tree, nearest = orchard.rooms.trees[place], orchard.planting.places.nearest(place)
    if tree.outgrown and tree.stock is not None:
        most = tree.grown.crown_spread_m.high
        return say("room_outgrown", spread_m=tree.told.spread_m, rootstock=tree.stock.name, most_m=most)
    if nearest is None:
        return None
    other, apart = nearest
    if orchard.rooms.crowded(place):
        wanted, names = float(orchard.rooms.wanted_apart_m[place, other]), orchard.names
        return say("room_crowded", tree=names[place], other=names[other], apart_m=apart, wanted_m=wanted)
    return say("room_enough", other=orchard.names[other], apart_m=apart)


def contradictions(orchard: Orchard, place: int) -> tuple[Sentence, ...]:
    """What was told of a tree and cannot all be right."""
    told, as_of = orchard.planting.request.trees[place], orchard.planting.as_of
    found = []
    complaints = set(told.complaints)
    for seen in told.seen:
        if told.year_planted is not None and int(seen.date[:4]) < told.year_planted:
            found.append(say("told_before_planted", day=seen.date, year=told.year_planted))
        if as_of is None or datetime.date.fromisoformat(seen.date).year != as_of.year:
            continue
        if seen.event == "full_bloom" and complaints & NO_FLOWER:
            found.append(say("told_bloom_seen", day=seen.date))
        if seen.event in ("first_ripe", "last_crop") and complaints & NO_FRUIT:
            found.append(say("told_crop_seen", day=seen.date))
    apart = tuple(sign for sign in dict.fromkeys(told.signs) if not any(speaks_of(sign, one) for one in complaints))
    if apart:
        found.append(say("told_signs_apart", signs=apart))
    doubted = _stock_doubted(orchard.rooms.trees[place])
    return (*found, *(() if doubted is None else (doubted,)))


def _stock_doubted(tree: TreeTold) -> Sentence | None:
    """That a tree is taller than its stock makes any."""
    height = tree.told.height_m
    if height is None or tree.stock is None:
        return None
    most = tree.grown.height_m.high
    if height <= FIGURES.doubted_ratio * most:
        return None
    return say("told_stock_doubted", height_m=height, rootstock=tree.stock.name, most_m=most)
