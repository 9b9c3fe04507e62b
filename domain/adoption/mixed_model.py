"""A robust mixed model that puts cultivars on one axis from many lists, each with a shift and a scale of its own.

A list j (`Series`) reads the position u_i of a cultivar as

    y_ij = shift_j + slope_j u_i + e_ij,   u_i ~ N(prior_i, spread^2),   e_ij ~ t(residual^2 + extra variance)

Positions are random effects; the shift of a list is shrunk toward what its covariates (place, kind) predict, its slope
toward the expectation of its kind, so that a list of two names borrows nearly all from its place and cannot float
free. Errors follow Student's t (gross errors lose their weight) with one residual variance per document, learnt from
how well the document agrees with the others. Classes are ordered observations: thresholds of their own per scheme,
logistic errors (the cumulative-logit model). A value cut off at an end of the season is an interval open to that side.

Here stand what is read, what is expected and what comes out; `mixed_model_fit` does the fitting.
"""

from dataclasses import dataclass, field, replace

import msgspec
import numpy as np

from domain.adoption.ordered_classes import Floats, Ints
from domain.tables.parameters import figures


class ModelFigures(msgspec.Struct, frozen=True):
    """What the model takes as given of every axis."""

    degrees_of_freedom: float
    slope_least: float
    slope_most: float
    fewest_known: int
    unplaced_share: float
    known_share: float
    spread_count: float
    slope_coefficient_deviation: float
    shift_count: float
    level_count: float
    residual_count: float


FIGURES = figures("adoption", "mixed_model", ModelFigures)


@dataclass(frozen=True)
class Series:
    """One list: what is expected of it before its values are seen.

    kind: lists of one kind share the variance of their shifts. group: the document; lists of a group and kind share the
    residual variance. covariates: row of the regression that predicts the shift; slope_covariates: of the one that
    predicts how far the slope lies from `slope` (rows of one length in all series). levels: 0 for a list of numbers,
    else the number of ordered classes, whose thresholds replace shift and slope.
    """

    name: str
    kind: str
    group: str
    covariates: tuple[float, ...]
    slope_covariates: tuple[float, ...] = (0.0,)
    slope: float = 1.0
    slope_sd: float = 0.15
    levels: int = 0


@dataclass(frozen=True)
class Expectations:
    """What is assumed before any list is read; every figure in units of the axis (days).

    spread: of positions. residual: typical error of a list, by kind. shift_sd: of a shift about its prediction, by
    kind. coefficient_mean, coefficient_sd: ridge of the covariates of shifts. slope_coefficient_sd: ridge of the
    covariates of slopes, about 0 and without unit. shift_learnt: kinds whose shift_sd is learnt. residual_count,
    shift_count, level_count: how many values the expectations weigh as.
    """

    spread: float
    residual: dict[str, float]
    shift_sd: dict[str, float]
    coefficient_mean: tuple[float, ...]
    coefficient_sd: tuple[float, ...]
    slope_coefficient_sd: float = field(default_factory=lambda: FIGURES.slope_coefficient_deviation)
    shift_learnt: frozenset[str] = frozenset()
    residual_count: float = field(default_factory=lambda: FIGURES.residual_count)
    shift_count: float = field(default_factory=lambda: FIGURES.shift_count)
    level_count: float = field(default_factory=lambda: FIGURES.level_count)


@dataclass(frozen=True)
class Readings:
    """Values of cultivars in lists, one a row; all arrays of length n.

    cultivar, series: indices. value: number, or index of the class from 0. extra_variance: of the value itself (half
    a window's width). share: weight below one for values that repeat each other. censored: 1 where the true value is
    at or above `value`, -1 where at or below it, else 0.
    """

    cultivar: Ints
    series: Ints
    value: Floats
    extra_variance: Floats
    share: Floats
    censored: Ints


@dataclass(frozen=True)
class Fit:
    """Positions and lists as fitted.

    position, variance: posterior mean and variance of u by cultivar, the variance including that of shifts and slopes.
    shift, slope: by series. residual: standard deviation of the error by series. thresholds: by series of classes.
    coefficients, slope_coefficients: of the regressions of shifts and slopes. spread: standard deviation of positions.
    """

    position: Floats
    variance: Floats
    shift: Floats
    slope: Floats
    residual: Floats
    thresholds: dict[int, Floats] = field(default_factory=dict)
    coefficients: Floats = field(default_factory=lambda: np.zeros(0))
    slope_coefficients: Floats = field(default_factory=lambda: np.zeros(0))
    spread: float = 1.0


def rescaled(result: Fit, factor: float, origin: float) -> Fit:
    """The same fit with positions (u - origin) * factor; lists follow, so that predictions stay equal."""
    return replace(
        result,
        position=(result.position - origin) * factor,
        variance=result.variance * factor**2,
        shift=result.shift + result.slope * origin,
        slope=result.slope / factor,
        thresholds={j: (cut - origin) * factor for j, cut in result.thresholds.items()},
        spread=result.spread * factor,
    )
