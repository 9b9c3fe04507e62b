"""Bloom together: the closed form against plain sampling, thinning of years, and years without bloom."""

import numpy as np
import pytest
from scipy.stats import norm

from domain.common.arrays import UNREACHED
from domain.pollination.bloom_overlap import (
    FIGURES,
    BloomWindows,
    of_years,
    overlap_chance,
    reference_windows,
    years_kept,
    years_together,
)
from domain.pollination.pairs import distance_share, neighbourhood_chance, pair_table
from domain.pollination.pairs_in_words import explain
from tests.domain.pollination.orchard import cultivar


def windows_of(first: list[float], length: list[float], spread: float = 1.0) -> BloomWindows:
    opens = np.array(first, dtype=np.float32)[:, None]
    days = np.array(length, dtype=np.float32)[:, None]
    full = (opens + days / 3).astype(np.float32)
    return BloomWindows(opens, full, opens + days, np.full((len(first), 1), spread, dtype=np.float32), at_site=True)


def test_overlap_chance_equals_sampling() -> None:
    windows = windows_of([0.0, 5.0, 9.0, 14.0], [10.0, 12.0, 8.0, 11.0])
    rng = np.random.default_rng(1)
    deviation = np.hypot(1.0, FIGURES.year_scatter_days)
    shift = rng.normal(0, deviation, (200_000, 4))
    opens, closes = windows.first[:, 0] + shift, windows.end[:, 0] + shift
    for i in range(4):
        for j in range(i + 1, 4):
            days = np.minimum(closes[:, i], closes[:, j]) - np.maximum(opens[:, i], opens[:, j])
            truth = float((days >= FIGURES.enough_days).mean())
            assert overlap_chance(windows)[i, j] == pytest.approx(truth, abs=0.005)


def test_overlap_chance_is_symmetric_and_sure_with_itself() -> None:
    chance = overlap_chance(windows_of([0.0, 6.0, 40.0], [10.0, 9.0, 10.0]))
    assert np.array_equal(chance, chance.T)
    assert (np.diagonal(chance) == 1.0).all()
    assert chance[0, 2] < 0.001


def test_normal_distribution_to_stated_accuracy() -> None:
    """A pair whose windows differ only by a shift gives a known normal probability."""
    for apart in (2.0, 6.0, 9.0, 12.0):
        windows = windows_of([0.0, apart], [10.0, 10.0], spread=0.0)
        edge = 10.0 - FIGURES.enough_days
        deviation = FIGURES.year_scatter_days * np.sqrt(2)
        truth = norm.cdf((edge - apart) / deviation) + norm.cdf((edge + apart) / deviation) - 1
        assert overlap_chance(windows)[0, 1] == pytest.approx(truth, abs=0.001)


def test_less_knowledge_brings_the_chance_toward_the_middle() -> None:
    near, far = [0.0, 2.0], [0.0, 12.0]
    assert overlap_chance(windows_of(near, [10, 10], 6.0))[0, 1] < overlap_chance(windows_of(near, [10, 10], 1.0))[0, 1]
    assert overlap_chance(windows_of(far, [10, 10], 6.0))[0, 1] > overlap_chance(windows_of(far, [10, 10], 1.0))[0, 1]


def test_short_hot_bloom_still_counts() -> None:
    assert overlap_chance(windows_of([0.0, 0.0], [4.0, 4.0], 0.5))[0, 1] > 0.4


def test_thinned_years_keep_the_chance() -> None:
    rng = np.random.default_rng(3)
    year = rng.normal(290, 8, 200)
    stretch = rng.uniform(0.6, 1.6, 200)
    offset = np.array([-8.0, -3.0, 0.0, 4.0, 9.0])[:, None]
    full = (year + offset * stretch).astype(np.float32)
    length = (11.0 * stretch)[None, :].astype(np.float32)
    first = (full - length / 3).astype(np.float32)
    windows = BloomWindows(first, full, first + length, np.full((5, 200), 1.5, dtype=np.float32), at_site=True)
    thin = of_years(windows, years_kept(windows.full[2]))
    assert thin.full.shape == (5, 20)
    assert np.abs(overlap_chance(thin) - overlap_chance(windows)).max() < 0.05


@pytest.mark.parametrize("none", [float(UNREACHED), float("nan")])
def test_years_without_bloom_have_no_overlap(none: float) -> None:
    windows = windows_of([0.0, 0.0], [12.0, 12.0])
    twice = [np.repeat(part, 2, axis=1) for part in (windows.first, windows.full, windows.end)]
    for part in twice:
        part[1, 1] = none
    spread = np.repeat(windows.spread_days, 2, axis=1)
    halved = BloomWindows(twice[0], twice[1], twice[2], spread, at_site=True)
    assert overlap_chance(halved)[0, 1] == pytest.approx(overlap_chance(windows)[0, 1] / 2, abs=1e-4)
    assert years_together(halved, [0], [1]).days[0] == pytest.approx(6.0)


def test_unknown_bloom_is_unknown() -> None:
    windows = reference_windows([cultivar("Known"), cultivar("Unknown", None)])
    assert windows.known.tolist() == [True, False]
    assert overlap_chance(windows)[0, 1] == 0.0
    assert np.isnan(years_together(windows, [0], [1]).days[0])


def test_bloom_verdict_falls_with_the_days_between() -> None:
    many = [cultivar(f"Day {day}", float(day)) for day in range(0, 21, 2)]
    table = pair_table(many, {}, reference_windows(many))
    verdicts = [explain(table, [(0, j)])[0].verdict for j in range(1, len(many))]
    assert verdicts == sorted(verdicts, key=["effective", "partial", "ineffective"].index)
    assert set(verdicts) == {"effective", "partial", "ineffective"}


def test_distance_never_helps() -> None:
    shares = [distance_share(metres) for metres in range(0, 2500, 25)]
    assert shares == sorted(shares, reverse=True)
    assert (shares[0], shares[-1]) == (1.0, 0.0)


def test_settled_neighbourhood_serves_the_middle_of_the_season_best() -> None:
    many = [cultivar(f"Usual {n}", (n - 5) * 0.8) for n in range(11)] + [cultivar("Much Earlier", -20.0)]
    table = pair_table(many, {}, reference_windows(many))
    usual = np.array([True] * 11 + [False])
    chance = neighbourhood_chance(table, usual)
    assert chance[5] > 0.85
    assert chance[-1] < 0.1
    assert (neighbourhood_chance(table, ~np.ones(12, dtype=np.bool_)) == 0).all()
