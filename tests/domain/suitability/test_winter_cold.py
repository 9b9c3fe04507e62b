import numpy as np

from domain.suitability.winter_cold import winter_cold


def test_a_hardy_tree_lives_and_crops_and_a_tender_one_dies() -> None:
    minima = np.random.default_rng(3).normal(-36.0, 3.5, 200).astype(np.float32)
    cold = winter_cold(minima, np.array([-40.0, -29.0, -23.0], dtype=np.float32))
    assert cold.survives_ten_years[0] > 0.95
    assert cold.crop_chance[0].mean() > 0.85
    assert 0.5 > cold.survives_ten_years[1] > cold.survives_ten_years[2]
    assert cold.survives_ten_years[2] < 0.01


def test_one_bad_winter_costs_more_than_its_own_crop() -> None:
    """Wood injury takes two or three crops: a year in ten of it leaves fewer than nine crops of ten."""
    minima = np.full(10, -20.0, dtype=np.float32)
    minima[0] = -36.5
    cold = winter_cold(minima, np.array([-30.0], dtype=np.float32))
    assert cold.crop_chance.mean() < 0.88


def test_mild_winters_take_nothing() -> None:
    cold = winter_cold(np.full(50, -5.0, dtype=np.float32), np.array([-23.0], dtype=np.float32))
    assert cold.crop_chance.min() > 0.99
    assert cold.survives_ten_years[0] > 0.999
