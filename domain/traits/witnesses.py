"""Witnesses as arrays: how many speak for each cultivar near a place, and how many would were it met everywhere alike.

A document has one vote for a cultivar, at its place that counts most. What is expected of a cultivar near a place is
its share of all votes, times the votes near the place; of votes and documents only those count that came late enough to
name it, so that a new cultivar is not missed where nobody could have had it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.site_climate.climate_figures import FIGURES as CLIMATE
from domain.site_climate.climate_figures import ClimateFigures, as_array
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.witnesses import Says, Witness, WitnessPlace
from domain.traits.fruit_like import raised

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]

ON_TRIAL = "trial"
"""The kind of witness that tells only that somebody thought it worth the place."""


class WitnessFigures(msgspec.Struct, frozen=True):
    """See parameters/traits.csv, subject witnesses."""

    undated_year: int
    old_before: int
    years_to_be_known: int
    of_one_place: float


FIGURES = figures("traits", "witnesses", WitnessFigures)


@dataclass(frozen=True, eq=False)
class Votes:
    """Votes of one sign: r witnesses in g groups, one a document and cultivar, the oldest first; c cultivars.

    place, weight, voices: (r,). bears: (r,) whether more than a trial is told. start: (g,) first row of each group.
    cultivar, usual: (g,) whose vote it is, and its weight wherever it stands. first: (c,) first group that could speak
    of a cultivar. share: (c,) of the votes since then.
    """

    place: Rows
    weight: Floats
    voices: Floats
    bears: NDArray[np.bool_]
    start: Rows
    cultivar: Rows
    first: Rows
    share: Floats

    def near(self, kernel: Floats) -> tuple[Floats, Floats]:
        """Votes observed and expected (c,) where each place (p,) counts by the kernel."""
        votes = self._of_groups(self.weight * self.voices * kernel[self.place])
        return self._of_cultivars(votes), _since(votes)[self.first] * self.share

    def plainly(self, kernel: Floats) -> Floats:
        """Documents (c,), each one voice by the kernel where that is greatest; what is only on trial has none."""
        return self._of_cultivars(self._of_groups(self.bears * kernel[self.place]))

    def met(self, kernel: Floats) -> tuple[Floats, Floats, float]:
        """Votes (c,) for its being there at all, of which a service has no more than others; of all late enough (c,)
        to name it; and of all.
        """
        votes = self._of_groups(self.weight * kernel[self.place])
        return self._of_cultivars(votes), _since(votes)[self.first], float(votes.sum())

    def _of_groups(self, told: Floats) -> Floats:
        """The greatest (g,) of what the witnesses (r,) of each group tell."""
        return np.maximum.reduceat(told, self.start) if self.start.size else np.zeros(0)

    def _of_cultivars(self, votes: Floats) -> Floats:
        """The sum (c,) of the votes (g,) of each cultivar's groups."""
        return np.bincount(self.cultivar, votes, len(self.share)).astype(np.float64)

    def nearest(self, kernel: Floats) -> Rows:
        """The place (c,) at which a cultivar's vote counts most; -1 where it has none."""
        votes = self.weight * self.voices * kernel[self.place]
        of_row = np.repeat(self.cultivar, np.diff(np.append(self.start, len(self.place))))
        order = np.lexsort((votes, of_row))
        found = np.full(len(self.share), -1, dtype=np.intp)
        found[of_row[order]] = self.place[order]
        return found


@dataclass(frozen=True, eq=False)
class Witnesses:
    """All witnesses. places: (p,) with climates (p, 7) and latitude and longitude in radians (p, 2).

    row: cultivar id -> its place in arrays of cultivars. family: (c,) the same number for a cultivar and its sports.
    sport: (c,) whether it is one, and not their original.
    """

    places: tuple[WitnessPlace, ...]
    climates: Floats
    on_earth: Floats
    row: dict[str, int]
    family: Rows
    sport: NDArray[np.bool_]
    does_well: Votes
    fails: Votes

    def rows(self, cultivars: Sequence[Cultivar]) -> Rows:
        """Where these cultivars stand in the arrays; all must be of the catalogue that the witnesses were made with."""
        return np.array([self.row[cultivar.id] for cultivar in cultivars], dtype=np.intp)


