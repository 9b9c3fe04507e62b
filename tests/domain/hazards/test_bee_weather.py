"""Bee weather of a bloom: the published foraging table, rain, and what years together come to."""

import numpy as np
import pytest

from domain.hazards.bee_weather import foraging_days, set_by_full_bloom, set_chance
from domain.pollination.bloom_overlap import BloomWindows, years_together
from tests.domain.made_up_weather import wave


@pytest.mark.parametrize(("noon_c", "share"), [(18.3, 1.0), (17.2, 0.62), (12.2, 0.21), (10.6, 0.06), (5.0, 0.0)])
def test_foraging_follows_the_published_table(noon_c: float, share: float) -> None:
    """Washington State University, Honey bees: factors affecting bee pollination of tree fruits, temperature table."""
    weather = wave(noon_c, 0.0, half_range_c=0.0)
    total = foraging_days(weather, wet_share=0.0)
    assert np.diff(total, axis=1) == pytest.approx(share, abs=1e-3)


def test_rain_keeps_bees_at_home_and_cool_wet_bloom_sets_less() -> None:
    warm, cool = wave(19.0, 0.0, half_range_c=2.0), wave(10.0, 0.0, half_range_c=2.0)
    assert foraging_days(warm, 0.5)[0, -1] < foraging_days(warm, 0.0)[0, -1]
    assert set_by_full_bloom(foraging_days(warm, 0.2))[0, 300] > 0.99
    assert set_by_full_bloom(foraging_days(cool, 0.6))[0, 300] < set_by_full_bloom(foraging_days(cool, 0.0))[0, 300]
    assert set_chance(np.array([0.0]))[0] == 0.0


def windows(second_full: list[float], foraging: np.ndarray | None = None) -> BloomWindows:
    full = np.array([[300.0] * len(second_full), second_full], dtype=np.float32)
    spread = np.zeros_like(full)
    return BloomWindows(full - 4, full, full + 6, spread, at_site=True, foraging=foraging)


def test_years_and_flowers_together_are_counted() -> None:
    met = years_together(windows([300.0, 305.0, 340.0]), [0], [1])
    assert met.enough[0] == pytest.approx(2 / 3)
    assert met.flowers[0] == pytest.approx((1.0 + 0.5 + 0.0) / 3)
    assert np.isnan(met.foraging[0])


def test_only_the_days_together_count_for_bees() -> None:
    """Bees fly until day 303 only: the pair that meets from 301 on gets two days of it, the early pair all."""
    flying = np.cumsum(np.where(np.arange(549) <= 303, 0.2, 0.0))[None, :].astype(np.float32)
    early = years_together(windows([300.0], flying), [0], [1]).foraging[0]
    late = years_together(windows([305.0], flying), [0], [1]).foraging[0]
    assert 0.0 < late < early < 1.0
