"""The committed library of climates is the one that the code makes."""

import numpy as np

from domain.site_climate.regimes import SIZE, build, chill_over, library
from domain.weather.seasons import MEASURES

BLOOM_DAYS = 8.0
"""The clock of bloom may be tuned without making the library anew: it weighs bloom to within ten days."""

APART = {"bloom": BLOOM_DAYS, "chill": 0.12}
"""Portions of a month, mean over 24 years: in one of them a packet may close in another month than it did."""


def test_the_first_climates_are_made_again() -> None:
    made, stored = build(12), library()
    for name, values in vars(made).items():
        kept = getattr(stored, name)
        assert len(kept) == SIZE
        assert np.allclose(values, kept[:12], atol=APART.get(name, 0.06)), name


def test_the_library_spans_the_climates_of_apples() -> None:
    stored = library()
    assert stored.tmean_c.min(axis=1).min() < -20
    assert stored.tmean_c.min(axis=1).max() > 16
    whole = chill_over(stored, MEASURES.index("chill_portions"), 92, 334)
    assert np.quantile(whole, 0.02) < 10
    assert whole.max() > 140
