"""The exact choice of a stock equals brute force, and its bound holds."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.stock_orders.choice import best_stock, stock_value


@given(st.integers(0, 10_000), st.integers(1, 4), st.integers(1, 3))
def test_equal_to_brute_force_on_small_cases(seed: int, kinds: int, offered: int) -> None:
    rng = np.random.default_rng(seed)
    worth = rng.random((5, 8)) * (rng.random((5, 8)) < 0.6)
    weight = rng.random(5) + 0.05
    weight /= weight.sum()
    fixed = (int(rng.integers(8)),) if seed % 2 else ()
    found = best_stock(worth, weight, kinds, offered, fixed)
    best = max(
        stock_value(worth, weight, chosen, offered)
        for chosen in combinations(range(8), kinds)
        if set(fixed) <= set(chosen)
    )
    assert found.value == pytest.approx(best, abs=1e-7)
    assert found.value <= found.bound + 1e-9
    assert set(fixed) <= set(found.chosen)
    assert len(found.chosen) <= kinds


def test_more_that_must_be_than_kinds_are_refused() -> None:
    with pytest.raises(ValueError, match="more cultivars"):
        best_stock(np.ones((1, 3)), np.ones(1), 1, 1, (0, 1))
