"""Who serves whom in a planting: the chance that each tree gets pollen, by its own trees, those near by, and itself.

Trees whose places are told count by their distance. Rows are those of the own cultivars (`cultivars_here.Own`).
"""

from collections import defaultdict
from dataclasses import dataclass, replace
from functools import cached_property

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.orchard_site.conditions import SiteConditions
from domain.planting_list.space import Room
from domain.planting_list.trees_around import (
    Outside,
    Wanting,
    nearest_of_each,
    outside_pollen,
    usual_neighbours,
    wanting,
)
from domain.planting_list.wishes import Standing, Wishes
from domain.pollination.pairs import PairTable, distance_share, distance_shares
from domain.reviews.cultivars_here import Judged, Own, between, self_chances
from domain.reviews.planting import Planting, asks_for_all
from domain.traits.catalogue import Catalogue
from domain.traits.fruit_wishes import FruitWanted

Chances = NDArray[np.float64]
SURE = 0.999
"""Chances are taken no surer than this where one is taken out of a product of them."""


@dataclass(frozen=True, eq=False)
class Sources:
    """Own rows of what gives pollen, and by tree and source how far it is, its chance to serve there, and the verdict
    on the pair.

    metres: NaN where some place is not told.
    """

    rows: tuple[int, ...]
    metres: list[list[float]]
    chance: list[list[float]]
    verdict: list[list[int]]


