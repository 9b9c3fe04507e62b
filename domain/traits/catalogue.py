"""The catalogue as the rest of the domain asks it: all cultivars with their traits, and those that may be advised."""

from functools import cached_property, lru_cache

import numpy as np

from domain.common.arrays import Bools
from domain.fruit.kinds import planted_for_fruit
from domain.tables.cultivars import Cultivar
from domain.tables.loading import Tables
from domain.traits.fruit_wishes import origins_named
from domain.traits.trait_table import TraitTable, trait_table
from domain.traits.witnesses import gathered

REMEMBERED_CHOICES = 32
"""Choices of cultivars whose traits are kept as a table of their own."""


class Catalogue:
    """The tables with their traits as arrays: all cultivars, and the advised ones planted for their fruit."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables
        witnesses = gathered(tables.witnesses, tables.witness_places, tables.cultivars)
        origins_named(tables.origin_texts)  # made now, not by the first request that asks for a place
        self.traits = trait_table(tables.cultivars, witnesses)
        self.row = {cultivar.id: row for row, cultivar in enumerate(tables.cultivars)}
        self._taken = lru_cache(maxsize=REMEMBERED_CHOICES)(self._take)

    @cached_property
    def advised(self) -> TraitTable:
        """Traits of the advised cultivars planted for their fruit; others are judged when asked for by name."""
        return self.choose([c for c in self.tables.cultivars if c.status == "advised" and planted_for_fruit(c)])

    def is_advised(self, traits: TraitTable) -> Bools:
        """Which cultivars (n,) of a table stand among the advised ones."""
        advised = {cultivar.id for cultivar in self.advised.cultivars}
        return np.array([cultivar.id in advised for cultivar in traits.cultivars], dtype=np.bool_)

    def choose(self, cultivars: list[Cultivar]) -> TraitTable:
        """Traits of these cultivars, in their order; the same table for the same ones, so that their fit is kept."""
        return self._taken(tuple(self.row[cultivar.id] for cultivar in cultivars))

    def _take(self, rows: tuple[int, ...]) -> TraitTable:
        return self.traits.take(np.array(rows, dtype=np.intp))
