"""The normal distribution against the error function and its exact quantiles."""

import math
from statistics import NormalDist

import numpy as np
import pytest

from domain.common.distributions import PERCENTILE_80, PERCENTILE_90, normal_cdf, normal_quantile, rises


def test_the_logistic_form_of_the_normal_distribution_is_close_enough() -> None:
    z = np.linspace(-5, 5, 401)
    exact = np.array([0.5 * math.erfc(-value / math.sqrt(2)) for value in z])
    assert np.abs(normal_cdf(z) - exact).max() < 1.5e-4


def test_far_deviates_are_certain_and_the_float_type_is_kept() -> None:
    far = normal_cdf(np.array([-1e4, 0.0, 1e4], dtype=np.float32))
    assert far.dtype == np.float32
    assert far.tolist() == [pytest.approx(0.0, abs=1e-12), 0.5, pytest.approx(1.0, abs=1e-12)]


def test_quantiles() -> None:
    assert round(normal_quantile(0.8), 4) == PERCENTILE_80
    assert round(normal_quantile(0.9), 4) == PERCENTILE_90
    assert NormalDist().cdf(normal_quantile(0.3)) == pytest.approx(0.3)


def test_steps_of_all_pairs_are_the_logistic_of_each() -> None:
    values, middles = (np.linspace(low, high, 40, dtype=np.float32) for low, high in ((900.0, 1700.0), (300.0, 2400.0)))
    found = rises(values, middles, np.float32(60.0))
    plain = 1.0 / (1.0 + np.exp((middles.astype(np.float64)[:, None] - values) / 60.0))
    assert found.dtype == np.float32
    assert np.abs(found - plain).max() < 1e-5
    far = rises(values, np.array([-1e5, 1e5], dtype=np.float32), np.float32(60.0)).mean(axis=1)
    assert far.tolist() == pytest.approx([1.0, 0.0], abs=1e-9)
