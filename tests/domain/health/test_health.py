import dataclasses

import numpy as np

from domain.cultivars import DISEASES
from domain.health.insects import FruitInsect, codling_moth_broods, fruit_insects
from domain.health.pressure import SummerWeather, disease_pressure, pressure_class
from domain.health.sound_fruit import health

WET_COOL = SummerWeather(
    spring_c=9.5,
    summer_c=15.5,
    bloom_tmax_c=14.0,
    wet_days_spring=0.45,
    wet_days_summer=0.42,
    winter_minimum_c=-7.0,
    winter_mean_c=4.5,
    junipers_native=False,
)
HOT_DRY = dataclasses.replace(
    WET_COOL, spring_c=15.0, summer_c=26.0, bloom_tmax_c=22.0, wet_days_spring=0.08, wet_days_summer=0.02
)
HOT_WET = dataclasses.replace(
    HOT_DRY, wet_days_spring=0.33, wet_days_summer=0.36, junipers_native=True, winter_minimum_c=-12.0
)


def test_each_climate_has_its_own_diseases() -> None:
    cool, dry, wet = disease_pressure(WET_COOL), disease_pressure(HOT_DRY), disease_pressure(HOT_WET)
    assert pressure_class(cool["scab"]) == "high"
    assert pressure_class(cool["canker"]) == "high"
    assert pressure_class(cool["bitter_rot"]) == "low"
    assert pressure_class(dry["scab"]) == "low"
    assert dry["fire_blight"] > cool["fire_blight"]
    assert pressure_class(wet["bitter_rot"]) == "high"
    assert wet["cedar_apple_rust"] > 0.5 > cool["cedar_apple_rust"]


def test_resistance_counts_where_the_disease_presses() -> None:
    resistant = np.full((1, len(DISEASES)), 0.1, dtype=np.float32)
    susceptible = np.full((1, len(DISEASES)), 0.9, dtype=np.float32)
    late = np.zeros(1, dtype=np.float32)

    def sound(rates: np.ndarray, weather: SummerWeather) -> float:
        return float(health(rates, 0.5, disease_pressure(weather), (), late).sound[0])

    assert sound(resistant, WET_COOL) - sound(susceptible, WET_COOL) > 0.4
    assert sound(resistant, HOT_DRY) - sound(susceptible, HOT_DRY) < 0.2


def test_unknown_tolerance_widens_the_spread() -> None:
    rated = np.full((2, len(DISEASES)), 0.5, dtype=np.float32)
    rated[1] = np.nan
    found = health(rated, 0.5, disease_pressure(WET_COOL), (), np.zeros(2, dtype=np.float32))
    assert found.spread[1] > 2 * found.spread[0]


def test_early_fruit_escapes_part_of_codling_moth() -> None:
    rated = np.zeros((2, len(DISEASES)), dtype=np.float32)
    moth = (FruitInsect("codling_moth", 0.6, "computed"),)
    found = health(rated, 0.5, disease_pressure(HOT_DRY), moth, np.array([1.0, 0.0], dtype=np.float32))
    assert found.sound[0] > found.sound[1] + 0.1


def test_codling_moth_broods_of_a_warm_inland_summer() -> None:
    """Michigan (about 1,350 C degree days above 10 C): two broods; warm inland California (2,200): three and more."""
    assert 1.7 < codling_moth_broods(1350.0) < 2.5
    assert codling_moth_broods(2200.0) > 3.0
    assert codling_moth_broods(60.0) == 0.0


def test_regional_insects_follow_the_place() -> None:
    names = {insect.insect for insect in fruit_insects(1500.0, 0.0, 39.0, -77.0)}
    assert {"plum_curculio", "apple_maggot"} <= names
    assert {insect.insect for insect in fruit_insects(900.0, 4.0, 52.0, -1.0)} == {"codling_moth", "apple_sawfly"}
    assert [insect.insect for insect in fruit_insects(900.0, 4.0, None, None)] == ["codling_moth"]
