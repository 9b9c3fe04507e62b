"""What of a planned tree is better changed while it is on paper: its stock, its place, or a cultivar in doubt there."""

from collections.abc import Collection
from itertools import combinations

import numpy as np

from domain.planting_list.wishes import hazards_told
from domain.reviews.cause_facts import FIGURES as CAUSES
from domain.reviews.orchard import Orchard
from domain.suitability.suitability_answer import Suitability
from domain.tables.rootstocks import Rootstock, commonly_sold, rootstocks
from domain.trees.stock_hazards import Hazards, known_to_stand, known_to_suffer, pressing

DECIDE_WHETHER_IT_BEARS = frozenset({"winter_cold", "winter_chill", "ripening_heat", "frost_at_bloom"})
"""Factors that decide whether a tree bears at all; of others what nobody knows may be tried."""
MOST_STOCKS = 3


def is_planned(orchard: Orchard, place: int) -> bool:
    """Whether a tree is not planted yet."""
    return orchard.planting.request.trees[place].state == "planned"


def in_doubt(orchard: Orchard, place: int, one: Suitability | None) -> str | None:
    """The factor for which nobody knows whether a planned tree will bear here; None where none is in doubt."""
    if one is None or one.verdict != "not_known" or not is_planned(orchard, place):
        return None
    limiting = one.values.get("limiting")
    return limiting if isinstance(limiting, str) and limiting in DECIDE_WHETHER_IT_BEARS else None


def too_little_sun(orchard: Orchard, place: int) -> float | None:
    """Hours of sun at a planned tree's place, as told or reckoned from what is drawn; None where they are enough.

    Those told of the ground alone count where they are what stops it: the site is judged by them already.
    """
    if not is_planned(orchard, place):
        return None
    hours = orchard.planting.request.trees[place].sun_hours
    if hours is None and orchard.planting.places.obstacles:
        hours = orchard.rooms.sun_of(place)
    if hours is None and shaded_out(orchard, place):
        ground = orchard.planting.request.site.ground
        hours = None if ground is None else ground.sun_hours
    return hours if hours is not None and hours < CAUSES.least_sun_h else None


def shaded_out(orchard: Orchard, place: int) -> bool:
    """Whether it is for want of sun that a cultivar bears nothing here."""
    one = orchard.named(place)
    return one is not None and one.verdict == "not_here" and one.limiting == "sunlight"


def stocks_that_stand_it(orchard: Orchard, place: int) -> tuple[Rootstock, tuple[str, ...], tuple[str, ...]] | None:
    """The stock of a planned tree that suffers from the ground as told, from what, and others nearest in size that are
    sold, known to stand that and to suffer from nothing else there; None where it is not known to suffer, or no other
    stands it.
    """
    stock, here = orchard.rooms.trees[place].stock, _of_the_ground(orchard)
    if stock is None or here is None or not is_planned(orchard, place):
        return None
    suffers = known_to_suffer(stock, here)
    if not suffers:
        return None
    stand = sorted(_that_stand(orchard, here, suffers), key=lambda one: (_apart(one, stock), one.id))
    return (stock, suffers, tuple(one.name for one in stand[:MOST_STOCKS])) if stand else None


def stocks_for_the_ground(orchard: Orchard) -> tuple[tuple[str, ...], tuple[str, ...]] | None:
    """What presses on roots in the ground as told, and stocks that are sold and known to stand it, of all sizes: where
    none is known to stand all of it, as much of it as some are. None where nothing presses, or none is known.
    """
    here = _of_the_ground(orchard)
    hazards = () if here is None else pressing(here)
    if here is None:
        return None
    for count in range(len(hazards), 0, -1):
        for some in combinations(hazards, count):
            stand = sorted(_that_stand(orchard, here, some), key=lambda one: (_size_percent(one), one.id))
            if len(stand) > MOST_STOCKS:  # the weakest, the strongest, and what stands between them
                stand = [stand[0], stand[len(stand) // 2], stand[-1]]
            if stand:
                return some, tuple(one.name for one in stand)
    return None


def _of_the_ground(orchard: Orchard) -> Hazards | None:
    """What of the ground as told presses on roots; None where nothing is told of it."""
    ground = orchard.planting.request.site.ground
    if ground is None:
        return None
    told = hazards_told(ground)
    return Hazards(replant=told.replant, wet_ground=told.wet_ground, lime=told.lime, salt=told.salt)


def _that_stand(orchard: Orchard, here: Hazards, hazards: Collection[str]) -> list[Rootstock]:
    """The stocks to be had, as told or as sold there, known to stand some hazards and to suffer from no other."""
    site, told = orchard.planting.request.site, orchard.planting.stocks_sold
    had = commonly_sold(site.latitude, site.longitude) if told is None else told
    sold = (rootstocks()[one] for one in had)
    return [one for one in sold if known_to_stand(one, here, hazards) and not known_to_suffer(one, here)]


def _size_percent(stock: Rootstock) -> float:
    size = stock.numbers.get("size_percent")
    return np.inf if size is None else size.value


def _apart(one: Rootstock, other: Rootstock) -> float:
    """How far two stocks differ in size, in percent of seedling; infinite where nobody tells it of both."""
    sizes = [stock.numbers["size_percent"].value for stock in (one, other) if "size_percent" in stock.numbers]
    return abs(sizes[0] - sizes[1]) if len(sizes) == 2 else np.inf
