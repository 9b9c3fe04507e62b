"""The set of cultivars that live together on one trunk, as numbers.

A set is worth its cultivars, each with a pollen source on the trunk, ripening at different times; it loses where vigour
differs (the strong crowd the weak: W. Upham, Multiple Grafts on Apple Trees, Kansas State University) and where one
that carries fire blight or canker stands among others. The trunk's own cultivar, which is there and stays, is served
first. Chosen by adding the best one at a time and then exchanging single cultivars until no exchange helps: a good set,
without proof that it is the best.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.pollination.pairs import FIGURES as PAIRS
from domain.tables.parameters import figures


class TrunkFigures(msgspec.Struct, frozen=True):
    """What makes cultivars live together on one trunk."""

    vigour_cost: float
    vigour_borne: float
    pollen_worth: float
    trunk_served_worth: float
    season_worth: float
    carrier_cost: float
    slot_days: int


FIGURES = figures("trunks", "trunk_choice", TrunkFigures)


@dataclass(frozen=True)
class TrunkSet:
    """Arrays over the candidates: worth, vigour, day of ripening (NaN unknown), carriers, pollination chances.

    own: whether the first candidate is the trunk's own cultivar.
    """

    worth: NDArray[np.float64]
    vigour: NDArray[np.float64]
    ripens: NDArray[np.float64]
    carries: NDArray[np.bool_]
    chance: NDArray[np.float64]
    own: bool = False

    def value(self, chosen: Sequence[int]) -> float:
        """What a set of candidates is worth on one trunk."""
        rows = np.array(chosen)
        far = np.abs(self.vigour[rows] - self.vigour[rows].mean())
        crowded = float(np.maximum(far - FIGURES.vigour_borne, 0.0).sum())
        total = float(self.worth[rows].sum()) - FIGURES.vigour_cost * crowded
        if len(rows) > 1:
            served = self.chance[np.ix_(rows, rows)].copy()
            np.fill_diagonal(served, 0.0)
            total += FIGURES.pollen_worth * float(np.minimum(served.max(axis=1) / PAIRS.effective_chance, 1.0).sum())
            if self.own and chosen[0] == 0:
                best = float(served[0].max())
                total += FIGURES.trunk_served_worth * (1.0 if best >= PAIRS.effective_chance else best)
        slots = np.unique(np.floor(self.ripens[rows][np.isfinite(self.ripens[rows])] / FIGURES.slot_days))
        carriers = int(self.carries[rows].any(axis=1).sum())
        return total + FIGURES.season_worth * len(slots) - FIGURES.carrier_cost * (carriers if len(rows) > 1 else 0)


def choose(choice: TrunkSet, fixed: int, most: int) -> list[int]:
    """At most so many candidates (rows), the first `fixed` among them, that together are worth most."""
    chosen = list(range(fixed))
    while len(chosen) < most:
        rest = [row for row in range(len(choice.worth)) if row not in chosen]
        best = max(rest, key=lambda row: (choice.value([*chosen, row]), -row), default=None)
        if best is None or (chosen and choice.value([*chosen, best]) <= choice.value(chosen)):
            break
        chosen.append(best)
    for _ in range(20):
        now = choice.value(chosen)
        swaps = [
            [*chosen[:place], row, *chosen[place + 1 :]]
            for place in range(fixed, len(chosen))
            for row in range(fixed, len(choice.worth))
            if row not in chosen
        ]
        best_swap = max(swaps, key=choice.value, default=chosen)
        if choice.value(best_swap) <= now + 1e-9:
            break
        chosen = best_swap
    return chosen
