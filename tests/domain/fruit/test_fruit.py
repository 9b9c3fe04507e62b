"""What is the fruit's, as read from its tables: every row usable, every name it refers to there."""

import numpy as np
import pytest

from domain.fruit.adaptation import ADAPTATION_GROUPS
from domain.fruit.bearing import BEARING_HABITS
from domain.fruit.diseases import DISEASE_BY_ID, DISEASES
from domain.fruit.flower_stages import FLOWER_STAGES
from domain.fruit.insects import INSECTS
from domain.fruit.kinds import KINDS
from domain.fruit.reference import REFERENCE
from domain.fruit.regions import REGIONS, share_at
from domain.fruit.resistance import RESISTANCE_CLASSES, resistance_class, resists
from domain.fruit.traits import TRAITS, registered
from domain.hazards.health_events import BROOD_CLOCKS, EVENTS, FIGURE_CLOCKS, STAGE_CLOCKS
from domain.hazards.infection_models import DISEASE_FIGURES
from domain.tables.loading import load
from domain.tables.tree_forms import tree_forms

TABLES = load()


def test_every_adopted_trait_is_in_the_register_with_its_unit_and_classes() -> None:
    for cultivar in TABLES.cultivars:
        assert all(registered(trait) for trait in (*cultivar.numbers, *cultivar.findings))
        for trait, estimate in cultivar.numbers.items():
            assert trait not in TRAITS or TRAITS[trait].unit == estimate.unit, trait
        for trait, finding in cultivar.findings.items():
            allowed = TRAITS[trait].values
            said = finding.value.split() if TRAITS[trait].form == "classes" else [finding.value]
            assert not allowed or set(said) <= set(allowed), (cultivar.id, trait)


def test_every_trait_of_the_register_is_adopted_for_some_cultivar() -> None:
    adopted = {trait for cultivar in TABLES.cultivars for trait in (*cultivar.numbers, *cultivar.findings)}
    assert set(TRAITS) | {disease.trait for disease in DISEASE_BY_ID.values()} == adopted


def test_a_trait_has_a_stand_in_with_its_spread_and_what_it_rests_on_or_none_of_them() -> None:
    for trait in TRAITS.values():
        assert len({trait.stand_in is None, trait.spread is None, trait.basis is None}) == 1, trait.trait
        assert trait.stand_in is None or trait.gathered


def test_groups_and_kinds_of_the_catalogue_are_known() -> None:
    groups = {c.findings["adaptation"].value for c in TABLES.cultivars if "adaptation" in c.findings}
    assert groups - {"low_chill"} <= set(ADAPTATION_GROUPS)
    assert {cultivar.kind for cultivar in TABLES.cultivars} == set(KINDS)
    assert TABLES.by_id[REFERENCE.cultivar].numbers["bloom_offset_days"].value == pytest.approx(0.0, abs=0.5)


def test_regions_and_events_are_of_diseases_and_insects_that_are_listed() -> None:
    known = {*DISEASES, *INSECTS}
    assert set(REGIONS) - known == {"winter_moth", "handwork_of_japan"}
    assert {event.against for event in EVENTS} - known == {"woolly_aphid"}
    assert {event.clock for event in EVENTS} <= {*STAGE_CLOCKS, *FIGURE_CLOCKS, *BROOD_CLOCKS, "out_of_the_ground"}
    assert all(0.0 < one.fruit_loss <= 1.0 and one.half_pressure > 0.0 for one in DISEASE_FIGURES.values())


def test_the_first_box_that_holds_a_place_counts() -> None:
    blight, sawfly = DISEASE_BY_ID["fire_blight"], INSECTS["apple_sawfly"]
    assert share_at(blight, 36.0, 138.0) < share_at(blight, 42.0, -76.0) == share_at(blight, None, None) == 1.0
    assert share_at(sawfly, 53.0, -8.0) == share_at(sawfly, None, None) == 0.0 < share_at(sawfly, 52.0, -1.0)


def test_buds_stand_less_cold_as_they_open() -> None:
    shares = [stage.heat_share for stage in FLOWER_STAGES]
    ten = [stage.kill_10_c for stage in FLOWER_STAGES]
    assert shares == sorted(shares)
    assert ten == sorted(ten)
    assert all(stage.kill_90_c < stage.kill_10_c for stage in FLOWER_STAGES)
    assert [stage.bbch for stage in FLOWER_STAGES] == sorted({stage.bbch for stage in FLOWER_STAGES})


def test_classes_of_resistance_cover_every_susceptibility() -> None:
    found = [resistance_class(float(value)) for value in np.linspace(0.0, 1.0, 101)]
    assert list(dict.fromkeys(found)) == list(RESISTANCE_CLASSES)
    assert resistance_class(None) == "unknown"
    assert resists(0.2)
    assert not resists(0.9)
    assert not resists(None)


def test_bearing_habits_are_those_that_the_forms_name() -> None:
    assert {habit for form in tree_forms().values() for habit in form.bearing_habits} == set(BEARING_HABITS)
