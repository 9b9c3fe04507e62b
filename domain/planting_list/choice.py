"""The choice of a planting list as numbers: what each tree is worth, what the list as a whole is worth, and its rules.

The value of a list is a sum between 0 and about 1:

- each tree: its own worth, shared out over the places;
- each slot of the picking season: a first tree that fills it, and less for a second;
- each wished use: served by some tree or not;
- each tree that stands and wants pollen: served by some tree or not.

Rules: as many trees as places; one tree of each sport group (or, where there are fewer suited cultivars than places,
two or an empty place); on a plot no more trees than its ground; the fixed trees; every tree has an effective pollen
source on the list or outside it. Amounts are held as whole points, so that sums are exact, with a tie step below half
a point that prefers the earlier row.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import among
from domain.tables.parameters import figures

POINTS = 100_000
"""Points of the value 1."""


class ChoiceFigures(msgspec.Struct, frozen=True):
    """How the worth of a picking season is shared out."""

    second_share: float


FIGURES = figures("planting_list", "choice", ChoiceFigures)


@dataclass(frozen=True)
class ListProblem:
    """m candidates, the fixed ones among them, for a number of places. Amounts are in points."""

    tree_worth: NDArray[np.float64]
    """(m,) worth of a tree on the list, tie step included."""
    group: NDArray[np.int64]
    fixed: NDArray[np.bool_]
    serves: NDArray[np.bool_]
    """(m, m) [pollinated, pollen source] whether one is an effective source for the other."""
    pollen: NDArray[np.floating]
    """(m, m) [pollinated, pollen source] how far one serves the other: 1 where it is effective, else its chance."""
    shortfall: NDArray[np.float64]
    """(m,) what is lost if the tree has no source on the list; 0 where it is served outside it."""
    must_be_served: NDArray[np.bool_]
    """(m,) trees that may not stand without an effective source. Others lose less of the shortfall by partial ones."""
    season: NDArray[np.bool_]
    """(m, slots) when each has fruit, from the tree or from store."""
    gains: NDArray[np.bool_]
    """(m, g) whether a tree brings what the list gains once: a wished use, or pollen for a tree that stands."""
    gain_worth: NDArray[np.float64]
    """(g,) worth of each."""
    places: int
    slot_worth: tuple[float, float]
    """Worth of a first and of a second tree in each slot."""
    tiers: tuple[NDArray[np.bool_], ...] = ()
    """(m,) candidates of which a list is made while they are enough, then those of the next; all at the end."""
    trees_of_a_group: int = 1
    empty_places: int = 0
    """Places that may stay empty rather than take a second tree of a cultivar."""
    room: NDArray[np.float64] | None = None
    """(m,) share of the ground that a tree takes; None where places alone are counted."""
    ground: float = 1.0
    """Share of the ground that all trees may take together."""
    tolerance: float = 0.0
    """A list is good enough when none is worth more by this share of its worth."""

    @property
    def size(self) -> int:
        """Number of candidates."""
        return int(self.group.size)

    @property
    def free_places(self) -> int:
        """Places left beside the fixed trees."""
        return self.places - int(self.fixed.sum())

    def take(self, rows: NDArray[np.intp]) -> "ListProblem":
        """The problem with only these candidates."""
        if rows.size == self.size and bool((rows == np.arange(self.size)).all()):
            return self
        return ListProblem(
            tree_worth=self.tree_worth[rows],
            group=self.group[rows],
            fixed=self.fixed[rows],
            serves=among(self.serves, rows),
            pollen=among(self.pollen, rows),
            shortfall=self.shortfall[rows],
            must_be_served=self.must_be_served[rows],
            season=self.season[rows],
            gains=self.gains[rows],
            gain_worth=self.gain_worth,
            places=self.places,
            slot_worth=self.slot_worth,
            tiers=tuple(tier[rows] for tier in self.tiers),
            trees_of_a_group=self.trees_of_a_group,
            empty_places=self.empty_places,
            room=None if self.room is None else self.room[rows],
            ground=self.ground,
            tolerance=self.tolerance,
        )


def with_tie_steps(worth: NDArray[np.float64], places: int) -> NDArray[np.float64]:
    """Whole points, plus a step that decides between equal lists for the candidates that come first."""
    size = worth.size
    steps = (size - np.arange(size)) / max(size, 1) * 0.5 / max(places, 1)
    return np.asarray(np.rint(worth) + steps)


def unserved(problem: ListProblem, chosen: Sequence[int]) -> list[int]:
    """Rows of the chosen that need a source on the list and have no effective one."""
    rows = np.asarray(chosen, dtype=np.intp)
    alone = ~problem.serves[np.ix_(rows, rows)].any(axis=1) & (problem.shortfall[rows] > 0)
    return [int(row) for row in rows[alone]]


def lost_for_want_of_pollen(problem: ListProblem, rows: NDArray[np.intp]) -> float:
    """Points lost by the trees of a list: the shortfall of each, less what its sources, even partial ones, make up."""
    missing = np.maximum(1.0 - problem.pollen[np.ix_(rows, rows)].astype(np.float64).sum(axis=1), 0.0)
    return float((problem.shortfall[rows] * missing).sum())


def list_worth(problem: ListProblem, chosen: Sequence[int]) -> float:
    """Points of a list, whatever its rules say."""
    rows = np.asarray(chosen, dtype=np.intp)
    filled = problem.season[rows].sum(axis=0)
    first, second = problem.slot_worth
    gained = problem.gains[rows].any(axis=0)
    return float(
        problem.tree_worth[rows].sum()
        + first * (filled >= 1).sum()
        + second * (filled >= 2).sum()
        + problem.gain_worth[gained].sum()
        - lost_for_want_of_pollen(problem, rows)
    )
