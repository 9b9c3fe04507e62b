"""The planting that is reviewed, its names and dates resolved, and its trees among all cultivars judged at the site."""

import datetime
import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from domain.common.asked_names import Names
from domain.common.faults import ContentFault, ContentFaults, collecting, pointer
from domain.common.season_days import season_day
from domain.fruit.diseases import DISEASES
from domain.ground.standing_tree import day_of, stock_and_form, years_planted
from domain.hazards.spot import water_where_told
from domain.orchard_site.conditions import SiteConditions
from domain.planting_list.space import Room
from domain.planting_list.trees_around import Outside, Wanting, outside_pollen, usual_neighbours, wanting
from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.wishes import Standing, Wishes, around
from domain.pollination.pairs import PairTable, distance_share, distance_shares
from domain.reviews.cultivars_here import Judged, Own, between, own_cultivars, self_chances, to_choose_from, told_of
from domain.reviews.places import Places, places
from domain.reviews.review_request import PlantingListReviewRequest, ReviewedTree
from domain.reviews.tree_room import TreeRooms, TreeTold
from domain.suitability.suitability_answer import Suitability
from domain.tables.rootstocks import rootstocks
from domain.tables.tree_forms import tree_forms
from domain.traits.catalogue import Catalogue
from domain.traits.fruit_wishes import FruitWanted
from domain.traits.trait_table import FIGURES as TRAITS
from domain.traits.trait_table import TraitTable
from domain.tree_year.leaf_fall import leaf_fall

SURE = 0.999
"""Chances are taken no surer than this where one is taken out of a product of them."""


@dataclass(frozen=True)
class Planting:
    """A request with its names and dates resolved."""

    request: PlantingListReviewRequest
    trees: tuple[Standing, ...]
    stocks: tuple[str | None, ...]
    nearby: tuple[Standing, ...]
    available: frozenset[str] | None
    as_of: datetime.date | None
    forms: tuple[str | None, ...]
    places: Places

    @property
    def named(self) -> frozenset[str]:
        """Every cultivar of the planting and near it."""
        return frozenset(tree.cultivar_id for tree in (*self.trees, *self.nearby) if tree.cultivar_id is not None)

    def age(self, tree: ReviewedTree) -> float | None:
        """Years since a tree was planted; None where that is not told, or it is not planted yet."""
        if tree.state == "planned" or tree.year_planted is None or self.as_of is None:
            return None
        return float(self.as_of.year - tree.year_planted) + self._of_year / 365.0 - 0.25

    @cached_property
    def _of_year(self) -> int:
        """Day of the year of today."""
        return 0 if self.as_of is None else self.as_of.timetuple().tm_yday

    def label(self, place: int, name: str) -> str:
        """What a tree is called in the answer: its label, else what it is."""
        return self.trees[place].label or name


def planting(request: PlantingListReviewRequest, names: Names) -> Planting:
    """Resolve a request. Raises ContentFaults with every fault of names and dates."""
    faults: list[ContentFault] = []
    trees: tuple[Standing, ...] = ()
    nearby: tuple[Standing, ...] = ()
    as_of: datetime.date | None = None
    with collecting(faults):
        trees = around(names, request.trees, "trees", request.unknown_names)
    with collecting(faults):
        nearby = around(names, request.nearby_pollen, "nearby_pollen", request.unknown_names)
    available: set[str] | None = None if request.available is None else set()
    for n, name in enumerate(request.available or ()):
        found = names.resolve(name)
        if found is not None and available is not None:
            available.add(found)
        elif request.unknown_names == "refuse":
            detail = f"No cultivar is known by the name “{name}”."
            faults.append(ContentFault(pointer("available", n), detail, names.nearest(name, 3)))
    told = request.site.as_of if request.as_of is None else request.as_of
    with collecting(faults):
        as_of = _today(request)
    stocks: list[str | None] = []
    forms: list[str | None] = []
    for n, tree in enumerate(request.trees):
        with collecting(faults):
            stock, form = stock_and_form(tree, "trees", n)
            stocks.append(stock)
            forms.append(form)
        with collecting(faults):
            _check_dates(tree, n, told, as_of)
    stand = Places(np.empty((0, 2)))
    with collecting(faults):
        stand = places(request)
    if faults:
        raise ContentFaults(faults)
    may = None if available is None else frozenset(available)
    return Planting(request, trees, tuple(stocks), nearby, may, as_of, tuple(forms), stand)