@dataclass(frozen=True, eq=False)
class Pollen:
    """A planting by its pollen. rows: own row of each tree; None where its cultivar is not known."""

    planting: Planting
    own: Own
    conditions: SiteConditions
    rows: tuple[int | None, ...]

    @property
    def _table(self) -> PairTable:
        return self.own.table

    @cached_property
    def _near(self) -> tuple[tuple[int, float], ...]:
        """Row and distance (m) of each tree near by whose cultivar is known."""
        row = self.own.here.sited.row
        nearby = self.planting.nearby
        return tuple((row[one.cultivar_id], one.distance_m) for one in nearby if one.cultivar_id is not None)

    @cached_property
    def _named(self) -> NDArray[np.bool_]:
        """(trees,) whose cultivar is known."""
        return np.array([row is not None for row in self.rows], dtype=np.bool_)

    @cached_property
    def _trees(self) -> NDArray[np.intp]:
        """(trees,) own row of each; 0 for those whose cultivar is not known, which is not looked at."""
        return np.array([row or 0 for row in self.rows], dtype=np.intp)

    @cached_property
    def _pairs(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Indices of each tree with each source: the trees, then those near by."""
        sources = np.append(self._trees, [row for row, _ in self._near]) if self._near else self._trees
        return self._trees[:, None], sources.astype(np.intp, copy=False)

    @cached_property
    def _chance(self) -> Chances:
        """(trees, sources) chance that each source beside each tree serves it."""
        return self._table.chance[self._pairs].astype(np.float64)

    @cached_property
    def _same(self) -> NDArray[np.bool_]:
        """(trees, sources) which are of one genotype."""
        return self._table.fits.same_genotype[self._pairs]

    @cached_property
    def _metres(self) -> Chances:
        """(trees, sources) how far each source is; NaN where some place is not told, and of a tree to itself."""
        apart = self.planting.places.apart_m
        if not self._near:
            return apart
        return np.hstack([apart, np.broadcast_to([metres for _, metres in self._near], (len(apart), len(self._near)))])

    @cached_property
    def _share(self) -> Chances:
        """(trees, sources) what their distance leaves of the pollen of one for another; 1 where it is not known."""
        return distance_shares(np.where(np.isnan(self._metres), 0.0, self._metres))

    @cached_property
    def each(self) -> tuple[float, ...]:
        """Chance in a year that each tree gets pollen, from trees of the planting as far away as their places tell."""
        before = self._before
        if not self.planting.places.known:
            return tuple(before.tolist())
        beside = np.minimum(self._best_of_each(self._beside), SURE)
        less = (1.0 - np.minimum(self._best_of_each(self._share), beside)) / (1.0 - beside)
        missed = np.minimum((1.0 - before) * less.prod(axis=1), 1.0)
        return tuple(np.where(self._named, 1.0 - missed, before).tolist())

    @cached_property
    def _beside(self) -> Chances:
        """(sources,) what their distance leaves of their pollen if all trees of the planting stood side by side."""
        near = distance_shares(np.array([metres for _, metres in self._near], dtype=np.float64))
        return np.append(np.ones(len(self.rows)), near)

    def _best_of_each(self, share: Chances) -> Chances:
        """(trees, cultivars) chance of each tree by the best placed of each cultivar, which a second would not add to.

        share: what its distance leaves of the pollen of each source.
        """
        given = np.where(self._same, 0.0, self._chance * share)
        if not self._columns:
            return np.zeros((len(self.rows), 1))
        return np.stack([given[:, column].max(axis=1) for column in self._columns.values()], axis=1)

    @cached_property
    def _columns(self) -> dict[int, list[int]]:
        """Own row of each cultivar that stands or is near -> the sources of it."""
        columns: defaultdict[int, list[int]] = defaultdict(list)
        for column, row in enumerate((*self.rows, *(row for row, _ in self._near))):
            if row is not None:
                columns[row].append(column)
        return dict(columns)

    def without(self, place: int) -> "Pollen":
        """The same without one of the trees."""
        told, stay = self.planting, [n for n in range(len(self.rows)) if n != place]
        fewer = replace(
            told,
            request=msgspec.structs.replace(told.request, trees=[told.request.trees[n] for n in stay]),
            trees=tuple(told.trees[n] for n in stay),
            stocks=tuple(told.stocks[n] for n in stay),
            forms=tuple(told.forms[n] for n in stay),
            places=replace(told.places, at=told.places.at[stay]),
        )
        return replace(self, planting=fewer, rows=tuple(self.rows[n] for n in stay))

    @cached_property
    def _before(self) -> Chances:
        """(trees,) chance in a year that each gets pollen, if all trees of the planting stood beside it."""
        if asks_for_all(self.planting):
            known = zip(self.planting.trees, self.rows, strict=True)
            return np.array(
                [self.wanting[tree.kind].before if row is None else self.outside.chance[row] for tree, row in known]
            )
        missed = (1.0 - self._chance.diagonal()) * (1.0 - self._best_of_each(self._beside)).prod(axis=1)
        return np.asarray(1.0 - missed)

    @cached_property
    def sources(self) -> Sources:
        """What gives pollen to the trees: each cultivar that stands or is near, its nearest tree alone."""
        columns = self._columns
        if not columns:
            none: list[list[float]] = [[] for _ in self.rows]
            return Sources((), none, none, [[] for _ in self.rows])
        first = [of_row[0] for of_row in columns.values()]
        if not self.planting.places.known and not self._near:
            metres, chance = self._metres[:, first], self._chance[:, first]
        elif len(first) == len(self.rows) + len(self._near):
            metres, chance = self._metres, self._chance * self._share
        else:
            metres = np.stack([self._metres[:, of_row].min(axis=1) for of_row in columns.values()], axis=1)
            chance = self._chance[:, first] * distance_shares(np.where(np.isnan(metres), 0.0, metres))
        rows = tuple(columns)
        verdict = self._table.verdict[self._trees[:, None], np.array(rows, dtype=np.intp)]
        return Sources(rows, metres.tolist(), chance.tolist(), verdict.tolist())

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
    def outside(self) -> Outside:
        """Pollen that reaches each own cultivar from the trees of the planting and around it."""
        sited, known = self.own.here.sited, self._neighbourhood
        return outside_pollen(self.wishes, sited, self._every_row, self._table, known)

    @cached_property
    def _every_row(self) -> NDArray[np.intp]:
        return np.arange(len(self.own.here.sited.cultivars), dtype=np.intp)

    @cached_property
    def _neighbourhood(self) -> NDArray[np.float32]:
        """(own,) chance that a settled neighbourhood serves each; not asked for where it is not settled."""
        if not asks_for_all(self.planting):
            return np.zeros(self._every_row.size, dtype=np.float32)
        return self.conditions.kept.get("reviewed_neighbours", self.own.here.traits, self._neighbours)

    def _neighbours(self) -> NDArray[np.float32]:
        return usual_neighbours(self.own.here.sited, self._every_row, self._table)

    @cached_property
    def wanting(self) -> dict[str, Wanting]:
        """By cultivar, or by kind where that is not known: what its trees get and could get."""
        found = wanting(self.wishes, self.own.here.sited, self._every_row, self._table, self.outside)
        return {one.tree.cultivar_id or one.tree.kind: one for one in found}


@dataclass(frozen=True, eq=False)
class PollenOfOthers:
    """What cultivars that may be had for a change would give a planting, and get there. choice: those cultivars."""

    pollen: Pollen
    choice: Judged
    catalogue: Catalogue

    @cached_property
    def _between(self) -> tuple[Chances, Chances]:
        """(own, choice) chance of the own by pollen of those to choose from, and the other way round."""
        (given, serving), same = between(self.pollen.own.here, self.choice, self.catalogue)
        return np.where(same, 0.0, given.astype(np.float64)), np.where(same, 0.0, serving.astype(np.float64))

    def given(self, place: int) -> Chances:
        """(choice,) chance that each would serve a tree."""
        row, own = self.pollen.rows[place], self.pollen.own
        if row is None:
            return self.pollen.wanting[self.pollen.planting.trees[place].kind].given
        if own.here is self.choice:
            return np.where(own.table.fits.same_genotype[row], 0.0, own.table.chance[row].astype(np.float64))
        return np.asarray(self._between[0][row])

    @cached_property
    def served(self) -> Chances:
        """(choice,) chance in a year that each gets pollen from what stands and is near."""
        own = self.pollen.own
        if own.here is self.choice:
            return self.pollen.outside.chance
        missed = 1.0 - self_chances(self.choice, self.catalogue).astype(np.float64)
        for tree in nearest_of_each(self._around):
            row = None if tree.cultivar_id is None else own.here.sited.row[tree.cultivar_id]
            if row is not None:
                missed *= 1.0 - self._between[1][row] * distance_share(tree.distance_m)
        return np.asarray(1.0 - missed)

    @property
    def _around(self) -> tuple[Standing, ...]:
        return (*self.pollen.planting.trees, *self.pollen.planting.nearby)
