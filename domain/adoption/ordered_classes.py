"""Classes as ordered observations: the thresholds of a scheme, estimated from cultivars that other lists know.

A class says that a position with a logistic error lies between two thresholds (the cumulative-logit model of McCullagh
P., Regression models for ordinal data, JRSS B 42, 1980; cited from memory, not read).
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

LOGISTIC_SCALE = np.sqrt(3.0) / np.pi
"""Scale of a logistic distribution of standard deviation one."""
ABSENT = 1e9
"""Stands for a bound that is not there."""
_RESIDUALS_TRIED = np.geomspace(0.4, 2.5, 11)


@dataclass(frozen=True)
class Classed:
    """Classed cultivars as the other lists know them: position's mean and variance, class from 0, weight; (n,) each."""

    mean: Floats
    variance: Floats
    level: Ints
    share: Floats


def sigmoid(x: Floats) -> Floats:
    """Distribution function of the standard logistic distribution, of any shape, without overflow."""
    return np.asarray(0.5 * (1.0 + np.tanh(0.5 * x)), dtype=np.float64)


def even_thresholds(levels: int, spread: float) -> Floats:
    """Thresholds that cut a logistic population of this spread into equal parts, (levels - 1,)."""
    share = np.arange(1, levels) / levels
    return np.asarray(np.log(share / (1.0 - share)) * spread * LOGISTIC_SCALE, dtype=np.float64)


def estimated_thresholds(
    classed: Classed, *, levels: int, spread: float, usual_residual: float, residual_count: float, level_count: float
) -> tuple[float, Floats]:
    """(error, thresholds) of a scheme: of the errors tried, the likeliest, with thresholds that reproduce the counts.

    spread: of positions in the population. usual_residual: typical error of a scheme, weighing residual_count values.
    level_count: number of cultivars, spread evenly over the classes, that are added to those seen.
    """
    residual = usual_residual * _RESIDUALS_TRIED
    scale = np.sqrt(residual[:, None] ** 2 + classed.variance) * LOGISTIC_SCALE
    cuts = _reproducing_counts(classed, scale, levels, np.hypot(spread, residual), level_count)
    ends = np.full((len(residual), 1), ABSENT)
    edges = np.concatenate([-ends, cuts, ends], axis=1)
    above, below = edges[:, classed.level + 1], edges[:, classed.level]
    chance = sigmoid((above - classed.mean) / scale) - sigmoid((below - classed.mean) / scale)
    likelihood = np.sum(classed.share * np.log(np.maximum(chance, 1e-9)), axis=1)
    likelihood -= 0.5 * residual_count * np.log(residual / usual_residual) ** 2
    best = int(np.argmax(likelihood))
    return float(residual[best]), cuts[best]


def _reproducing_counts(classed: Classed, scale: Floats, levels: int, spread: Floats, level_count: float) -> Floats:
    """Thresholds at which the expected number in the lower classes equals the number seen, by bisection.

    scale (r, n) and spread (r,) for r errors tried; answers (r, levels - 1).
    """
    target = np.arange(1, levels) / levels * level_count
    target = target + np.array([classed.share[classed.level < k].sum() for k in range(1, levels)])
    high = np.repeat(6.0 * spread[:, None], levels - 1, axis=1)
    low = -high
    for _ in range(20):
        middle = 0.5 * (low + high)
        chance = sigmoid((middle[:, :, None] - classed.mean) / scale[:, None, :])
        seen = np.einsum("n,rkn->rk", classed.share, chance)
        seen = seen + level_count * sigmoid(middle / (spread[:, None] * LOGISTIC_SCALE))
        low, high = np.where(seen < target, middle, low), np.where(seen < target, high, middle)
    return np.asarray(0.5 * (low + high), dtype=np.float64)
