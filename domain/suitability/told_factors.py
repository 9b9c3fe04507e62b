"""Factors as an answer tells them: a record for each cultivar, one for all of whom the same is told."""

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import rounded
from domain.suitability import suitability_answer as answer
from domain.suitability.factors import FACTOR_BASES, Factor, Input, Rows

REMEMBERED_INPUTS = 32
"""Factors whose inputs are kept as they are told."""

Inputs = tuple[tuple[answer.FactorInput, ...], ...]
"""The inputs of each cultivar as they are told."""


def told_factor(factor: Factor) -> list[answer.Factor]:
    """What an answer tells of a factor and each cultivar; kept with the factor."""
    return factor.kept.get("told", None, lambda: _told_rows(factor, _kept_inputs(factor.inputs)))


def told_of(factor: Factor, rows: Rows) -> list[answer.Factor]:
    """The same of some rows alone."""
    few = factor.of(rows)
    return _told_rows(few, _inputs(few.inputs))


def _told_rows(factor: Factor, inputs: Inputs) -> list[answer.Factor]:
    """What is told of each cultivar: one record for all of whom the same is told, and one share, input and sentence.

    There are thousands of each in an answer; what is made once is also found near by when the answer is encoded.
    """
    shares, marks = _shares(factor)
    of_crop = factor.outcome == "crop"
    tenths = np.rint(10.0 * (10.0 * factor.likely.astype(np.float64))) if of_crop else np.zeros(len(shares))
    years, basis = (tenths / 10.0).tolist() if of_crop else [None] * len(shares), factor.basis.tolist()
    marks = (marks * _MOST_TENTHS + tenths.astype(np.int64)) * len(FACTOR_BASES) + factor.basis
    inputs = inputs or ((),) * len(shares)
    said = factor.said
    made: dict[tuple[int, int, int], answer.Factor] = {}
    told = []
    for row, alike in enumerate(zip(marks.tolist(), map(id, inputs), map(id, said), strict=True)):
        if (found := made.get(alike)) is None:
            sentence = said[row]
            found = made[alike] = answer.Factor(
                factor=factor.code,
                outcome=factor.outcome,
                years_in_ten=years[row],
                share=shares[row],
                basis=FACTOR_BASES[basis[row]],
                inputs=inputs[row],
                code=sentence.code,
                values=sentence.values,
                words=sentence.words,
            )
        told.append(found)
    return told


_MOST_TENTHS, _MOST_THOUSANDTHS = 128, 1024
"""More than the tenths of ten years, and the thousandths of a whole."""


def _shares(factor: Factor) -> tuple[list[answer.Share], NDArray[np.int64]]:
    """The share of each cultivar, rounded, one for all that have the same; beside it a number for each of them."""
    ends = [np.rint(1000.0 * end.astype(np.float64)) for end in (factor.likely, factor.low, factor.high)]
    marks = np.zeros(len(factor.likely), dtype=np.int64)
    for end in ends:
        marks = marks * _MOST_THOUSANDTHS + end.astype(np.int64)
    made: dict[int, answer.Share] = {}
    shares = []
    for mark, likely, low, high in zip(marks.tolist(), *((end / 1000.0).tolist() for end in ends), strict=True):
        if (found := made.get(mark)) is None:
            found = made[mark] = answer.Share(likely=likely, low=low, high=high)
        shares.append(found)
    return shares, marks


@lru_cache(maxsize=REMEMBERED_INPUTS)
def _kept_inputs(given: tuple[Input, ...]) -> Inputs:
    """The inputs of each cultivar; kept, since those that are traits are the same at every site."""
    return _inputs(given)


def _inputs(given: tuple[Input, ...]) -> Inputs:
    made: dict[tuple[int, ...], tuple[answer.FactorInput, ...]] = {}
    of_each = zip(*(_told(one) for one in given), strict=True)
    return tuple([made.setdefault(tuple(map(id, inputs)), inputs) for inputs in of_each])


def _told(given: Input) -> list[answer.FactorInput]:
    """An input as it is told of each cultivar; one for all that have the same."""
    made: dict[tuple[float | None, float | None, int], answer.FactorInput] = {}
    told = []
    for value, deviation, basis in zip(
        rounded(given.value, 2), rounded(given.deviation, 2), given.basis.tolist(), strict=True
    ):
        figures = None if math.isnan(value) else value, None if math.isnan(deviation) else deviation
        if (found := made.get((*figures, basis))) is None:
            found = made[*figures, basis] = answer.FactorInput(
                trait=given.name, value=figures[0], deviation=figures[1], basis=FACTOR_BASES[basis]
            )
        told.append(found)
    return told
