"""Rules that a list keeps beside those of its problem: so many of the freely chosen trees belong to some set."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Rule:
    """At least `least` of every `out_of` freely chosen trees are members. members: (m,) over the candidates."""

    members: Bools
    least: int
    out_of: int

    def take(self, rows: NDArray[np.intp]) -> "Rule":
        """The rule over some of the candidates."""
        return Rule(self.members[rows], self.least, self.out_of)

    def kept_by(self, chosen: Sequence[int], fixed: Bools) -> bool:
        """Whether a list keeps it; one without any freely chosen tree does."""
        free = [one for one in chosen if not fixed[one]]
        return self.out_of * sum(bool(self.members[one]) for one in free) >= self.least * len(free)


def unlike(listed: Bools) -> Rule:
    """A third of the freely chosen trees are not among those listed already."""
    return Rule(~listed, 1, 3)
