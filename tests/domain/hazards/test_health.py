import dataclasses

import numpy as np
import pytest

from domain.fruit.diseases import DISEASES
from domain.fruit.insects import INSECTS
from domain.hazards.codling_moth import codling_moth
from domain.hazards.disease_weather import disease_weather
from domain.hazards.hand_methods import HAND_METHODS, hand_methods
from domain.hazards.health_events import health_events
from domain.hazards.insects import FruitInsect, fruit_insects
from domain.hazards.sound_fruit import health
from domain.tree_year.stages import TreeStages
from tests.domain.hazards.orchards import orchard
from tests.domain.made_up_weather import wave

WET = {disease: weather.pressure for disease, weather in disease_weather(orchard(10.5, 6.5, 0.45)).items()}
DRY = {disease: weather.pressure for disease, weather in disease_weather(orchard(15.0, 11.0, 0.03)).items()}
SURE = np.full((1, len(DISEASES)), 0.1, dtype=np.float32)
"""Spread of a rating that texts agree on."""

MOTH = codling_moth(wave(10.0, 12.0))


def test_resistance_counts_where_the_disease_presses() -> None:
    resistant = np.full((1, len(DISEASES)), 0.1, dtype=np.float32)
    susceptible = np.full((1, len(DISEASES)), 0.9, dtype=np.float32)
    late = np.zeros(1, dtype=np.float32)

    def sound(rates: np.ndarray, pressure: dict[str, float]) -> float:
        return float(health(rates, SURE, pressure, (), late, unknown=0.5).sound[0])

    assert sound(resistant, WET) - sound(susceptible, WET) > 0.4
    assert sound(resistant, DRY) - sound(susceptible, DRY) < 0.2


def test_unknown_tolerance_widens_the_spread() -> None:
    rated = np.full((2, len(DISEASES)), 0.5, dtype=np.float32)
    rated[1] = np.nan
    found = health(rated, SURE, WET, (), np.zeros(2, dtype=np.float32), unknown=0.5)
    assert found.log_spread[1] > 2 * found.log_spread[0]


def test_where_hardly_any_fruit_stays_sound_the_resistant_still_stand_far_above_the_susceptible() -> None:
    """All diseases and three insects at once: a few in a hundred against next to none, and sure of its order."""
    rated = np.array([[0.2] * len(DISEASES), [0.9] * len(DISEASES)], dtype=np.float32)
    insects = tuple(FruitInsect(name, 0.6, "computed") for name in ("one", "two", "three"))
    all_of_them = dict.fromkeys(DISEASES, 0.9)
    found = health(rated, SURE[:1], all_of_them, insects, np.zeros(2, dtype=np.float32), unknown=0.5)
    assert found.sound[0] < 0.05
    assert found.sound[0] > 10.0 * found.sound[1] > 0.0
    assert found.unspoilt[0] == pytest.approx(found.sound[0] / 0.4**3, rel=1e-3)
    assert found.taken[1].max() > 0.7


def test_early_fruit_escapes_part_of_codling_moth() -> None:
    rated = np.zeros((2, len(DISEASES)), dtype=np.float32)
    moth = (FruitInsect("codling_moth", 0.6, "computed", by_brood=True),)
    found = health(rated, SURE, DRY, moth, np.array([1.0, 0.0], dtype=np.float32), unknown=0.5)
    assert found.sound[0] > found.sound[1] + 0.1


def names(latitude: float | None, longitude: float | None, winter_c: float = 0.0) -> set[str]:
    return {insect.insect for insect in fruit_insects(MOTH, winter_c, latitude, longitude)}


def test_regional_insects_follow_the_place() -> None:
    assert names(39.0, -77.0) == {"codling_moth", "plum_curculio", "apple_maggot", "apple_sawfly"}
    assert names(52.0, -1.0) == {"codling_moth", "apple_sawfly"}
    assert names(53.0, -8.0) == {"codling_moth"}
    assert names(-33.9, 18.9, 12.0) == {"codling_moth", "fruit_flies"}
    assert names(-41.2, 173.0, 9.0) == {"codling_moth"}
    assert names(-34.0, 116.0, 12.0) == {"fruit_flies"}
    assert names(None, None) == {"codling_moth"}


def test_the_nearer_range_counts_first() -> None:
    def maggot(latitude: float, longitude: float) -> float:
        found = {insect.insect: insect.pressure for insect in fruit_insects(MOTH, 0.0, latitude, longitude)}
        return found["apple_maggot"]

    assert maggot(42.0, -74.0) > maggot(48.5, -122.4) > maggot(46.6, -120.5)


def test_events_come_in_the_order_of_the_year_and_only_where_they_press() -> None:
    place = orchard(10.5, 10.0, 0.4)
    insects = fruit_insects(MOTH, 0.0, 42.0, -74.0)
    events = health_events(place, disease_weather(place), MOTH, insects)
    days = [float(np.nanmedian(event.day)) for event in events]
    assert days == sorted(days)
    found = {event.event for event in events}
    assert {"scab_season_starts", "plum_curculio_ends", "codling_moth_first_strikes", "trunk_bands_on"} <= found
    dry = orchard(15.0, 11.0, 0.0)
    bare = {event.event for event in health_events(dry, disease_weather(dry), MOTH, ())}
    assert not bare & {"scab_season_starts", "codling_moth_first_flight", "sooty_blotch_arrives"}


def test_what_turns_on_no_stage_is_kept_for_trees_of_other_stages() -> None:
    """Against the same years of which nothing is kept, with trees that bloom three weeks later."""
    place = orchard(10.5, 10.0, 0.4)
    diseases, insects = disease_weather(place), fruit_insects(MOTH, 0.0, 42.0, -74.0)
    health_events(place, diseases, MOTH, insects)
    later = dataclasses.replace(
        place.stages,
        **{
            stage.name: getattr(place.stages, stage.name) + np.float32(21.0) for stage in dataclasses.fields(TreeStages)
        },
    )
    plain = health_events(dataclasses.replace(place, stages=later), diseases, MOTH, insects)
    found = health_events(place.of_trees(later), diseases, MOTH, insects)
    assert [event.event for event in found] == [event.event for event in plain]
    for one, other in zip(found, plain, strict=True):
        np.testing.assert_array_equal(one.day, other.day)
    assert place.of_trees(later).kept is place.kept


def test_a_brood_that_does_not_come_is_no_event() -> None:
    cool = codling_moth(wave(9.0, 6.0))
    place = dataclasses.replace(orchard(9.0, 6.0, 0.4))
    events = health_events(place, disease_weather(place), cool, (FruitInsect("codling_moth", 0.2, "computed"),))
    assert "codling_moth_third_flight" not in {event.event for event in events}
    assert all(event.years_in_ten > 0.0 for event in events)


def test_hand_methods_are_against_what_is_listed_and_name_their_source() -> None:
    assert {method.against for method in HAND_METHODS} <= {*DISEASES, *INSECTS}
    assert all(
        (method.sources or method.basis != "published") and method.words.endswith(".") for method in HAND_METHODS
    )
    assert hand_methods("no such thing") == ()


def test_no_method_is_a_spray() -> None:
    words = " ".join(method.words.lower() for method in HAND_METHODS)
    assert not any(
        word in words for word in ("spray", "insecticide", "fungicide", "copper", "sulphur", "sulfur", "oil ")
    )
