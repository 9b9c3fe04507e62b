import dataclasses

import numpy as np
import pytest

from domain.fruit.diseases import DISEASES
from domain.hazards.disease_weather import disease_weather
from domain.hazards.fire_blight import BlossomFigures, blossom_infection_days
from domain.hazards.fruit_diseases import (
    FruitRotFigures,
    WetHourFigures,
    colletotrichum_severity,
    wet_hours_reached,
)
from domain.hazards.infection_weather import InfectionWeather, pressure_class
from domain.hazards.leaf_diseases import share_below
from domain.hazards.scab import ScabFigures, infection_days, mills_hours, spores_spent
from domain.tables.parameters import figures
from tests.domain.hazards.orchards import YEARS, orchard, with_present

SCAB = figures("fruit", "scab", ScabFigures)
BLIGHT = figures("fruit", "fire_blight", BlossomFigures)
BITTER_ROT = figures("fruit", "bitter_rot", FruitRotFigures)
SOOTY = figures("fruit", "sooty_blotch_flyspeck", WetHourFigures)
COOL_WET = orchard(10.5, 6.5, 0.45, half_range_c=3.5)
HOT_DRY = orchard(15.0, 11.0, 0.03, half_range_c=8.0)
HOT_WET = orchard(15.0, 11.0, 0.40, half_range_c=5.0)


def test_each_climate_has_its_own_diseases() -> None:
    cool, dry, wet = ({k: v.pressure for k, v in disease_weather(o).items()} for o in (COOL_WET, HOT_DRY, HOT_WET))
    assert tuple(cool) == DISEASES
    assert pressure_class(cool["scab"]) == pressure_class(cool["canker"]) == "high"
    assert pressure_class(cool["bitter_rot"]) == pressure_class(cool["fire_blight"]) == "low"
    assert pressure_class(dry["scab"]) == pressure_class(dry["sooty_blotch_flyspeck"]) == "low"
    assert pressure_class(dry["powdery_mildew"]) == "high"
    assert pressure_class(wet["bitter_rot"]) == pressure_class(wet["cedar_apple_rust"]) == "high"
    assert wet["canker"] < 0.5 * cool["canker"]


def test_every_pressure_is_a_share() -> None:
    for place in (COOL_WET, HOT_DRY, HOT_WET):
        for weather in disease_weather(place).values():
            assert weather.by_year.shape == (YEARS,)
            assert (weather.by_year >= 0.0).all()
            assert 0.0 <= weather.pressure <= 1.0


def test_half_the_full_pressure_at_the_stated_count() -> None:
    weather = InfectionWeather("scab", "days", np.full(YEARS, 6.0), 6.0)
    assert weather.pressure == pytest.approx(0.5)
    assert weather.pressure_class == "moderate"
    assert dataclasses.replace(weather, chance_present=0.1).pressure_class == "low"


def test_no_infection_outside_the_temperatures_of_the_table() -> None:
    assert np.isinf(mills_hours(np.array([0.5, 27.0]), SCAB)).all()
    assert (mills_hours(np.array([16.2, 23.8]), SCAB) == 6.0).all()


def test_the_scab_season_runs_from_green_tip_until_the_spores_are_spent() -> None:
    spent = spores_spent(COOL_WET, SCAB)
    assert ((spent > COOL_WET.stages.green_tip + 30.0) & (spent < COOL_WET.stages.green_tip + 75.0)).all()
    primary, secondary = infection_days(COOL_WET, SCAB)
    dry_primary, _ = infection_days(HOT_DRY, SCAB)
    assert primary.mean() > 5 * dry_primary.mean()
    assert (secondary > 0.0).all()


def test_blight_needs_open_flowers_warmth_and_wetness() -> None:
    warm = orchard(15.0, 11.0, 0.4, half_range_c=8.0, full_bloom=325.0)
    assert blossom_infection_days(warm, BLIGHT).mean() > 3.0
    assert blossom_infection_days(COOL_WET, BLIGHT).max() == 0.0
    rainless = dataclasses.replace(warm, wet=np.zeros_like(warm.wet))
    assert blossom_infection_days(rainless, BLIGHT).max() == 0.0
    elsewhere = with_present(warm, "fire_blight", 0.1)
    assert disease_weather(elsewhere)["fire_blight"].pressure < 0.2 * disease_weather(warm)["fire_blight"].pressure


def test_rust_needs_its_other_host() -> None:
    alone = with_present(HOT_WET, "cedar_apple_rust", 0.05)
    assert disease_weather(alone)["cedar_apple_rust"].pressure < 0.1
    unknown = with_present(HOT_WET, "cedar_apple_rust", 0.3)
    near = disease_weather(HOT_WET)["cedar_apple_rust"].pressure
    assert 0.1 < disease_weather(unknown)["cedar_apple_rust"].pressure < near


def test_hard_winters_hold_mildew_back() -> None:
    hard = dataclasses.replace(HOT_DRY, winter_minimum_c=np.full(YEARS, -33.0))
    assert disease_weather(hard)["powdery_mildew"].pressure < 0.3 < disease_weather(HOT_DRY)["powdery_mildew"].pressure


def test_severity_is_greatest_in_long_warm_wetness() -> None:
    temperatures = np.linspace(10.0, 36.0, 105)
    severity = colletotrichum_severity(temperatures, np.full_like(temperatures, 72.0), BITTER_ROT)
    assert 25.0 < temperatures[np.argmax(severity)] < 27.5
    assert severity.max() == pytest.approx(1.0, abs=0.01)
    assert severity[0] == severity[-1] == 0.0


def test_sooty_blotch_arrives_in_a_wet_summer_only() -> None:
    assert np.isnan(wet_hours_reached(HOT_DRY, SOOTY)).all()
    arrives = wet_hours_reached(HOT_WET, SOOTY)
    assert ((arrives > HOT_WET.stages.petal_fall + 20.0) & (arrives < HOT_WET.stages.picking)).all()


def test_share_of_the_day_below_a_temperature() -> None:
    low, high = np.zeros(4), np.full(4, 10.0)
    limits = [-1.0, 5.0, 7.5, 11.0]
    found = [float(share_below(low[:1], high[:1], limit)[0]) for limit in limits]
    assert found == pytest.approx([0.0, 0.5, 2.0 / 3.0, 1.0])
