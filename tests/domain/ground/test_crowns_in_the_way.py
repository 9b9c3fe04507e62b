"""Shade of crowns: looked at pair by pair where they are few, and by a tree of places where they are many."""

import numpy as np
import pytest

from domain.ground import sunlight


@pytest.mark.parametrize("seed", range(4))
def test_few_trees_get_the_sun_that_many_would_get(monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    random = np.random.default_rng(seed)
    trees, heights, spreads = random.uniform(0, 40, (30, 2)), random.uniform(1.5, 6, 30), random.uniform(1, 5, 30)
    few = sunlight.sun_hours(trees, heights, spreads, (), 51.0)
    monkeypatch.setattr(sunlight, "FEW_PAIRS", 0)
    many = sunlight.sun_hours(trees, heights, spreads, (), 51.0)
    assert few == pytest.approx(many, abs=1e-9)
    assert np.ptp(few) > 0.5
