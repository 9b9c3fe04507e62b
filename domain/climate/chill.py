"""Winter chill from hourly temperatures: hours, Utah units and their variants, chill portions.

Every function takes temperatures in C, hours on the first axis (an hour-major block: the recursion of the Dynamic
Model runs along it) and any further axes for series, such as winters; results have the shape of the further axes, or
of the input where said. No measure converts into another by a constant: the ratio of hours to portions runs from 0 to
34 over the world (Luedeling E., Brown P. H., International Journal of Biometeorology 55:411-421, 2011, abstract).

Sources:
- hours below 45 F and from 32 to 45 F: University of Georgia Extension, peach chill tables (both definitions);
- Utah units: Richardson E. A., Seeley S. D., Walker D. R., HortScience 9:331-332, 1974, bands in C as in Fresh
  Quarterly 2021, Table 1; positive forms after Linsley-Noakes and others (the daily one is South African practice);
- chill portions: Fishman S., Erez A., Couvillon G. A., Journal of Theoretical Biology 124:473-483, 1987; Erez A. et
  al., Acta Horticulturae 276:165-174, 1990; constants and recursion as restated alike in three public files.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

CHILL_LIMIT_C = 7.2
"""45 F, the upper limit of a chilling hour."""

UTAH_LIMITS_C = (1.4, 2.4, 9.1, 12.4, 15.9, 18.0)
"""Upper limits, inclusive, of the Utah bands; the last band is open."""
UTAH_UNITS = (0.0, 0.5, 1.0, 0.5, 0.0, -0.5, -1.0)


def hours_below_7_2c(temperature_c: NDArray[np.floating]) -> NDArray[np.intp]:
    """Number of hours colder than 7.2 C, frost included."""
    count: NDArray[np.intp] = np.count_nonzero(temperature_c < CHILL_LIMIT_C, axis=0)
    return count


def hours_0_to_7_2c(temperature_c: NDArray[np.floating]) -> NDArray[np.intp]:
    """Number of hours from 0 to 7.2 C, both ends counted (authors differ about the ends)."""
    count: NDArray[np.intp] = np.count_nonzero((temperature_c >= 0) & (temperature_c <= CHILL_LIMIT_C), axis=0)
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


def positive_utah_hourly_total(temperature_c: NDArray[np.floating]) -> Floats:
    """Sum of Utah units with the negative hours left out."""
    total: Floats = np.maximum(utah_units(temperature_c), 0).sum(axis=0, dtype=np.float64)
    return total


def positive_utah_daily_total(temperature_c: NDArray[np.floating]) -> Floats:
    """Sum over days of the day's Utah units, negative days left out; whole days of 24 hours (ValueError if not)."""
    units = utah_units(temperature_c)
    if units.shape[0] % 24:
        raise ValueError("daily positive units need whole days of 24 hours")
    days = units.reshape(-1, 24, *units.shape[1:]).sum(axis=1, dtype=np.float64)
    total: Floats = np.maximum(days, 0).sum(axis=0)
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


PUBLISHED = DynamicModel()


class PortionCounter:
    """The Dynamic Model carried from block to block of hours, so that memory stays bounded."""

    def __init__(self, series: tuple[int, ...], model: DynamicModel = PUBLISHED) -> None:
        """Start with an empty intermediate product in every series."""
        self._model, self._series = model, series
        self._entry = np.zeros(int(np.prod(series)))  # intermediate product after draining, before the next hour

    def add(self, temperature_c: NDArray[np.floating]) -> Floats:
        """Portions gained in each hour of the next block (hours, *series)."""
        model = self._model
        hours = temperature_c.reshape(len(temperature_c), -1).astype(np.float64)
        inverse_k = 1.0 / (hours + model.zero_c_in_k)
        drain = np.exp(model.slope * model.draining_k * (model.draining_k * inverse_k - 1.0))
        drain += 1.0
        np.reciprocal(drain, out=drain)  # xi: share of a full product that is fixed as a portion
        equilibrium = np.exp((model.e1 - model.e0) * inverse_k)
        equilibrium *= model.a0 / model.a1
        inverse_k *= -model.e1
        keep = np.exp(inverse_k, out=inverse_k)
        keep *= -model.a1
        np.exp(keep, out=keep)
        gain = equilibrium
        gain *= 1.0 - keep
        left = 1.0 - drain
        state = self._entry
        drained = np.empty_like(state)
        full = np.empty(state.shape, dtype=bool)
        one = np.ones_like(state)
        product, entry = keep, np.empty_like(keep)
        for keep_hour, gain_hour, left_hour, entry_hour in zip(keep, gain, left, entry, strict=True):
            np.multiply(state, keep_hour, keep_hour)
            np.add(keep_hour, gain_hour, keep_hour)  # the intermediate product of this hour
            np.multiply(keep_hour, left_hour, drained)
            np.greater_equal(keep_hour, one, full)
            entry_hour[...] = keep_hour
            np.putmask(entry_hour, full, drained)
            state = entry_hour
        self._entry = state.copy()
        product -= entry
        return product.reshape(-1, *self._series)


def chill_portions(temperature_c: ArrayLike, model: DynamicModel = PUBLISHED) -> Floats:
    """Chill portions gained over all hours (hours, *series): an array of the shape of the series.

    Exactly the published recursion, starting from an empty intermediate product: the share drained is that of the hour
    in which the product is full, and its effect is seen in the next hour.
    """
    hours = np.asarray(temperature_c)
    total: Floats = PortionCounter(hours.shape[1:], model).add(hours).sum(axis=0)
    return total
