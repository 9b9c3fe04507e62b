"""The Gaussian part of the mixed model against an independent maximisation of its marginal posterior.

With errors as good as normal, positions integrate out in closed form: the values of a cultivar are jointly normal with
covariance slope_j slope_k spread^2 + [j = k] residual_j^2. Here that density, with the stated weights of the
expectations, is written down directly and maximised by a general optimiser; the model climbs it by
expectation-maximisation. Positions at the maximum are then least squares with one more row a prior.
"""

from collections.abc import Iterator

import msgspec
import numpy as np
import pytest
from scipy.optimize import minimize

from domain.adoption import mixed_model
from domain.adoption.mixed_model import Expectations, Readings, Series
from domain.adoption.mixed_model_fit import fit

Floats = np.ndarray[tuple[int, ...], np.dtype[np.float64]]

CULTIVARS, LISTS = 14, 3
EXPECTED = Expectations(
    spread=8.0,
    residual={"dates": 3.0},
    shift_sd={"dates": 6.0},
    coefficient_mean=(100.0,),
    coefficient_sd=(10.0,),
)
SLOPE_DEVIATION = 0.15
ITERATIONS = 1500


@pytest.fixture
def normal_errors() -> Iterator[None]:
    """Errors of so many degrees of freedom that they are normal."""
    before = mixed_model.FIGURES.degrees_of_freedom
    msgspec.structs.force_setattr(mixed_model.FIGURES, "degrees_of_freedom", 1e9)
    yield
    msgspec.structs.force_setattr(mixed_model.FIGURES, "degrees_of_freedom", before)


def values() -> Floats:
    """Dates of every cultivar in every list, (cultivars, lists), NaN where a list lacks one."""
    rng = np.random.default_rng(11)
    true = rng.normal(0.0, 8.0, CULTIVARS)
    told = np.array([100.0, 108.0, 95.0]) + np.outer(true, [1.0, 0.85, 1.2])
    told += rng.normal(0.0, [2.0, 4.0, 2.5], told.shape)
    told[rng.random(told.shape) < 0.25] = np.nan
    return np.asarray(told)


def readings(told: Floats) -> Readings:
    """The same values as the model takes them."""
    cultivar, series = np.nonzero(~np.isnan(told))
    n = len(cultivar)
    return Readings(
        cultivar=cultivar.astype(np.int64),
        series=series.astype(np.int64),
        value=told[cultivar, series],
        extra_variance=np.zeros(n),
        share=np.ones(n),
        censored=np.zeros(n, dtype=np.int64),
    )


def minus_log_posterior(parameters: Floats, told: Floats) -> float:
    """Of shifts, slopes, log residuals, log spread and the level that predicts shifts; positions integrated out."""
    shift, slope, log_residual = parameters[:LISTS], parameters[LISTS : 2 * LISTS], parameters[2 * LISTS : 3 * LISTS]
    spread, level = np.exp(parameters[-2]), parameters[-1]
    residual = np.exp(log_residual)
    total = 0.0
    for row in told:
        seen = ~np.isnan(row)
        if seen.any():
            covariance = np.outer(slope[seen], slope[seen]) * spread**2 + np.diag(residual[seen] ** 2)
            gap = row[seen] - shift[seen]
            total -= 0.5 * (np.linalg.slogdet(covariance)[1] + gap @ np.linalg.solve(covariance, gap))
    total -= 0.5 * np.sum((shift - level) ** 2) / EXPECTED.shift_sd["dates"] ** 2
    total -= 0.5 * (level - EXPECTED.coefficient_mean[0]) ** 2 / EXPECTED.coefficient_sd[0] ** 2
    total -= 0.5 * np.sum((slope - 1.0) ** 2) / SLOPE_DEVIATION**2
    usual = EXPECTED.residual["dates"]
    total -= 0.5 * EXPECTED.residual_count * np.sum(2.0 * log_residual + (usual / residual) ** 2)
    total -= 0.5 * mixed_model.FIGURES.spread_count * (2.0 * np.log(spread) + (EXPECTED.spread / spread) ** 2)
    return -float(total)