def gathered(witnesses: Sequence[Witness], places: Sequence[WitnessPlace], cultivars: Sequence[Cultivar]) -> Witnesses:
    """The witnesses of a catalogue as arrays; those of cultivars beside it count in what is expected."""
    row = {cultivar.id: n for n, cultivar in enumerate(cultivars)}
    for one in witnesses:
        row.setdefault(one.cultivar_id, len(row))
    by_id = {cultivar.id: cultivar for cultivar in cultivars}
    families = {cultivar_id: _original(cultivar_id, by_id) for cultivar_id in row}
    known_from = _known_from(witnesses, row, by_id)
    witnesses = _neighbours_together(witnesses, places)
    index = {place.place_id: n for n, place in enumerate(places)}
    climates = [as_array(ClimateFigures(**_climate(place))) for place in places]
    return Witnesses(
        places=tuple(places),
        climates=np.array(climates).reshape(len(places), len(CLIMATE)),
        on_earth=np.radians([(place.latitude, place.longitude) for place in places]).reshape(len(places), 2),
        row=row,
        family=np.unique([families[cultivar_id] for cultivar_id in row], return_inverse=True)[1],
        sport=np.array([families[cultivar_id] != cultivar_id for cultivar_id in row], dtype=np.bool_),
        does_well=_votes(witnesses, "does_well", row, index, known_from),
        fails=_votes(witnesses, "fails", row, index, known_from),
    )


def _neighbours_together(witnesses: Sequence[Witness], places: Sequence[WitnessPlace]) -> list[Witness]:
    """The witnesses, less of each where others say too that its cultivar does well in that village.

    A village is what lies within a tenth of a degree, whatever it is called. What is planted follows neighbours,
    nursery and market, and how many of a village are read is chance; what failed was seen by each.
    """
    village = {place.place_id: (round(place.latitude, 1), round(place.longitude, 1)) for place in places}
    documents: dict[tuple[tuple[float, float], str], set[str]] = {}
    for one in witnesses:
        if one.says == "does_well":
            documents.setdefault((village[one.place_id], one.cultivar_id), set()).add(one.source_id)

    def heard(one: Witness) -> Witness:
        alike = len(documents[village[one.place_id], one.cultivar_id]) if one.says == "does_well" else 1
        return msgspec.structs.replace(one, weight=one.weight * alike ** (FIGURES.of_one_place - 1.0))

    return [heard(one) for one in witnesses]


def _climate(place: WitnessPlace) -> dict[str, float]:
    return {name: getattr(place, name) for name in CLIMATE}


def _original(cultivar_id: str, by_id: dict[str, Cultivar]) -> str:
    """What a sport came from, in the end."""
    while (cultivar := by_id.get(cultivar_id)) is not None and cultivar.sport_of:
        cultivar_id = cultivar.sport_of
    return cultivar_id


def _known_from(witnesses: Sequence[Witness], row: dict[str, int], by_id: dict[str, Cultivar]) -> NDArray[np.int64]:
    """Year (c,) from which a document can be expected to name a cultivar."""
    known = np.full(len(row), FIGURES.old_before)
    for cultivar_id, n in row.items():
        cultivar = by_id.get(cultivar_id)
        year = None if cultivar is None else raised(cultivar)
        if year is not None:
            known[n] = year + FIGURES.years_to_be_known
    for one in witnesses:
        known[row[one.cultivar_id]] = min(known[row[one.cultivar_id]], _year(one))
    return known


def _year(witness: Witness) -> int:
    return FIGURES.undated_year if witness.year is None else witness.year


def _votes(
    witnesses: Sequence[Witness],
    says: Says,
    row: dict[str, int],
    index: dict[str, int],
    known_from: NDArray[np.int64],
) -> Votes:
    told = [one for one in witnesses if one.says == says]
    years: dict[tuple[str, str], int] = {}
    for one in told:  # a document that speaks of several years speaks in its first
        key = (one.source_id, one.cultivar_id)
        years[key] = min(years.get(key, _year(one)), _year(one))
    told.sort(key=lambda one: (years[one.source_id, one.cultivar_id], one.source_id, one.cultivar_id))
    keys = [(one.source_id, one.cultivar_id) for one in told]
    start = [n for n, key in enumerate(keys) if n == 0 or key != keys[n - 1]]
    weight = np.array([one.weight for one in told], dtype=np.float64)
    voices = np.array([one.voices for one in told], dtype=np.float64)
    starts = np.array(start, dtype=np.intp)
    usual = np.maximum.reduceat(weight * voices, starts) if start else np.zeros(0)
    cultivar = np.array([row[told[n].cultivar_id] for n in start], dtype=np.intp)
    first = np.searchsorted([years[keys[n]] for n in start], known_from, side="left")
    total = np.bincount(cultivar, usual, len(row))
    return Votes(
        place=np.array([index[one.place_id] for one in told], dtype=np.intp),
        weight=weight,
        voices=voices,
        bears=np.array([one.kind != ON_TRIAL for one in told], dtype=np.bool_),
        start=starts,
        cultivar=cultivar,
        first=first.astype(np.intp),
        share=total / np.maximum(_since(usual)[first], 1e-9),
    )


def _since(votes: Floats) -> Floats:
    """Sum (g + 1,) of the votes from each on, the oldest first; nothing after the last."""
    return np.append(np.cumsum(votes[::-1])[::-1], 0.0)
