"""Chill portions and growing degree hours of simulated days, from tables by temperature.

What an hour does to the Dynamic Model, and its growing degree hours, are functions of its temperature alone. For days
whose hours are made from their extremes, and are no better known than to a degree, each hour takes them from a table of
every 1/1024 C, all of them in one read, since they lie together. A temperature is so rounded by at most 0.0005 C: now
and then a packet closes an hour earlier or later, which moves the portions of one season by less than 1.5 and their
mean over a hundred seasons by less than 0.05; degree hours by less than a thousandth. The hours of a record are counted
so too; `domain.weather.chill` counts hours without such rounding.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from domain.weather import heat
from domain.weather.chill import COLDEST_C, HOTTEST_C, PUBLISHED

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

STEPS_PER_C = 1024
_BLOCK_HOURS = 96  # arrays of a block of 200 winters stay in the processor's cache

Index = NDArray[np.intp]
"""Temperatures as places in the tables by temperature."""


def table_temperatures() -> Floats:
    """The temperatures (C) of the places of a table, COLDEST_C to HOTTEST_C."""
    return COLDEST_C + np.arange(int((HOTTEST_C - COLDEST_C) * STEPS_PER_C) + 1) / STEPS_PER_C


def as_steps(temperature_c: NDArray[np.floating]) -> NDArray[np.float32]:
    """Temperatures in steps of the tables, half a step up, so that to cut a step off is to round it.

    Hours between two temperatures may be made of the steps of these.
    """
    steps: NDArray[np.float32] = ((temperature_c - COLDEST_C) * STEPS_PER_C + 0.5).astype(np.float32)
    return steps


@lru_cache(maxsize=1)
def _hour_table() -> NDArray[np.complex128]:
    """Kept, added, left and growing degree hours at `table_temperatures`: four singles in the place of one number."""
    middles = table_temperatures()
    columns = (*PUBLISHED.step(middles), heat.growing_degree_hours(middles))
    table: NDArray[np.complex128] = np.stack(columns, axis=1).astype(np.float32).view(np.complex128)[:, 0].copy()
    return table


@lru_cache(maxsize=1)
def _degree_hour_table() -> NDArray[np.float32]:
    return heat.growing_degree_hours(table_temperatures()).astype(np.float32)


def degree_hours(index: Index) -> NDArray[np.float32]:
    """Growing degree hours (days, n) of days of hours (days, 24, n), as places in the tables."""
    total: Singles = _degree_hour_table().take(index, mode="clip").sum(axis=1)
    return total


class DayCounter:
    """The Dynamic Model carried from day to day, degree hours beside it, in blocks so that memory stays bounded."""

    def __init__(self, width: int) -> None:
        """Start with an empty intermediate product in each of so many seasons."""
        self._read = np.empty((_BLOCK_HOURS, width), dtype=np.complex128)
        self._steps = np.empty((3, _BLOCK_HOURS, width), dtype=np.float32)
        self._rows = tuple(zip(*(tuple(part) for part in self._steps), strict=True))
        self._entry = np.zeros(width, dtype=np.float32)  # the product after draining, before the next hour
        self._one, self._short = np.ones_like(self._entry), np.empty(width, dtype=np.bool_)

    def add(self, index: Index) -> tuple[Singles, Singles]:
        """Portions and growing degree hours of the next days, both (days, n), of hours (days, 24, n) as places."""
        degree_hours = np.empty((len(index), index.shape[2]), dtype=np.float32)
        return self.portions(index, degree_hours), degree_hours

    def portions(self, index: Index, degree_hours: Singles | None = None) -> Singles:
        """Portions alone; degree hours go where they are wanted."""
        days, hours, width = index.shape
        portions = np.empty((days, width), dtype=np.float32)
        at_once = _BLOCK_HOURS // hours
        for start in range(0, days, at_once):
            block = index[start : start + at_once]
            by_day = slice(start, start + len(block))
            read = self._gain(block.reshape(-1, width))
            gains = self._steps[0, : len(read)].reshape(block.shape)
            gains.sum(axis=1, out=portions[by_day])
            if degree_hours is not None:
                read[..., 3].reshape(block.shape).sum(axis=1, out=degree_hours[by_day])
        return portions

    def _gain(self, index: Index) -> Singles:
        """Put the portions gained in each hour (hours, n) in the place of the first steps; what was read comes back."""
        read = _hour_table().take(index, out=self._read[: len(index)], mode="clip")
        columns: Singles = read.view(np.float32).reshape(*index.shape, 4)
        steps = self._steps[:, : len(index)]
        np.copyto(steps, np.moveaxis(columns, 2, 0)[:3])
        state, one, short = self._entry, self._one, self._short
        # From shares kept, added and left to the product of each hour and what enters the next, hour by hour in place.
        multiply, plus, less, put = np.multiply, np.add, np.less, np.putmask
        for product, added, entry in self._rows[: len(index)]:
            multiply(state, product, product)
            plus(product, added, product)
            multiply(product, entry, entry)
            less(product, one, short)
            put(entry, short, product)
            state = entry
        self._entry = state.copy()
        products, _, entries = steps
        np.subtract(products, entries, out=products)
        return columns
