"""Fits the mixed model of `mixed_model` by expectation-maximisation.

One step estimates positions from lists, then shifts and slopes of lists from positions, then thresholds of classes and
all variances; `fit` takes a fixed number of steps.

Method: expectation-maximisation for the linear mixed model with missing random effects (Laird N.M., Ware J.H.:
Random-effects models for longitudinal data, Biometrics 38, 1982), t errors as a scale mixture (Lange K.L., Little
R.J.A., Taylor J.M.G.: Robust statistical modeling using the t distribution, JASA 84, 1989), ordered classes by
cumulative logits (McCullagh P.: Regression models for ordinal data, JRSS B 42, 1980). Cited from memory, not read; a
test holds the Gaussian part against a general optimiser of the same density and against least squares.
"""

import numpy as np

from domain.adoption.mixed_model import FIGURES, Expectations, Fit, Readings, Series
from domain.adoption.ordered_classes import (
    ABSENT,
    LOGISTIC_SCALE,
    Classed,
    Floats,
    estimated_thresholds,
    even_thresholds,
    sigmoid,
)

ITERATIONS = 200


def fit(
    readings: Readings,
    series: tuple[Series, ...],
    expectations: Expectations,
    cultivars: int,
    *,
    prior_mean: Floats | None = None,
    prior_variance_share: Floats | None = None,
    start: Fit | None = None,
    iterations: int = ITERATIONS,
) -> Fit:
    """Fit the model; prior_mean and prior_variance_share (share of spread^2, per cultivar) default to 0 and 1.

    start: a fit with the same cultivars and series to begin from. The number of iterations is fixed, so that rounding
    cannot decide when to stop: after `ITERATIONS` positions of the committed tables lie within 0.01 d of their limit.
    """
    state = _State(
        readings,
        series,
        expectations,
        cultivars,
        prior_mean=prior_mean,
        prior_variance_share=prior_variance_share,
        start=start,
    )
    for step in range(iterations):
        state.update_positions()
        state.update_lists()
        if step % 8 == 4:
            state.update_thresholds()
        state.update_variances()
    return state.result()


