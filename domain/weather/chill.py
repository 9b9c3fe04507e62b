"""Winter chill from hourly temperatures: hours, Utah units, chill portions.

Every function takes temperatures in C, hours on the first axis (the recursion of the Dynamic Model runs along it) and
series, such as winters, on the others; results have the shape of the other axes, or of the input where said.

No measure converts into another by a constant: the ratio of hours to portions runs from 0 to 34 over the world
(Luedeling E., Brown P. H., International Journal of Biometeorology 55:411-421, 2011, abstract).

Sources:
- hours below 45 F and from 32 to 45 F: University of Georgia Extension, peach chill tables (both definitions);
- Utah units: Richardson E. A., Seeley S. D., Walker D. R., HortScience 9:331-332, 1974, bands in C as in Fresh
  Quarterly 2021, Table 1;
- chill portions: Fishman S., Erez A., Couvillon G. A., Journal of Theoretical Biology 124:473-483, 1987; Erez A. et
  al., Acta Horticulturae 276:165-174, 1990; constants and recursion as restated alike in three public files.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

CHILL_LIMIT_C = 7.2
"""45 F, the upper limit of a chilling hour."""

UTAH_LIMITS_C = (1.4, 2.4, 9.1, 12.4, 15.9, 18.0)
"""Upper limits, inclusive, of the Utah bands; the last band is open."""
UTAH_UNITS = (0.0, 0.5, 1.0, 0.5, 0.0, -0.5, -1.0)


def is_below_7_2c(temperature_c: NDArray[np.floating]) -> NDArray[np.bool_]:
    """Whether each hour is colder than 7.2 C, frost included."""
    return temperature_c < CHILL_LIMIT_C


def is_0_to_7_2c(temperature_c: NDArray[np.floating]) -> NDArray[np.bool_]:
    """Whether each hour lies from 0 to 7.2 C, both ends counted (authors differ about the ends)."""
    return (temperature_c >= 0) & (temperature_c <= CHILL_LIMIT_C)


def hours_below_7_2c(temperature_c: NDArray[np.floating]) -> NDArray[np.intp]:
    """Number of hours colder than 7.2 C, frost included."""
    count: NDArray[np.intp] = np.count_nonzero(is_below_7_2c(temperature_c), axis=0)
    return count


def hours_0_to_7_2c(temperature_c: NDArray[np.floating]) -> NDArray[np.intp]:
    """Number of hours from 0 to 7.2 C, both ends counted (authors differ about the ends)."""
    count: NDArray[np.intp] = np.count_nonzero(is_0_to_7_2c(temperature_c), axis=0)
    return count


def utah_units(temperature_c: NDArray[np.floating]) -> NDArray[np.float32]:
    """Utah chill units of each hour, in the shape of the temperatures: -1 to 1."""
    units = np.zeros(temperature_c.shape, dtype=np.float32)
    for limit, step in zip(UTAH_LIMITS_C, np.diff(UTAH_UNITS), strict=True):
        units += (temperature_c > limit) * np.float32(step)
    return units


def utah_total(temperature_c: NDArray[np.floating]) -> Floats:
    """Sum of Utah units: negative in a warm winter."""
    total: Floats = utah_units(temperature_c).sum(axis=0, dtype=np.float64)
    return total


@dataclass(frozen=True)
class DynamicModel:
    """Constants of the Dynamic Model: slope and temperature (K) of draining, rates (per hour), energies (K)."""

    slope: float = 1.6
    draining_k: float = 277.0
    a0: float = 1.395e5
    a1: float = 2.567e18
    e0: float = 4153.5
    e1: float = 12888.8
    zero_c_in_k: float = 273.0  # the published spreadsheet; 273.15 shifts totals by -3 to +4 %

    def step(self, temperature_c: Floats) -> tuple[Floats, Floats, Floats]:
        """What one hour does to the intermediate product: the share kept, what is added, the share left after draining.

        ``product = kept * entry + added``; a product of 1 or more then loses all but the share left, as portions.
        """
        kelvin = temperature_c + self.zero_c_in_k
        fixed = 1 / (1 + np.exp(self.slope * self.draining_k * (self.draining_k / kelvin - 1)))
        equilibrium = self.a0 / self.a1 * np.exp((self.e1 - self.e0) / kelvin)
        kept = np.exp(-self.a1 * np.exp(-self.e1 / kelvin))
        return kept, equilibrium * (1 - kept), 1 - fixed


PUBLISHED = DynamicModel()

# The three functions of temperature cost four exponentials an hour. They are smooth, so each is taken from a table of
# polynomials, one for each of the intervals around multiples of 1/128 C, through its values at Chebyshev nodes: off by
# less than 1e-12, and a winter's total by less than 1e-10 portions.
COLDEST_C, HOTTEST_C = -90.0, 60.0
"""Range of temperatures that the Dynamic Model is tabulated for."""
_INTERVALS_PER_C = 128
_DEGREES = (2, 2, 3)
_BLOCK_HOURS = 48  # arrays of a block of 200 winters stay in the processor's cache


@lru_cache(maxsize=4)
def _step_tables(model: DynamicModel) -> tuple[tuple[Floats, ...], ...]:
    """Coefficients, lowest power first, of the polynomials of (kept, added, left) in interval units from its middle."""
    middles = COLDEST_C + np.arange(int((HOTTEST_C - COLDEST_C) * _INTERVALS_PER_C) + 1) / _INTERVALS_PER_C
    tables = []
    for function, degree in enumerate(_DEGREES):
        nodes = np.cos(np.pi * (np.arange(degree + 1) + 0.5) / (degree + 1)) / 2
        values = np.stack([model.step(middles + node / _INTERVALS_PER_C)[function] for node in nodes])
        tables.append(tuple(np.linalg.solve(np.vander(nodes, increasing=True), values)))
    return tuple(tables)


class PortionCounter:
    """The Dynamic Model carried from block to block of hours, so that memory stays bounded."""

    def __init__(self, series: tuple[int, ...], model: DynamicModel = PUBLISHED) -> None:
        """Start with an empty intermediate product in every series (an array shape)."""
        self._series = series
        self._tables = _step_tables(model)
        width = math.prod(series)
        self._space = np.empty((5, _BLOCK_HOURS, width))
        self._interval = np.empty((_BLOCK_HOURS, width), dtype=np.intp)
        self._entry = np.zeros(width)  # the intermediate product after draining, before the next hour

    def add(self, temperature_c: NDArray[np.floating]) -> Floats:
        """Portions gained in the next hours (hours, *series) by each series.

        ValueError for a temperature outside -90 to 60 C, or a missing one.
        """
        hours = temperature_c.reshape(len(temperature_c), -1)
        if not len(hours):
            return np.zeros(self._series)
        if not (hours.min() >= COLDEST_C and hours.max() <= HOTTEST_C):
            raise ValueError(f"temperatures must lie between {COLDEST_C:g} and {HOTTEST_C:g} C")
        gained = np.zeros(hours.shape[1])
        for start in range(0, len(hours), _BLOCK_HOURS):
            block = hours[start : start + _BLOCK_HOURS]
            gained += self._add_block(block, self._space[:, : len(block)], self._interval[: len(block)])
        return gained.reshape(self._series)

    def _add_block(self, hours: NDArray[np.floating], space: Floats, interval: NDArray[np.intp]) -> Floats:
        offset, scratch, product, added, entry = space
        np.subtract(hours, COLDEST_C, out=offset)
        offset *= _INTERVALS_PER_C
        np.rint(offset, out=scratch)
        offset -= scratch
        np.copyto(interval, scratch, casting="unsafe")
        for table, result in zip(self._tables, (product, added, entry), strict=True):
            _evaluate(table, interval, offset, result, scratch)
        state = self._entry
        one, short = np.ones_like(state), np.empty(state.shape, dtype=bool)
        # From shares kept, added and left to the product of each hour and what enters the next, hour by hour in place.
        multiply, plus, less, put = np.multiply, np.add, np.less, np.putmask
        for product_row, added_row, entry_row in zip(product, added, entry, strict=True):
            multiply(state, product_row, product_row)
            plus(product_row, added_row, product_row)
            multiply(product_row, entry_row, entry_row)
            less(product_row, one, short)
            put(entry_row, short, product_row)
            state = entry_row
        self._entry = state.copy()
        product -= entry
        gained: Floats = product.sum(axis=0)
        return gained


def _evaluate(
    table: tuple[Floats, ...], interval: NDArray[np.intp], offset: Floats, result: Floats, scratch: Floats
) -> None:
    table[-1].take(interval, out=result, mode="clip")
    for coefficient in reversed(table[:-1]):
        result *= offset
        result += coefficient.take(interval, out=scratch, mode="clip")


def chill_portions(temperature_c: ArrayLike, model: DynamicModel = PUBLISHED) -> Floats:
    """Chill portions gained over all hours (hours, *series): an array of the shape of the series.

    The published recursion, starting from an empty intermediate product: the share drained is that of the hour in
    which the product is full, and its effect is seen in the next hour.
    """
    hours = np.asarray(temperature_c)
    return PortionCounter(hours.shape[1:], model).add(hours)
