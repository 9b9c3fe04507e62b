"""One chosen list: its trees, the chance that each gets pollen, and what it bears over the years."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from domain.planting_list.candidates import Candidates
from domain.planting_list.crops import CropYears, crop_years
from domain.planting_list.list_verdict import list_verdict
from domain.planting_list.pollen_donors import for_pollen_alone
from domain.planting_list.suggested_sources import suggested_sources
from domain.planting_list.tree_worth import uses_of
from domain.planting_list.trees_around import chance_served, lone_among_none, lone_among_unknown
from domain.planting_list.trees_in_words import LaidOut
from domain.planting_list.wishes import Wishes
from domain.suitability.factors import Verdict
from domain.traits.fruit_wishes import wished


class ChosenList:
    """A list of the choice, by positions in its pool."""

    def __init__(self, wishes: Wishes, found: Candidates, chosen: Sequence[int], laid: LaidOut) -> None:
        self.wishes, self.found, self.sited, self.table = wishes, found, found.sited, found.table
        self.laid = laid
        self.in_stock = [found.in_stock[one] for one in chosen]
        self.trees = [int(found.planted[one]) for one in chosen]
        self.fixed = {position for position in self.trees if position < len(wishes.must_include)}
        self.row = [int(found.pool[position]) for position in self.trees]
        self.pollinated = self._pollinated()
        self.suggested = suggested_sources(found, self.trees, self.pollinated)
        self.years, self.verdict = self._judged()

    def _pollinated(self) -> NDArray[np.float64]:
        """(trees,) chance in a year that a tree is served by a tree of the list, from outside it, or by itself."""
        return chance_served(self.table, self.trees, self.found.outside.chance, self.laid.apart_m)

    def _judged(self) -> tuple[CropYears | None, Verdict]:
        """What the list bears over the years, None where all is planted for its pollen, and the verdict on it."""
        fruit = [one for one, row in enumerate(self.row) if not for_pollen_alone(self.sited.cultivars[row])]
        chance, served = self.sited.crop_chance[self.row][fruit], self.pollinated[fruit]
        years = crop_years(chance, served) if fruit else None
        sourced = crop_years(np.minimum(chance / self.sited.judged_share, 1.0), served) if fruit else None
        mended = bool(self.suggested) and lone_among_none(self.wishes)
        verdict = list_verdict(
            [self.sited.verdict[row] for row in self.row],
            years,
            lone=lone_among_unknown(self.wishes) or mended,
            sourced=sourced,
        )
        return years, verdict

    @property
    def gives(self) -> frozenset[str]:
        """What it gives of what was asked: uses that some tree serves, and wishes that every tree is known to meet."""
        met = self.found.admission.met
        kept = {wish for wish in wished(self.wishes.fruit) if all(met[row][wish] == "met" for row in self.row)}
        return frozenset(kept - {"uses"} | set(self.uses_served))

    @property
    def uses_served(self) -> tuple[str, ...]:
        """Of the uses asked those that some tree serves."""
        known = frozenset[str]().union(*(uses_of(self.sited.cultivars[row]) for row in self.row))
        return tuple(use for use in self.wishes.uses if use in known)