class _State:
    """The running estimates of one fit; every method is one step of expectation-maximisation."""

    def __init__(
        self,
        readings: Readings,
        series: tuple[Series, ...],
        expectations: Expectations,
        cultivars: int,
        *,
        prior_mean: Floats | None,
        prior_variance_share: Floats | None,
        start: Fit | None,
    ) -> None:
        self.expect = expectations
        self.series = series
        self.count = cultivars
        self.prior_mean = np.zeros(cultivars) if prior_mean is None else prior_mean
        self.prior_share = np.ones(cultivars) if prior_variance_share is None else prior_variance_share
        levels = np.array([s.levels for s in series], dtype=np.int64)
        classed = levels[readings.series] > 0
        self.is_class = classed
        self.interval = classed | (readings.censored != 0)
        self.r = readings
        groups = sorted({(s.group, s.kind) for s in series})
        index = {g: k for k, g in enumerate(groups)}
        self.group = np.array([index[s.group, s.kind] for s in series], dtype=np.int64)
        self.residual_prior = np.array([expectations.residual[kind] ** 2 for _, kind in groups])
        self.kinds = sorted({s.kind for s in series})
        self.kind = np.array([self.kinds.index(s.kind) for s in series], dtype=np.int64)
        self.design = np.array([s.covariates for s in series], dtype=np.float64)
        self.dated = levels == 0
        self.used = np.bincount(readings.series, minlength=len(series)) > 0
        self.slope_base = np.array([s.slope for s in series])
        self.slope_design = np.array([s.slope_covariates for s in series], dtype=np.float64)
        self.slope_mean = self.slope_base.copy()
        self.slope_precision = 1.0 / np.array([s.slope_sd for s in series]) ** 2
        self.shift_variance = np.array([expectations.shift_sd[k] ** 2 for k in self.kinds])
        self.coefficients = np.array(expectations.coefficient_mean, dtype=np.float64)
        self.slope_coefficients = np.zeros(self.slope_design.shape[1])
        self.spread = expectations.spread
        self.position = self.prior_mean.copy()
        self.variance = np.full(cultivars, self.spread**2)
        self.slope = self.slope_mean.copy()
        self.group_variance = self.residual_prior.copy()
        self.thresholds = {
            j: even_thresholds(s.levels, np.sqrt(self.spread**2 + expectations.residual[s.kind] ** 2))
            for j, s in enumerate(series)
            if s.levels
        }
        self.shift = np.where(self.dated, self.design @ self.coefficients, 0.0)
        if start is not None:
            self.position, self.variance = start.position.copy(), start.variance.copy()
            self.shift, self.slope = start.shift.copy(), start.slope.copy()
            self.thresholds = dict(start.thresholds)
            self.coefficients, self.spread = start.coefficients.copy(), start.spread
            self.group_variance[self.group] = start.residual**2
        else:
            self._first_shifts()
        self.rows_of_scheme = {j: np.flatnonzero(readings.series == j) for j in self.thresholds}
        self._set_bounds()
        self.weight = readings.share.copy()
        self.scheme_variance = np.where(self.dated, 0.0, (FIGURES.unplaced_share * self.spread) ** 2)
        self.shift_certainty = np.ones(len(series))

    def _first_shifts(self) -> None:
        """Begin each list of numbers between its prediction and the mean of its values."""
        plain = ~self.is_class
        n = np.bincount(self.r.series[plain], minlength=len(self.series)).astype(np.float64)
        total = np.bincount(self.r.series[plain], self.r.value[plain], minlength=len(self.series))
        noise = self.spread**2 + self.residual_prior[self.group]
        share = n / (n + noise / self.shift_variance[self.kind])
        mean = total / np.maximum(n, 1.0)
        self.shift = np.where(self.dated, share * mean + (1.0 - share) * self.shift, 0.0)

    def _set_bounds(self) -> None:
        """Lower and upper bound of every value that is an interval, at the present thresholds."""
        self.lower = np.where(self.r.censored > 0, self.r.value, -ABSENT)
        self.upper = np.where(self.r.censored < 0, self.r.value, ABSENT)
        for j, cut in self.thresholds.items():
            rows = self.rows_of_scheme[j]
            edges = np.concatenate([[-ABSENT], cut, [ABSENT]])
            level = self.r.value[rows].astype(np.int64)
            self.lower[rows], self.upper[rows] = edges[level], edges[level + 1]

    def _working(self) -> tuple[Floats, Floats]:
        """Working precision and working value of every reading at the present estimates, (n,) and (n,)."""
        r = self.r
        slope, position = self.slope[r.series], self.position[r.cultivar]
        expected = self.shift[r.series] + slope * position
        variance = self.group_variance[self.group[r.series]] + r.extra_variance
        square = (r.value - expected) ** 2 + slope**2 * self.variance[r.cultivar]
        self.weight = (FIGURES.degrees_of_freedom + 1.0) / (FIGURES.degrees_of_freedom + square / variance)
        precision = r.share * self.weight / variance
        value = r.value.copy()
        if self.interval.any():
            rows = self.interval
            lower, upper = self.lower[rows], self.upper[rows]
            scale = np.sqrt(variance[rows] + self.scheme_variance[r.series[rows]]) * LOGISTIC_SCALE
            below = sigmoid((lower - expected[rows]) / scale)
            above = sigmoid((upper - expected[rows]) / scale)
            gradient = -(1.0 - above - below) / scale
            curvature = (above * (1.0 - above) + below * (1.0 - below)) / scale**2
            curvature = np.maximum(curvature, 0.04 / scale**2)
            precision[rows] = r.share[rows] * curvature
            value[rows] = expected[rows] + gradient / curvature
        self.precision, self.value = precision, value
        return precision, value

    def update_positions(self) -> None:
        """Posterior mean and variance of every position."""
        precision, value = self._working()
        r = self.r
        slope = self.slope[r.series]
        prior = 1.0 / (self.spread**2 * self.prior_share)
        total = prior + np.bincount(r.cultivar, precision * slope**2, minlength=self.count)
        right = prior * self.prior_mean + np.bincount(
            r.cultivar, precision * slope * (value - self.shift[r.series]), minlength=self.count
        )
        self.position, self.variance = right / total, 1.0 / total

    def update_lists(self) -> None:
        """Shift and slope of every list of numbers, then the regression that predicts shifts."""
        precision, value = self._working()
        plain = ~self.is_class
        j, size = self.r.series[plain], len(self.series)
        p, y = precision[plain], value[plain]
        m = self.position[self.r.cultivar[plain]]
        # a working value of an interval is made at the position itself, so that its uncertainty does not enter again
        v = np.where(self.interval[plain], 0.0, self.variance[self.r.cultivar[plain]])
        predicted = self.design @ self.coefficients
        shift_precision = 1.0 / self.shift_variance[self.kind]
        a11 = np.bincount(j, p, minlength=size) + shift_precision
        a12 = np.bincount(j, p * m, minlength=size)
        a22 = np.bincount(j, p * (m**2 + v), minlength=size) + self.slope_precision
        b1 = np.bincount(j, p * y, minlength=size) + shift_precision * predicted
        b2 = np.bincount(j, p * m * y, minlength=size) + self.slope_precision * self.slope_mean
        determinant = a11 * a22 - a12**2
        slope = np.clip((a11 * b2 - a12 * b1) / determinant, FIGURES.slope_least, FIGURES.slope_most)
        self.slope = np.where(self.dated, slope, 1.0)
        self.shift = np.where(self.dated, (b1 - a12 * self.slope) / a11, 0.0)
        self.shift_certainty = a22 / determinant
        rows = self.dated & self.used
        design, weight = self.design[rows], shift_precision[rows]
        ridge = 1.0 / np.array(self.expect.coefficient_sd) ** 2
        normal = design.T @ (weight[:, None] * design) + np.diag(ridge)
        right = design.T @ (weight * self.shift[rows]) + ridge * np.array(self.expect.coefficient_mean)
        self.coefficients = np.linalg.solve(normal, right)
        weight = np.where(rows, 1.0 / (1.0 / self.slope_precision + a11 / determinant), 0.0)
        ridge = np.full(self.slope_design.shape[1], 1.0 / self.expect.slope_coefficient_sd**2)
        normal = self.slope_design.T @ (weight[:, None] * self.slope_design) + np.diag(ridge)
        learnt = np.linalg.solve(normal, self.slope_design.T @ (weight * (slope - self.slope_base)))
        slope_mean = self.slope_base + self.slope_design @ learnt
        self.slope_mean = np.clip(slope_mean, FIGURES.slope_least, FIGURES.slope_most)
        self.slope_coefficients = learnt

    def update_variances(self) -> None:
        """Residual variance per document, variance of shifts per kind, spread of positions."""
        r, plain = self.r, ~self.interval
        j, i = r.series[plain], r.cultivar[plain]
        slope = self.slope[j]
        error = (r.value[plain] - self.shift[j] - slope * self.position[i]) ** 2 + slope**2 * self.variance[i]
        base, extra = self.group_variance[self.group[j]], r.extra_variance[plain]
        part = base / (base + extra)
        own = part**2 * self.weight[plain] * error + part * extra
        size, prior = len(self.group_variance), self.expect.residual_count
        n = np.bincount(self.group[j], r.share[plain], minlength=size)
        total = np.bincount(self.group[j], r.share[plain] * own, minlength=size)
        numbers = np.zeros(size, dtype=bool)
        numbers[self.group[self.dated]] = True
        fresh = (total + prior * self.residual_prior) / (n + prior)
        self.group_variance = np.where(numbers, fresh, self.group_variance)
        gap = (self.shift - self.design @ self.coefficients) ** 2 + self.shift_certainty
        for k, kind in enumerate(self.kinds):
            if kind in self.expect.shift_learnt:
                rows = self.dated & self.used & (self.kind == k)
                count, base_variance = self.expect.shift_count, self.expect.shift_sd[kind] ** 2
                self.shift_variance[k] = (gap[rows].sum() + count * base_variance) / (rows.sum() + count)
        square = ((self.position - self.prior_mean) ** 2 + self.variance) / self.prior_share
        weight = FIGURES.spread_count
        self.spread = float(np.sqrt((square.sum() + weight * self.expect.spread**2) / (self.count + weight)))

    def update_thresholds(self) -> None:
        """Thresholds and error of each scheme of classes, from what the other lists say of its cultivars."""
        r, expect = self.r, self.expect
        for j in self.thresholds:
            rows = self.rows_of_scheme[j]
            i, level = r.cultivar[rows], r.value[rows].astype(np.int64)
            own = self.precision[rows]
            rest = np.maximum(1.0 / self.variance[i] - own, 1.0 / (2.0 * self.spread**2 * self.prior_share[i]))
            mean = (self.position[i] / self.variance[i] - own * self.value[rows]) / rest
            known = 1.0 / rest < FIGURES.known_share * self.spread**2
            unplaced = expect.level_count / (expect.level_count + float(known.sum()))
            self.scheme_variance[j] = (FIGURES.unplaced_share * self.spread) ** 2 * unplaced
            if known.sum() < FIGURES.fewest_known:
                continue
            mean, variance, level, share = mean[known], 1.0 / rest[known], level[known], r.share[rows][known]
            residual, self.thresholds[j] = estimated_thresholds(
                Classed(mean, variance, level, share),
                levels=self.series[j].levels,
                spread=self.spread,
                usual_residual=expect.residual[self.series[j].kind],
                residual_count=expect.residual_count,
                level_count=expect.level_count,
            )
            self.group_variance[self.group[j]] = residual**2
        self._set_bounds()

    def result(self) -> Fit:
        """The fit, positions' variance widened by what is not known of shifts and slopes."""
        self._working()
        return Fit(
            position=self.position,
            variance=self.variance + self._list_variance(),
            shift=self.shift,
            slope=self.slope,
            residual=np.sqrt(self.group_variance[self.group]),
            thresholds=dict(self.thresholds),
            coefficients=self.coefficients,
            slope_coefficients=self.slope_coefficients,
            spread=self.spread,
        )

    def _list_variance(self) -> Floats:
        """Variance of positions that comes from shifts and slopes: Schur complement of the joint information."""
        plain = ~self.is_class
        j, i, p = self.r.series[plain], self.r.cultivar[plain], self.precision[plain]
        m, slope, size = self.position[i], self.slope[j], len(self.series)
        cross = np.zeros((self.count, 2 * size))
        np.add.at(cross, (i, j), p * slope)
        np.add.at(cross, (i, size + j), p * slope * m)
        information = np.zeros((2 * size, 2 * size))
        k = np.arange(size)
        information[k, k] = np.bincount(j, p, minlength=size) + 1.0 / self.shift_variance[self.kind]
        both = np.bincount(j, p * m, minlength=size)
        information[k, size + k] = both
        information[size + k, k] = both
        information[size + k, size + k] = np.bincount(j, p * m**2, minlength=size) + self.slope_precision
        information -= cross.T @ (self.variance[:, None] * cross)
        covariance = np.linalg.inv(information + 1e-9 * np.eye(2 * size))
        return np.asarray(np.einsum("ik,kl,il->i", cross, covariance, cross, optimize=True) * self.variance**2)
