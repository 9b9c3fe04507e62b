import numpy as np
import pytest

from domain.hazards.winter_cold import WinterCold, winter_cold
from domain.site_climate.site import Site
from domain.tree_year.winter_hardening import WINTER_PARTS, WinterExposure, WinterPart
from tests import shared
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
    assert 0.65 > cold.survives_ten_years[1] > 10.0 * cold.survives_ten_years[2]
    assert cold.survives_ten_years[2] < 0.05


def test_one_bad_winter_costs_more_than_its_own_crop() -> None:
    """Wood injury takes two or three crops: a year in ten of it leaves fewer than nine crops of ten."""
    minima = np.full(10, -20.0)
    minima[0] = -41.0
    assert winter_cold(felt(minima), of(-30.0)).crop_chance.mean() < 0.88


def test_soft_buds_cost_a_crop_but_no_tree_and_soft_wood_the_tree() -> None:
    late = winter_cold(felt(np.full(10, -43.0), np.full(10, -25.0), "late"), of(-29.0))
    early = winter_cold(felt(np.full(10, -25.0), np.full(10, -46.0), "early"), of(-29.0))
    assert late.crop_chance.max() < 0.3
    assert late.survives_ten_years[0] > 0.99
    assert early.survives_ten_years[0] < 0.01
    assert worst(late) == "late"
    assert worst(early) == "early"


def test_the_part_that_harms_is_that_of_the_harmful_winters() -> None:
    """Nine quiet winters whose coldest night was in January, and one killing November."""
    wood = np.full(10, -22.0)
    wood[4] = -41.0
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


COLD_PLACES = {
    "Brandon": (49.85, -99.95, 410.0),
    "Ottawa": (45.4, -75.7, 70.0),
    "Vilnius": (54.7, 25.3, 150.0),
    "Grand Rapids, Minnesota": (47.2, -93.5, 400.0),
    "Saskatoon": (52.1, -106.6, 480.0),
    "Monmouth, Maine": (44.2, -70.0, 90.0),
}
SWINGING_PLACES = {"Kansas City": (39.1, -94.6, 270.0), "Lexington": (38.0, -84.5, 300.0)}


def where_it_ends(place: tuple[float, float, float]) -> tuple[float, float]:
    """Crops and survival of a cultivar whose figure is the mean yearly minimum of the place."""
    latitude, longitude, elevation_m = place
    site = shared.conditions(Site(latitude=latitude, longitude=longitude, elevation_m=elevation_m))
    cold = winter_cold(site.winters, of(float(site.winter_minimum_c.mean())))
    return float(cold.crop_chance.mean()), float(cold.survives_ten_years[0])


@pytest.mark.parametrize("place", COLD_PLACES)
def test_the_figure_is_the_winter_in_which_a_tree_stands_well(place: str) -> None:
    """What hardiness is defined as: nine years of ten crop there, and more than nine trees of ten live ten years."""
    crops, lives = where_it_ends(COLD_PLACES[place])
    assert crops >= 0.9
    assert lives > 0.9


@pytest.mark.parametrize("place", SWINGING_PLACES)
def test_where_winters_swing_a_tree_needs_more_than_the_mean_minimum(place: str) -> None:
    """Thaws and early freezes take more there than the coldest night tells; still two years of three and most trees."""
    crops, lives = where_it_ends(SWINGING_PLACES[place])
    assert 0.7 <= crops < 0.9
    assert lives > 0.8
