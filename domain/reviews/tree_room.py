"""The room of each tree: its crown now and grown up, whether neighbours crowd it, and the sun that they leave it."""

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.ground.sunlight import Floats
from domain.reviews.places import Places
from domain.reviews.review_request import ReviewedTree
from domain.tables.parameters import figures
from domain.tables.rootstocks import Rootstock, rootstocks
from domain.tables.tree_forms import TreeForm, tree_forms
from domain.trees.tree_size import ScionGrowth, TreeSize, tree_size


class RoomFigures(msgspec.Struct, frozen=True):
    """From where on crowns crowd each other, and a crown is more than its roots make."""

    crowded_share: float
    outgrown_ratio: float
    movable_years: float
    doubted_ratio: float


FIGURES = figures("reviews", "room", RoomFigures)
USUAL_FORMS = ("bush", "half-standard", "standard")
"""Of trees whose form is not told the first that suits their stock: nobody keeps a tree on strong roots as a bush."""
REMEMBERED_SIZES = 4096
"""Trees whose size is kept reckoned."""


@lru_cache(maxsize=REMEMBERED_SIZES)
def _size(scion: ScionGrowth, stock: str | None, form: str, pruned: bool, age: float | None) -> TreeSize:
    """Kept, since many plantings hold the same trees."""
    known = None if stock is None else rootstocks()[stock]
    return tree_size(scion, known, tree_forms()[form], pruned=pruned, age_years=age)


def _usual_form(stock: str | None) -> str:
    """The form of a tree of which none is told, by the size of its stock."""
    size = None if stock is None else rootstocks()[stock].numbers.get("size_percent")
    if size is None:
        return USUAL_FORMS[0]
    suits = (form for form in USUAL_FORMS if size.value <= tree_forms()[form].ranges["rootstock_size"].high)
    return next(suits, USUAL_FORMS[-1])


@dataclass(frozen=True)
class TreeTold:
    """What makes the size of a tree: what was told, its cultivar, stock and form, and its age where it stands."""

    told: ReviewedTree
    scion: ScionGrowth
    stock: Rootstock | None
    form: TreeForm | None
    age: float | None

    def _size(self, age: float | None) -> TreeSize:
        stock = None if self.stock is None else self.stock.id
        form = _usual_form(stock) if self.form is None else self.form.id
        return _size(self.scion, stock, form, self.told.pruning != "none", age)

    @cached_property
    def grown(self) -> TreeSize:
        """The tree grown up."""
        return self._size(None)

    @cached_property
    def wanted_m(self) -> float:
        """Spread (m) that its crown wants grown up: as told if more; of an unknown stock no more than is sure."""
        spread = self.grown.crown_spread_m
        reckoned = spread.low if self.stock is None else spread.likely
        return max(reckoned, self.told.spread_m or 0.0)

    @cached_property
    def now(self) -> tuple[float, float]:
        """Height and spread (m) as told, else as of its age; grown up where that is not known or it is planned."""
        size = self.grown if self.age is None else self._size(self.age)
        return self.told.height_m or size.height_m.likely, self.told.spread_m or size.crown_spread_m.likely

    @property
    def outgrown(self) -> bool | None:
        """Whether the crown is wider than its stock and form make one; None where either is not told."""
        if self.told.spread_m is None or self.stock is None:
            return None
        return self.told.spread_m > FIGURES.outgrown_ratio * self.grown.crown_spread_m.high

    @property
    def form_unfit(self) -> bool:
        """Whether the cuts that keep its form take what its bearing habit bears; False where one is not told."""
        if self.form is None:
            return False
        habit = self.scion.bearing
        return habit is not None and habit not in self.form.bearing_habits

    @property
    def movable(self) -> bool:
        """Whether it can still be moved: it is planned, or planted of late."""
        return self.told.state == "planned" or (self.age is not None and self.age <= FIGURES.movable_years)


@dataclass(frozen=True, eq=False)
class TreeRooms:
    """The rooms of the trees of a planting."""

    trees: tuple[TreeTold, ...]
    places: Places
    open_h: float | None

    @cached_property
    def wanted_apart_m(self) -> Floats:
        """(n, n) distance at which two crowns meet when both are grown up, m."""
        wanted = np.array([tree.wanted_m for tree in self.trees])
        apart: Floats = (wanted[:, None] + wanted[None, :]) / 2.0
        return apart

    @cached_property
    def crowding(self) -> NDArray[np.bool_]:
        """(n, n) whether two trees stand so near that their crowns crowd each other."""
        return np.asarray(self.places.apart_m < FIGURES.crowded_share * self.wanted_apart_m)

    @cached_property
    def _sun(self) -> list[float]:
        """Hours of sun of each as far as places tell; NaN elsewhere."""
        now = np.array([tree.now for tree in self.trees], dtype=np.float64).reshape(-1, 2)
        hours: list[float] = self.places.sun(now[:, 0], now[:, 1], self.open_h).tolist()
        return hours

    def sun_of(self, place: int) -> float | None:
        """Hours of sun of a tree as far as places tell; None where they do not."""
        hours = self._sun[place]
        return hours if math.isfinite(hours) else None

    def crowded(self, place: int) -> bool | None:
        """Whether a tree is crowded; None where no distance is known."""
        return self._crowded[place] if self.places.known else None

    @cached_property
    def _crowded(self) -> list[bool | None]:
        """Whether some tree crowds each."""
        crowded = np.asarray(self.crowding.any(axis=1)).tolist()
        return [None if self.places.nearest(n) is None else each for n, each in enumerate(crowded)]

    def most_in_the_way(self) -> int | None:
        """The tree that crowds most others, of equal ones one that can be moved, or the later; None where none crowds
        another.
        """
        if not self.crowding.any():
            return None
        each = self.crowding.sum(axis=1)
        worst = np.flatnonzero(each == each.max()).tolist()
        return int(max(worst, key=lambda n: (self.trees[n].movable, n)))
