"""What holds a cultivar back at a site, as one list: rank, limiting factor, verdict, words and answer are made from it.

A factor states what it leaves of an outcome, how sure that is, what it rests on, and its sentence. Nothing weighs in
that is not a factor.
"""

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

import numpy as np
import numpy.typing as npt

from domain.common.arrays import Floats
from domain.common.kept import Kept
from domain.tables.words import Sentence, Value, say
from domain.traits.trait_table import TRAIT_BASES, Bases, TraitTable

FactorCode = Literal[
    "winter_chill",
    "frost_at_bloom",
    "winter_cold",
    "ripening_heat",
    "alternate_bearing",
    "pollination",
    "sunlight",
    "ground",
    "tree_disease",
    "fruit_quality",
    "sound_fruit",
    "proven_in_like_climates",
]
Verdict = Literal["plant", "worth_trying", "not_known", "not_here"]
Outcome = Literal["crop", "tree_survival", "quality", "sound_fruit", "proven_in_like_climates"]
"""What a factor takes from; `rank_value` weighs the outcomes."""

FactorBasis = Literal["published", "computed", "from-memory", "imputed", "assumed"]
FACTOR_BASES: tuple[FactorBasis, ...] = ("published", "computed", "from-memory", "imputed", "assumed")
"""What a factor rests on, surest first; it has the weakest basis of its inputs."""

FIRST_WEAK = FACTOR_BASES.index("from-memory")
"""From here on a basis may lower a verdict, never refuse alone."""

_FROM_TRAIT = np.array(
    [FACTOR_BASES.index("imputed" if basis == "absent" else basis) for basis in TRAIT_BASES],
    dtype=np.int8,
)

Rows = npt.NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Input:
    """One figure of the cultivars that a factor rests on: value, standard deviation and basis (n,); NaN is unknown."""

    name: str
    value: Floats
    deviation: Floats
    basis: Bases

    def of(self, rows: Rows) -> "Input":
        """The figure of some rows."""
        return Input(self.name, self.value[rows], self.deviation[rows], self.basis[rows])

    @cached_property
    def told(self) -> list[tuple[float, float]]:
        """Value and standard deviation of each cultivar as plain numbers, for its sentence."""
        return list(zip(self.value.tolist(), self.deviation.tolist(), strict=True))


@dataclass(frozen=True, eq=False)
class Factor:
    """One factor over n cultivars.

    likely, low, high: (n,) share of the outcome that it leaves, 0 to 1; low and high about the 20th and 80th percentile
    of what is known. basis: (n,) place in FACTOR_BASES. by_season: (n, seasons) chance of a worthwhile crop, for
    factors of the crop. at_best: for some rows, what the factor leaves ((rows,), or (rows, seasons) for the crop) if
    the figures that no source gives were as favourable as any cultivar's published one. sentence: of this factor
    (given to it, since one that held its own factor would outlive it) and a row. alike: what it turns on for each row
    (n,), so that it is asked once for rows that are alike in it; every row by itself where it is left out.
    """

    code: FactorCode
    outcome: Outcome
    likely: Floats
    low: Floats
    high: Floats
    basis: Bases
    inputs: tuple[Input, ...]
    sentence: Callable[["Factor", int], Sentence]
    at_best: Callable[[Rows], Floats]
    by_season: Floats | None = None
    alike: Callable[["Factor"], Iterable[Hashable]] | None = None
    kept: Kept = field(default_factory=Kept, init=False, repr=False)
    """What was made of it; several sites may have the same factor."""
    _said: dict[tuple[Value, ...], Sentence] = field(default_factory=dict, init=False, repr=False)

    @property
    def said(self) -> list[Sentence]:
        """The sentence of each row."""
        rows = range(len(self.likely))
        if self.alike is None:
            return [self.sentence(self, row) for row in rows]
        made: dict[Hashable, Sentence] = {}
        said = []
        for row, alike in zip(rows, self.alike(self), strict=True):
            if (found := made.get(alike)) is None:
                found = made[alike] = self.sentence(self, row)
            said.append(found)
        return said

    def say(self, code: str, **values: Value) -> Sentence:
        """The sentence of a code, one for all cultivars of whom the same is said: some hundred for many thousand.

        values: rounded as they are told where they are a cultivar's own, so that those alike are found.
        """
        alike = (code, *values.values())
        if (said := self._said.get(alike)) is None:
            said = self._said[alike] = say(code, **values)
        return said

    def of(self, rows: Rows) -> "Factor":
        """The factor of some rows as they are told, without its seasons."""
        every = self
        return replace(
            self,
            likely=self.likely[rows],
            low=self.low[rows],
            high=self.high[rows],
            basis=self.basis[rows],
            inputs=tuple([one.of(rows) for one in self.inputs]),
            sentence=lambda _, place: every.sentence(every, int(rows[place])),
            by_season=None,
            alike=None,
        )

    def is_like(self, other: "Factor") -> bool:
        """Whether all its figures by cultivar are those of another factor of the same code."""
        return all(
            np.array_equal(mine, theirs)
            for mine, theirs in zip(
                (self.likely, self.low, self.high, self.basis),
                (other.likely, other.low, other.high, other.basis),
                strict=True,
            )
        )

    @cached_property
    def shares(self) -> list[float]:
        """The likely share of each cultivar as a plain number, for its sentence."""
        shares: list[float] = self.likely.tolist()
        return shares

    @property
    def weak(self) -> npt.NDArray[np.bool_]:
        """Whether it rests on what no source gives, (n,)."""
        return np.asarray(self.basis >= FIRST_WEAK)


def trait_input(traits: TraitTable, trait: str) -> Input:
    """A trait of the table as an input; the same one for the same table."""
    return traits.kept.get(f"input {trait}", None, lambda: _trait_input(traits, trait))


def _trait_input(traits: TraitTable, trait: str) -> Input:
    unsure = traits.spread.get(trait)
    return Input(
        name=trait,
        value=traits.value[trait],
        deviation=np.full_like(traits.value[trait], np.nan) if unsure is None else unsure,
        basis=_FROM_TRAIT[traits.basis[trait]],
    )


def weakest(*bases: Bases) -> Bases:
    """The weakest basis of several, (n,)."""
    found: Bases = np.maximum.reduce(bases)
    return found


def susceptibility_basis(traits: TraitTable, counts: npt.NDArray[np.bool_]) -> Bases:
    """Weakest basis (n,) among the ratings of the diseases that count (diseases,); surest where none does."""
    if not counts.any():
        return np.zeros(len(traits.cultivars), dtype=np.int8)
    found: Bases = _FROM_TRAIT[traits.susceptibility_basis][:, counts].max(axis=1)
    return found