def least_squares(told: Floats, shift: Floats, slope: Floats, residual: Floats, spread: float) -> tuple[Floats, Floats]:
    """Position of each cultivar and its variance about given lists, by rows scaled to unit error."""
    found = []
    for row in told:
        seen = ~np.isnan(row)
        design = np.append(slope[seen] / residual[seen], 1.0 / spread)[:, None]
        right = np.append((row[seen] - shift[seen]) / residual[seen], 0.0)
        position = np.linalg.lstsq(design, right, rcond=None)[0][0]
        found.append((position, 1.0 / float((design**2).sum())))
    return np.array(found).T[0], np.array(found).T[1]


@pytest.mark.usefixtures("normal_errors")
def test_the_model_climbs_to_the_maximum_of_its_own_density() -> None:
    told = values()
    lists = tuple(Series(name, "dates", name, (1.0,), slope_sd=SLOPE_DEVIATION) for name in "abc")
    result = fit(readings(told), lists, EXPECTED, CULTIVARS, iterations=ITERATIONS)

    start = np.concatenate([[100.0] * LISTS, [1.0] * LISTS, [np.log(3.0)] * LISTS, [np.log(8.0), 100.0]])
    best = minimize(minus_log_posterior, start, (told,), method="L-BFGS-B", options={"maxiter": 4000, "ftol": 1e-14})
    shift, slope, residual = best.x[:LISTS], best.x[LISTS : 2 * LISTS], np.exp(best.x[2 * LISTS : 3 * LISTS])
    spread = float(np.exp(best.x[-2]))
    np.testing.assert_allclose(result.shift, shift, atol=0.02)
    np.testing.assert_allclose(result.slope, slope, atol=0.002)
    np.testing.assert_allclose(result.residual, residual, atol=0.01)
    assert result.spread == pytest.approx(spread, abs=0.02)
    position, variance = least_squares(told, shift, slope, residual, spread)
    np.testing.assert_allclose(result.position, position, atol=0.02)
    assert np.all(result.variance >= variance - 0.01)


@pytest.mark.usefixtures("normal_errors")
def test_variance_of_positions_holds_what_is_not_known_of_the_lists() -> None:
    """Against the diagonal of the inverse of the joint normal matrix of positions and shifts, slopes held at 1."""
    told = values()
    cultivar, series = np.nonzero(~np.isnan(told))
    n = len(cultivar)
    lists = tuple(Series(name, "dates", name, (1.0,), slope_sd=1e-6) for name in "abc")
    result = fit(readings(told), lists, EXPECTED, CULTIVARS, iterations=ITERATIONS)

    rows = np.zeros((n + CULTIVARS + LISTS, CULTIVARS + LISTS))
    rows[np.arange(n), cultivar] = rows[np.arange(n), CULTIVARS + series] = 1.0 / result.residual[series]
    rows[n : n + CULTIVARS, :CULTIVARS] = np.eye(CULTIVARS) / result.spread
    rows[n + CULTIVARS :, CULTIVARS:] = np.eye(LISTS) / EXPECTED.shift_sd["dates"]
    right = np.concatenate(
        [
            told[cultivar, series] / result.residual[series],
            np.zeros(CULTIVARS),
            np.full(LISTS, result.coefficients[0] / EXPECTED.shift_sd["dates"]),
        ]
    )
    solved = np.linalg.lstsq(rows, right, rcond=None)[0]
    covariance = np.linalg.inv(rows.T @ rows)
    np.testing.assert_allclose(result.position, solved[:CULTIVARS], atol=0.005)
    np.testing.assert_allclose(result.shift, solved[CULTIVARS:], atol=0.005)
    np.testing.assert_allclose(result.variance, np.diag(covariance)[:CULTIVARS], rtol=1e-3)
