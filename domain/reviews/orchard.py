"""A planting at its site: its cultivars judged there, who serves whom, its rooms, and what may be had for a change."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import season_day
from domain.hazards.spot import water_where_told
from domain.orchard_site.conditions import SiteConditions
from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.wishes import Standing
from domain.pollination.pairs import PairTable
from domain.reviews.cultivar_facts import CultivarFacts, cultivar_facts
from domain.reviews.cultivars_here import Judged, Own, own_cultivars, to_choose_from, told_of
from domain.reviews.planting import Planting, asks_for_all
from domain.reviews.pollen import Pollen, PollenOfOthers
from domain.reviews.tree_room import TreeRooms, TreeTold
from domain.suitability.suitability_answer import Suitability
from domain.tables.rootstocks import rootstocks
from domain.tables.tree_forms import tree_forms
from domain.traits.catalogue import Catalogue
from domain.traits.trait_table import TraitTable
from domain.tree_year.leaf_fall import leaf_fall
from domain.trees.tree_size import ScionGrowth, scion_growth

UNKNOWN_SCION = ScionGrowth()


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
        return self.own.here if asks_for_all(self.planting) else to_choose_from(self.catalogue, self.conditions)

    @cached_property
    def choice_told(self) -> Mapping[str, Suitability]:
        """The same by id, in words."""
        return told_of(self.choice, self.conditions)

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
    def rooms(self) -> TreeRooms:
        """The room of every tree."""
        request = self.planting.request
        known = zip(request.trees, self.rows, self.planting.stocks, self.planting.forms, strict=True)
        trees = tuple(
            TreeTold(
                told,
                self._scion(row),
                None if stock is None else rootstocks()[stock],
                None if form is None else tree_forms()[form],
                self.planting.age(told),
            )
            for told, row, stock, form in known
        )
        ground = request.site.ground
        return TreeRooms(trees, self.planting.places, None if ground is None else ground.sun_hours)

    @cached_property
    def rows(self) -> tuple[int | None, ...]:
        """Own row of each tree; None where its cultivar is not known."""
        return tuple(self.row(tree) for tree in self.planting.trees)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """What each tree is called in the answer."""
        kinds = zip(self.planting.trees, self.rows, strict=True)
        called = [tree.kind.replace("_", " ") if row is None else self.sited.name(row) for tree, row in kinds]
        return tuple(self.planting.label(place, name) for place, name in enumerate(called))

    @cached_property
    def pollen(self) -> Pollen:
        """Who serves whom."""
        return Pollen(self.planting, self.own, self.conditions, self.rows)

    @cached_property
    def of_others(self) -> PollenOfOthers:
        """What the cultivars to choose from would give and get."""
        return PollenOfOthers(self.pollen, self.choice, self.catalogue)

    def named(self, place: int) -> Suitability | None:
        """What is judged of the cultivar of a tree; None where that is not known."""
        cultivar = self.planting.trees[place].cultivar_id
        return None if cultivar is None else self.judged[cultivar]

    def pollinated(self, place: int) -> float:
        """Chance in a year that a tree gets pollen."""
        return self.pollen.each[place]

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

    def cultivar_facts(self, row: int | None) -> CultivarFacts:
        """What causes are weighed by of an own cultivar; of the middle one for a tree without a name. Made once."""
        known = self._known_facts.get(row)
        if known is None:
            known = self._known_facts[row] = cultivar_facts(self.own, row, self.conditions, self.catalogue)
        return known

    @cached_property
    def _known_facts(self) -> dict[int | None, CultivarFacts]:
        return self.conditions.kept.get("reviewed_facts", self.traits, dict)

    def _scion(self, row: int | None) -> ScionGrowth:
        """What of a cultivar makes the size of its tree; nothing where it is not known."""
        if row is None:
            return UNKNOWN_SCION
        known = self._scions.get(row)
        if known is None:
            known = self._scions[row] = scion_growth(self.sited.cultivars[row])
        return known

    @cached_property
    def _scions(self) -> dict[int, ScionGrowth]:
        return self.conditions.kept.get("reviewed_scions", self.traits, dict)

    def may_be_stripped(self, place: int) -> bool:
        """Whether a tree is known to crop with its leaves stripped by hand."""
        row = self.rows[place]
        return row is not None and bool(self.own.here.stripped_rows[row])

    def row(self, tree: Standing) -> int | None:
        """Row of a tree's cultivar; None where that is not known."""
        return None if tree.cultivar_id is None else self.sited.row[tree.cultivar_id]


def orchard(planted: Planting, catalogue: Catalogue, conditions: SiteConditions) -> Orchard:
    """The planting at its site; what holds for every planting there is kept with the site."""
    own = own_cultivars(planted.named, asks_for_all(planted), catalogue, conditions)
    return Orchard(planted, conditions, catalogue, own)
