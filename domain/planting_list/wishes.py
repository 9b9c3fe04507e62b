"""A request with its names resolved and its contradictions found."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import msgspec

from domain.common.asked_names import ENOUGH_FAULTS, MOST_WITH_NEAREST, Names, UnknownNames, resolve_each, resolve_names
from domain.common.faults import ContentFault, ContentFaults, collecting, pointer
from domain.common.season_days import day_of_year
from domain.fruit.kinds import kind_spoken
from domain.fruit.origins import OriginIndex
from domain.ground.standing_tree import StandingTree
from domain.hazards.soil_water import thin_soil
from domain.planting_list.list_answer import PlantingList
from domain.planting_list.list_request import FIGURES as USUAL
from domain.planting_list.list_request import (
    MOST_CULTIVARS,
    ListWeights,
    NearbyPollen,
    Neighbourhood,
    PlantingListsRequest,
)
from domain.planting_list.space import Room, room
from domain.planting_list.standing_room import grown_up
from domain.planting_list.stock import AsSold, Stock, alike_in_a_group, as_sold, not_known, stock_told
from domain.planting_list.tree_options import FIGURES as TREES
from domain.planting_list.wished_forms import wished_forms
from domain.site_climate.site import Ground, Slope
from domain.suitability.suitabilities import MOST_TOLD, NEAREST
from domain.tables.cultivars import Cultivar
from domain.tables.loading import Tables
from domain.tables.parameters import figures
from domain.tables.rootstocks import commonly_sold, rootstock_names
from domain.tables.words import Sentence, say
from domain.traits.fruit_like import Use
from domain.traits.fruit_wishes import FruitWanted, check_fruit_wanted, origins_named
from domain.trees.stock_hazards import Hazards
from domain.trees.tree_choices import TreeWishes


class GroundFigures(msgspec.Struct, frozen=True):
    """From which ground counts as limy, and how much of standing water ground that drains slowly has."""

    limy_from_ph: float
    slow_drainage: float


FIGURES = figures("planting_list", "wishes", GroundFigures)


@dataclass(frozen=True)
class Standing:
    """A tree of the site or near it, by the id of its cultivar, or by its kind alone where nobody knows that."""

    cultivar_id: str | None
    kind: str = "apple"
    label: str | None = None
    count: int = 1
    distance_m: float = 0.0
    """From the trees to be planted."""


@dataclass(frozen=True)
class Wishes:
    """What is asked, in ids of cultivars."""

    room: Room
    weights: ListWeights = field(default_factory=ListWeights)
    fruit: FruitWanted = field(default_factory=FruitWanted)
    """What is wished of the fruit."""
    origins: OriginIndex = field(default_factory=lambda: origins_named(frozenset()))
    """The places that the catalogue names."""
    first_ripe: str | None = None
    last_ripe: str | None = None
    trees: TreeWishes = field(default_factory=TreeWishes)
    rootstocks: frozenset[str] | None = None
    """Ids of those that can be had; None for all that are commonly sold anywhere."""
    air_m: float = field(default_factory=lambda: TREES.air_m)
    """Between two crowns in a row."""
    sun_hours: float | None = None
    """Of the sunniest place, as the caller tells them."""
    slope: Slope | None = None
    """How the ground falls."""
    persons: int | None = None
    no_spray: bool = False
    must_include: tuple[str, ...] = ()
    available: frozenset[str] | None = None
    stock: Stock | None = None
    """Of those available the trees that a nursery has, where that is told."""
    choosable: frozenset[str] | None = None
    """Of a told stock those that may be chosen here; None before that is known."""
    excluded: frozenset[str] = frozenset()
    spelled: Mapping[str, str] = field(default_factory=dict)
    """Id -> the spelling in which the request names the cultivar."""
    standing: tuple[Standing, ...] = ()
    """Trees of the site."""
    nearby: tuple[Standing, ...] = ()
    """Trees near it, whoever owns them."""
    neighbourhood: Neighbourhood = "unknown"
    lists: int = 3
    most_trees: int = field(default_factory=lambda: USUAL.usual_trees)
    """On a plot: at most so many trees are wanted, whatever it holds."""
    shared_over: int | None = None
    """Trees over which the worth of a list is shared out; None for all places."""

    @property
    def uses(self) -> tuple[Use, ...]:
        """Each use that some tree should serve."""
        return tuple(dict.fromkeys(self.fruit.uses))

    @cached_property
    def trees_of_each(self) -> int:
        """Trees of a cultivar that stand together: one, unless more trees are planted than a list has cultivars.

        Of a told stock as many as let the most trees stand; one until it is known what of it may be chosen here.
        """
        if self.stock is None:
            return math.ceil(self.room.tree_count / MOST_CULTIVARS) or 1
        if self.choosable is None or self.room.tree_count <= MOST_CULTIVARS:
            return 1
        may = [self.stock[one] for one in self.choosable]
        return alike_in_a_group(may, len(self.must_include), self.room.tree_count, MOST_CULTIVARS)

    @property
    def places(self) -> int:
        """Trees to plant, or groups of trees of one cultivar; on a plot at most so many."""
        return min(self.room.tree_count // self.trees_of_each, MOST_CULTIVARS)

    @property
    def usual_places(self) -> int:
        """Trees over which the worth of a list is shared out."""
        return self.places if self.shared_over is None else self.shared_over

    def can_be_had(self, cultivar_id: str) -> bool:
        """Whether it is among what may be had, and of a told stock in as many trees alike as stand together."""
        if self.stock is None:
            return self.available is None or cultivar_id in self.available
        return any(one.holds(self.trees_of_each) for one in self.stock.get(cultivar_id, ()))

    def sold(self, cultivar_id: str) -> AsSold | None:
        """In what a nursery has a cultivar, if it can in as many trees alike as stand together; None for anything."""
        items = None if self.stock is None else self.stock.get(cultivar_id)
        if items is None:
            return None
        return as_sold(items, self.rootstocks, self.trees_of_each) or as_sold(items, self.rootstocks, 1)

    @property
    def named(self) -> frozenset[str]:
        """Every cultivar named in the request."""
        around = {tree.cultivar_id for tree in (*self.standing, *self.nearby) if tree.cultivar_id is not None}
        return frozenset(around | {*self.must_include, *(self.available or ())})


def wishes(request: PlantingListsRequest, tables: Tables) -> Wishes:
    """Resolve a request. Raises ContentFaults with every fault of names, space, wishes and dates."""
    names, origin_texts, wanted = tables.names, tables.origin_texts, request.wanted
    faults: list[ContentFault] = []
    space = Room(1)
    must: tuple[str, ...] = ()
    excluded: tuple[str, ...] = ()
    standing: tuple[Standing, ...] = ()
    nearby: tuple[Standing, ...] = ()
    available: frozenset[str] | None = None
    stocks: frozenset[str] | None = None
    stock: Stock | None = None
    established = request.established
    with collecting(faults):
        established = grown_up(established, tables, request.site.as_of)
    with collecting(faults):
        space = room(request.space, wanted, request.site.latitude, established)
    with collecting(faults):
        must = resolve_names(names, wanted.must_include, "wanted", "must_include")
    with collecting(faults):
        excluded = resolve_names(names, request.excluded, "excluded", once=False)
    if request.available is not None:
        with collecting(faults):
            available, stocks = can_be_had(names, request.available, request.unknown_names)
    if request.stock is not None:
        if request.available is not None:
            detail = "What can be had is told in available too; expected one of the two."
            faults.append(ContentFault(pointer("stock"), detail))
        with collecting(faults):
            stock = stock_told(names, request.stock, request.unknown_names)
            available = frozenset(stock)
    with collecting(faults):
        standing = around(names, request.established, "established", request.unknown_names)
    with collecting(faults):
        nearby = around(names, request.nearby_pollen, "nearby_pollen", request.unknown_names)
    for date in ("first_ripe", "last_ripe"):
        with collecting(faults):
            _check_date(getattr(wanted, date), pointer("wanted", date))
    forms: tuple[str, ...] = ()
    with collecting(faults):
        forms = wished_forms(wanted, request.space)
    with collecting(faults):
        check_fruit_wanted(wanted, origins_named(origin_texts), "wanted")
    for place, cultivar_id in enumerate(must):
        if cultivar_id in excluded:
            detail = "This cultivar is also excluded; expected it in one of the two."
            faults.append(ContentFault(pointer("wanted", "must_include", place), detail))
    if faults:
        raise ContentFaults(faults)
    return Wishes(
        room=space,
        weights=request.weights or ListWeights(),
        fruit=wanted,
        origins=origins_named(origin_texts),
        first_ripe=wanted.first_ripe,
        last_ripe=wanted.last_ripe,
        trees=_tree_wishes(request, forms),
        rootstocks=stocks if stocks is not None else commonly_sold(request.site.latitude, request.site.longitude),
        sun_hours=None if request.site.ground is None else request.site.ground.sun_hours,
        slope=None if request.site.ground is None else request.site.ground.slope,
        persons=wanted.persons,
        no_spray=wanted.no_spray,
        must_include=must,
        available=available,
        stock=stock,
        excluded=frozenset(excluded),
        spelled={
            known: name
            for name in reversed((*wanted.must_include, *_names_told(request), *_names_to_be_had(request)))
            if (known := names.resolve(name)) is not None
        },
        standing=standing,
        nearby=nearby,
        neighbourhood=request.neighbourhood,
        lists=request.lists,
    )


def _names_to_be_had(request: PlantingListsRequest) -> tuple[str, ...]:
    return (*(request.available or ()), *(item.cultivar for item in request.stock or ()))


def _names_told(request: PlantingListsRequest) -> tuple[str, ...]:
    around: list[StandingTree | NearbyPollen] = [*request.established, *request.nearby_pollen]
    return tuple(tree.cultivar for tree in around if tree.cultivar is not None)


def around(
    names: Names, trees: Sequence[StandingTree | NearbyPollen], where: str, unknown: UnknownNames
) -> tuple[Standing, ...]:
    """Trees that stand, in their order; a cultivar of a name goes before a kind.

    Raises ContentFaults with every name that is neither a cultivar's nor a kind's, unless those are to be reported:
    such a tree is one without a name.
    """
    found, refused = [], []
    for n, tree in enumerate(trees):
        known = None if tree.cultivar is None else names.resolve(tree.cultivar)
        kind = None if tree.cultivar is None else kind_spoken(tree.cultivar)
        if tree.cultivar is not None and known is None and kind is None and unknown == "refuse":
            refused.append((pointer(where, n, "cultivar"), tree.cultivar))
        if isinstance(tree, StandingTree):
            found.append(Standing(known, kind or tree.kind, tree.label, tree.count))
        else:
            found.append(Standing(known, kind or tree.kind, distance_m=tree.distance_m))
    resolve_each(names, refused, once=False)
    return tuple(found)


def can_be_had(
    names: Names, asked: Sequence[str], unknown: UnknownNames
) -> tuple[frozenset[str] | None, frozenset[str] | None]:
    """Cultivars and rootstocks that can be had; None where the list names none of the kind, [] no cultivar."""
    faults: list[ContentFault] = []
    cultivars: set[str] = set()
    stocks: set[str] = set()
    for place, name in enumerate(asked):
        if len(faults) > ENOUGH_FAULTS:
            break
        cultivar_id, stock_id = names.resolve(name), rootstock_names().resolve(name)
        if cultivar_id is not None:
            cultivars.add(cultivar_id)
        elif stock_id is not None:
            stocks.add(stock_id)
        elif unknown == "refuse":
            detail = f"No cultivar or rootstock is known by the name “{name}”."
            nearest: tuple[str, ...] = ()
            if len(faults) < MOST_WITH_NEAREST:
                nearest = (*names.nearest(name, 3), *rootstock_names().nearest(name, 4))
            faults.append(ContentFault(pointer("available", place), detail, nearest))
    if faults:
        raise ContentFaults(faults)
    return frozenset(cultivars) if cultivars or not stocks else None, frozenset(stocks) or None


def not_in_stock(wished: Wishes, by_id: Mapping[str, Cultivar], lists: Sequence[PlantingList]) -> tuple[Sentence, ...]:
    """Who must be planted and is not among what may be had, or in fewer trees than stand on some list."""
    if wished.available is None:
        return ()
    stand = [Counter(tree.id for tree in one.trees) for one in lists]
    short = {
        tree.id
        for one, count in zip(lists, stand, strict=True)
        for tree in one.trees
        if tree.in_stock is not None and tree.in_stock < count[tree.id]
    }
    missing = [by_id[one] for one in wished.must_include if one not in wished.available]
    too_few = [by_id[one] for one in wished.must_include if one in short]
    return tuple(
        say(code, cultivars=tuple(one.name for one in some), ids=tuple(one.id for one in some))
        for code, some in (("must_be_planted_not_to_be_had", missing), ("must_be_planted_too_few_in_stock", too_few))
        if some
    )


def told_of_stock(request: PlantingListsRequest, names: Names) -> tuple[Sentence, ...]:
    """What of the names of a request was not known and is left out, where that is to be reported."""
    if request.unknown_names == "refuse":
        return ()
    told = []
    for name in dict.fromkeys((*(request.available or ()), *_names_told(request))):
        if names.resolve(name) is None and rootstock_names().resolve(name) is None and kind_spoken(name) is None:
            told.append(name)
    of_stock = list(not_known(names, request.stock or ()).items())
    said = [say("name_unknown", name=name, nearest=names.nearest(name, NEAREST)) for name in told[:MOST_TOLD]]
    said += [
        say("stock_name_unknown", name=name, what=what, nearest=index.nearest(name, NEAREST))
        for (name, what), index in of_stock[:MOST_TOLD]
    ]
    return tuple(said)


def _tree_wishes(request: PlantingListsRequest, forms: tuple[str, ...]) -> TreeWishes:
    wanted, ground = request.wanted, request.site.ground
    return TreeWishes(
        keep_height_m=wanted.keep_height_m,
        no_ladder=wanted.no_ladder,
        no_pruning=wanted.no_pruning,
        in_pot=request.space.stand == "pots",
        against_fence=request.space.stand == "fence",
        soil="poor" if request.space.soil == "average" and thin_soil(ground) else request.space.soil,
        forms=forms,
        hazards=Hazards() if ground is None else hazards_told(ground),
    )


def hazards_told(ground: Ground) -> Hazards:
    """What the ground as told presses on roots; a clay of which nobody tells how it drains is taken to do so slowly."""
    slowly = ground.drainage == "moderate" or (ground.drainage is None and ground.texture == "clayey")
    return Hazards(
        replant=bool(ground.old_orchard),
        wet_ground=1.0 if ground.drainage == "poor" else FIGURES.slow_drainage if slowly else 0.0,
        lime=ground.ph is not None and ground.ph >= FIGURES.limy_from_ph,
        wind=ground.wind == "exposed",
        salt=bool(ground.salt_spray),
    )


def _check_date(date: str | None, place: str) -> None:
    if date is None:
        return
    try:
        day_of_year(date)
    except ValueError as error:
        raise ContentFaults([ContentFault(place, f"No year has a {date}; expected a date MM-DD.")]) from error
