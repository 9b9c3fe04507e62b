import numpy as np
import pytest

from domain.hazards.winter_cold import WinterCold, winter_cold
from domain.tree_year.winter_hardening import WINTER_PARTS, WinterExposure, WinterPart
from tests.domain.suitability.winters import MILD_COAST, MadeWinter


def felt(buds_c: np.ndarray, wood_c: np.ndarray | None = None, part: WinterPart = "middle") -> WinterExposure:
    """Winters whose worst nights were felt so, all in one part of the winter."""
    parts = np.full(buds_c.size, WINTER_PARTS.index(part), dtype=np.int8)
    buds = buds_c.astype(np.float32)
    return WinterExposure(buds, buds if wood_c is None else wood_c.astype(np.float32), parts, parts)


def of(*hardiness_c: float) -> np.ndarray:
    return np.array(hardiness_c, dtype=np.float32)


def worst(cold: WinterCold) -> WinterPart:
    return WINTER_PARTS[int(cold.harm_by_part[0].argmax())]


def test_a_hardy_tree_lives_and_crops_and_a_tender_one_dies() -> None:
    minima = np.random.default_rng(3).normal(-36.0, 3.5, 200)
    cold = winter_cold(felt(minima), of(-40.0, -29.0, -23.0))
    assert cold.survives_ten_years[0] > 0.95
    assert cold.crop_chance[0].mean() > 0.85
    assert 0.5 > cold.survives_ten_years[1] > cold.survives_ten_years[2]
    assert cold.survives_ten_years[2] < 0.01


def test_one_bad_winter_costs_more_than_its_own_crop() -> None:
    """Wood injury takes two or three crops: a year in ten of it leaves fewer than nine crops of ten."""
    minima = np.full(10, -20.0)
    minima[0] = -36.5
    assert winter_cold(felt(minima), of(-30.0)).crop_chance.mean() < 0.88


def test_soft_buds_cost_a_crop_but_no_tree_and_soft_wood_the_tree() -> None:
    late = winter_cold(felt(np.full(10, -38.0), np.full(10, -25.0), "late"), of(-29.0))
    early = winter_cold(felt(np.full(10, -25.0), np.full(10, -42.0), "early"), of(-29.0))
    assert late.crop_chance.max() < 0.3
    assert late.survives_ten_years[0] > 0.99
    assert early.survives_ten_years[0] < 0.01
    assert worst(late) == "late"
    assert worst(early) == "early"


def test_the_part_that_harms_is_that_of_the_harmful_winters() -> None:
    """Nine quiet winters whose coldest night was in January, and one killing November."""
    wood = np.full(10, -22.0)
    wood[4] = -37.0
    winters = felt(np.full(10, -22.0), wood)
    winters.wood_part[4] = WINTER_PARTS.index("early")
    cold = winter_cold(winters, of(-29.0))
    assert worst(cold) == "early"
    assert cold.harm_by_part.sum() == pytest.approx(1.0)


def test_mild_winters_take_nothing() -> None:
    for winters in (felt(np.full(50, -5.0)), MadeWinter.of(MILD_COAST).exposure()):
        cold = winter_cold(winters, of(-23.0))
        assert cold.crop_chance.min() > 0.99
        assert cold.survives_ten_years[0] > 0.999