def _today(request: PlantingListReviewRequest) -> datetime.date | None:
    """The day of today, if it is told. Raises ContentFaults for one that no calendar has, and for two that differ.

    A bad day in the site is refused by the checks of the site.
    """
    of_site = day_of(request.site.as_of)
    if request.as_of is None:
        return of_site
    day = _day(request.as_of, pointer("as_of"))
    if of_site is not None and day != of_site:
        detail = f"{request.as_of} is not the as_of of the site, {request.site.as_of}; expected one day of today."
        raise ContentFaults([ContentFault(pointer("as_of"), detail)])
    return day


def _day(text: str, place: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError as error:
        raise ContentFaults([ContentFault(place, f"No calendar has a {text}; expected a day YYYY-MM-DD.")]) from error


def _check_dates(tree: ReviewedTree, n: int, told: str | None, as_of: datetime.date | None) -> None:
    """told: the day of today as told; as_of: the same, if a calendar has it."""
    faults: list[ContentFault] = []
    with collecting(faults):
        years_planted(tree, told, pointer("trees", n, "year_planted"))
    if told is None and tree.seen:
        faults.append(ContentFault(pointer("trees", n, "seen"), "Dates seen need as_of, the day of today."))
    if tree.state == "planned" and tree.year_planted is not None:
        detail = "A planned tree is not planted yet; expected state standing, or no year_planted."
        faults.append(ContentFault(pointer("trees", n, "year_planted"), detail))
    for k, seen in enumerate(tree.seen):
        with collecting(faults):
            day = _day(seen.date, pointer("trees", n, "seen", k, "date"))
            if as_of is not None and day > as_of:
                detail = f"{seen.date} is after as_of; expected a day up to it."
                faults.append(ContentFault(pointer("trees", n, "seen", k, "date"), detail))
    if faults:
        raise ContentFaults(faults)


@dataclass(frozen=True, eq=False)
class Sources:
    """Own rows of what gives pollen, and by tree and source how far it is and its chance to serve there.

    metres: NaN where some place is not told.
    """

    rows: tuple[int, ...]
    metres: list[list[float]]
    chance: list[list[float]]


@dataclass(frozen=True, eq=False)
class Orchard:
    """A planting among its own cultivars at its site. Rows are those of `sited`; those of `choice` are of their own."""

    planting: Planting
    conditions: SiteConditions
    catalogue: Catalogue
    own: Own

    @property
    def traits(self) -> TraitTable:
        """Traits of the own cultivars."""
        return self.own.here.traits

    @property
    def sited(self) -> SitedCultivars:
        """The own cultivars judged at the site."""
        return self.own.here.sited

    @property
    def table(self) -> PairTable:
        """Pairs of the own cultivars."""
        return self.own.table

    @property
    def judged(self) -> Mapping[str, Suitability]:
        """The own cultivars by id, in words."""
        return self.own.told

    @cached_property
    def water(self) -> float | None:
        """Share of its water that a tree gets here unwatered, where anything of it is told."""
        return water_where_told(self.planting.request.site.ground, self.conditions.years)

    @cached_property
    def choice(self) -> Judged:
        """All cultivars that may be had for a change."""
        return self.own.here if self._asks_for_all else to_choose_from(self.catalogue, self.conditions)

    @cached_property
    def choice_told(self) -> Mapping[str, Suitability]:
        """The same by id, in words."""
        return told_of(self.choice, self.conditions)

    @cached_property
    def wishes(self) -> Wishes:
        """As wishes of a list would tell it: room for more than one, so that unknown neighbours count for nothing."""
        request = self.planting.request
        return Wishes(
            room=Room(2),
            available=self.planting.available,
            fruit=FruitWanted(uses=list(request.wanted.uses)),
            standing=self.planting.trees,
            nearby=self.planting.nearby,
            neighbourhood=request.neighbourhood,
        )

    @cached_property
    def without_winter(self) -> bool:
        """Whether the site has no winter."""
        return self.conditions.years.without_winter

    @cached_property
    def after_leaf_fall(self) -> float | None:
        """Days from the usual leaf fall of the place to today, the shorter way round the year; before it negative.

        None where today is not told, or the site has no winter.
        """
        as_of = self.planting.as_of
        if as_of is None or self.without_winter:
            return None
        usual = self.conditions.kept.get("leaf_fall", None, lambda: leaf_fall(self.conditions.mean_by_day_c))
        return (season_day(f"{as_of:%m-%d}", self.sited.south) - usual + 182.5) % 365.0 - 182.5

    @cached_property
    def pool(self) -> NDArray[np.intp]:
        """Every own row."""
        return np.arange(len(self.sited.cultivars), dtype=np.intp)

    @cached_property
    def outside(self) -> Outside:
        """Pollen that reaches each own cultivar from the trees of the planting and around it."""
        return outside_pollen(self.wishes, self.sited, self.pool, self.table, self._neighbourhood)

    @cached_property
    def _neighbourhood(self) -> NDArray[np.float32]:
        """(own,) chance that a settled neighbourhood serves each; not asked for where it is not settled."""
        if not self._asks_for_all:
            return np.zeros(self.pool.size, dtype=np.float32)
        return self.conditions.kept.get("reviewed_neighbours", self.traits, self._neighbours)

    def _neighbours(self) -> NDArray[np.float32]:
        return usual_neighbours(self.sited, self.pool, self.table)

    @cached_property
    def _asks_for_all(self) -> bool:
        return asks_for_all(self.planting)

    @cached_property
    def wanting(self) -> dict[str, Wanting]:
        """By cultivar, or by kind where that is not known: what its trees get and could get."""
        found = wanting(self.wishes, self.sited, self.pool, self.table, self.outside)
        return {one.tree.cultivar_id or one.tree.kind: one for one in found}

    @cached_property
    def _between(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """(own, choice) chance of the own by pollen of those to choose from, and the other way round."""
        (given, serving), same = between(self.own.here, self.choice, self.catalogue)
        return np.where(same, 0.0, given.astype(np.float64)), np.where(same, 0.0, serving.astype(np.float64))

    def given(self, place: int) -> NDArray[np.float64]:
        """(choice,) chance that each cultivar to choose from would serve a tree."""
        row = self.rows[place]
        if row is None:
            return self.wanting[self.planting.trees[place].kind].given
        if self.own.here is self.choice:
            return np.where(self.table.fits.same_genotype[row], 0.0, self.table.chance[row].astype(np.float64))
        return np.asarray(self._between[0][row])

    @cached_property
    def served_in_choice(self) -> NDArray[np.float64]:
        """(choice,) chance in a year that each cultivar to choose from gets pollen from what stands and is near."""
        if self.own.here is self.choice:
            return self.outside.chance
        missed = 1.0 - self_chances(self.choice, self.catalogue).astype(np.float64)
        for tree in (*self.planting.trees, *self.planting.nearby):
            row = self.row(tree)
            if row is not None:
                missed *= 1.0 - self._between[1][row] * distance_share(tree.distance_m)
        return np.asarray(1.0 - missed)

    @cached_property
    def rooms(self) -> TreeRooms:
        """The room of every tree."""
        request = self.planting.request
        known = zip(request.trees, self.planting.trees, self.planting.stocks, self.planting.forms, strict=True)
        trees = tuple(
            TreeTold(
                told,
                None if (row := self.row(tree)) is None else self.sited.cultivars[row],
                None if stock is None else rootstocks()[stock],
                None if form is None else tree_forms()[form],
                self.planting.age(told),
            )
            for told, tree, stock, form in known
        )
        ground = request.site.ground
        return TreeRooms(trees, self.planting.places, None if ground is None else ground.sun_hours)

    @cached_property
    def rows(self) -> tuple[int | None, ...]:
        """Own row of each tree; None where its cultivar is not known."""
        return tuple(self.row(tree) for tree in self.planting.trees)

    @cached_property
    def pollinated_each(self) -> tuple[float, ...]:
        """Chance in a year that each tree gets pollen, from trees of the planting as far away as their places tell."""
        before = np.array([self.before(tree) for tree in self.planting.trees])
        if not self.planting.places.known:
            return tuple(before.tolist())
        named = np.array([row is not None for row in self.rows])
        rows = np.array([0 if row is None else row for row in self.rows], dtype=np.intp)
        pairs = np.ix_(rows, rows)
        counts = named[:, None] & named[None, :] & np.isfinite(self.planting.places.apart_m)
        counts &= ~self.table.fits.same_genotype[pairs]
        chance = np.minimum(self.table.chance[pairs].astype(np.float64), SURE)
        share = self.share_of_pollen
        less = np.where(counts, (1.0 - chance * share) / (1.0 - chance), 1.0)
        missed = (1.0 - before) * less.prod(axis=1)
        return tuple(np.where(named, 1.0 - np.minimum(missed, 1.0), before).tolist())

    @cached_property
    def share_of_pollen(self) -> NDArray[np.float64]:
        """(trees, trees) what their distance leaves of the pollen of one for another; 1 where it is not known."""
        apart = self.planting.places.apart_m
        return distance_shares(np.where(np.isfinite(apart), apart, 0.0))

    @cached_property
    def sources(self) -> Sources:
        """What gives pollen to the trees: each cultivar that stands or is near, its nearest tree alone."""
        of_trees: defaultdict[int, list[int]] = defaultdict(list)
        for place, row in enumerate(self.rows):
            if row is not None:
                of_trees[row].append(place)
        apart = self.planting.places.apart_m
        nearest = {
            row: apart[:, places].min(axis=1) if len(places) > 1 else apart[:, places[0]]
            for row, places in of_trees.items()
        }
        for tree in self.planting.nearby:
            row = self.row(tree)
            if row is not None:
                near = np.full(len(apart), tree.distance_m)
                nearest[row] = np.minimum(nearest[row], near) if row in nearest else near
        rows, metres = tuple(nearest), np.array(list(nearest.values())).reshape(len(nearest), len(apart)).T
        own = np.array([0 if row is None else row for row in self.rows], dtype=np.intp)
        share = distance_shares(np.where(np.isnan(metres), 0.0, metres))
        chance = self.table.chance[own[:, None], np.array(rows, dtype=np.intp)].astype(np.float64) * share
        return Sources(rows, metres.tolist(), chance.tolist())

    def named(self, place: int) -> Suitability | None:
        """What is judged of the cultivar of a tree; None where that is not known."""
        cultivar = self.planting.trees[place].cultivar_id
        return None if cultivar is None else self.judged[cultivar]

    def pollinated(self, place: int) -> float:
        """Of `pollinated_each` one tree."""
        return self.pollinated_each[place]

    def crops_of(self, place: int) -> float:
        """Worthwhile crops a year of a tree, given pollen; of one without a name those of the middle cultivar."""
        row = self.rows[place]
        return float(np.mean(self.sited.crop_chance if row is None else self.sited.crop_chance[row]))

    @cached_property
    def offered(self) -> NDArray[np.bool_]:
        """(choice,) which may be had: those told as available, else every advised one that bears fruit."""
        available = self.planting.available
        if available is None:
            return self.choice.advised
        return np.array([one.id in available for one in self.choice.sited.cultivars], dtype=np.bool_)

    @cached_property
    def standing_in_choice(self) -> frozenset[int]:
        """Rows among those to choose from of the cultivars that stand or are planned."""
        known = self.choice.sited.row
        return frozenset(
            known[tree.cultivar_id]
            for tree in self.planting.trees
            if tree.cultivar_id is not None and tree.cultivar_id in known
        )

    @cached_property
    def insects(self) -> Mapping[str, float]:
        """Insect of the fruit -> share of it."""
        return {insect.insect: insect.pressure for insect in self.conditions.insects}

    def diseases(self, row: int | None) -> Mapping[str, float]:
        """Disease -> pressure times susceptibility of an own row; one that nobody rated stands in the middle."""
        rated = np.full(len(DISEASES), np.nan) if row is None else self.traits.susceptibility[row]
        pairs = zip(self._pressures, rated.tolist(), strict=True)
        return {
            disease: pressure * (TRAITS.unknown_susceptibility if math.isnan(share) else share)
            for (disease, pressure), share in pairs
        }

    @cached_property
    def _pressures(self) -> tuple[tuple[str, float], ...]:
        pressure = self.conditions.pressure
        return tuple((disease, float(pressure[disease])) for disease in DISEASES)

    def may_be_stripped(self, place: int) -> bool:
        """Whether a tree is known to crop with its leaves stripped by hand."""
        row = self.rows[place]
        return row is not None and bool(self.own.here.stripped_rows[row])

    def row(self, tree: Standing) -> int | None:
        """Row of a tree's cultivar; None where that is not known."""
        return None if tree.cultivar_id is None else self.sited.row[tree.cultivar_id]

    def before(self, tree: Standing) -> float:
        """Chance in a year that a tree gets pollen, if all trees stood beside it."""
        row = self.row(tree)
        return self.wanting[tree.kind].before if row is None else self._served[row]

    @cached_property
    def _served(self) -> dict[int, float]:
        """Of each own row that stands, the chance that it is served."""
        rows = np.array(sorted({row for row in self.rows if row is not None}), dtype=np.intp)
        served = outside_pollen(self.wishes, self.sited, self.pool, self.table, self._neighbourhood, asked=rows).chance
        return dict(zip(rows.tolist(), served.tolist(), strict=True))


def asks_for_all(planted: Planting) -> bool:
    """Whether a planting is judged among all cultivars: a tree without a name, or a neighbour's, may be any of them."""
    unnamed = any(tree.cultivar_id is None for tree in (*planted.trees, *planted.nearby))
    return unnamed or planted.request.neighbourhood == "settled"


def orchard(planted: Planting, catalogue: Catalogue, conditions: SiteConditions) -> Orchard:
    """The planting at its site; what holds for every planting there is kept with the site."""
    own = own_cultivars(planted.named, asks_for_all(planted), catalogue, conditions)
    return Orchard(planted, conditions, catalogue, own)
