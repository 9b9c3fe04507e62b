"""What the sentences say, in codes and in words."""

from typing import get_args

import numpy as np
import pytest

from domain.hazards.winter_cold import WinterCold
from domain.orchard_site.conditions import on_ground
from domain.suitability import sentences
from domain.suitability.factors import Factor, FactorCode, Input
from domain.suitability.site_fit import site_fit
from domain.tables.words import label, say, texts
from domain.tree_year.winter_hardening import WINTER_PARTS, WinterPart
from tests import shared

ONE = np.ones(1, dtype=np.float32)


def cold_factor(share: float) -> Factor:
    hardiness = Input("hardiness_c", -29.0 * ONE, ONE, np.zeros(1, dtype=np.int8))
    return Factor(
        code="winter_cold",
        outcome="crop",
        likely=share * ONE,
        low=share * ONE,
        high=share * ONE,
        basis=np.zeros(1, dtype=np.int8),
        inputs=(hardiness,),
        sentence=lambda _factor, row: say("pollen_assumed"),
        at_best=lambda rows: ONE,
    )


def winters(*harm: float) -> WinterCold:
    return WinterCold(ONE[:, None], ONE, ONE, np.array([harm], dtype=np.float32))


@pytest.mark.parametrize("part", WINTER_PARTS)
def test_the_part_of_the_winter_is_named_only_where_it_harms(part: WinterPart) -> None:
    harm = winters(*(1.0 if name == part else 0.0 for name in WINTER_PARTS))
    said = sentences.cold(cold_factor(0.6), 0, -31.0, harm)
    assert (said.code, said.values["harm"], said.values["years"]) == ("cold_harms", part, 6)
    assert label("winter_part", part) in said.words
    assert sentences.cold(cold_factor(0.94), 0, -24.0, harm).code == "cold_stands"


def test_a_second_part_is_named_where_it_takes_its_share() -> None:
    said = sentences.cold(cold_factor(0.6), 0, -31.0, winters(0.3, 0.6, 0.05, 0.05))
    assert said.code == "cold_harms_twice"
    assert (said.values["harm"], said.values["second_harm"]) == (WINTER_PARTS[1], WINTER_PARTS[0])
    assert "in 6 of 10 winters" in said.words


def test_cultivars_of_whom_the_same_is_said_share_a_sentence_that_is_said_as_any_other() -> None:
    conditions = shared.conditions(shared.site(latitude=51.3, longitude=0.5))
    factor = site_fit(conditions, shared.catalogue().advised).factor("winter_chill")
    said = [factor.sentence(factor, row) for row in range(len(factor.likely))]
    assert all(one == say(one.code, **one.values) for one in said)
    assert len({id(one) for one in said}) == len({one.words for one in said}) < len(said) / 4


@pytest.mark.parametrize("place", [(51.3, 0.5), (44.9, -93.2), (30.4, -90.5), (-41.25, 173.1)])
def test_what_rows_are_alike_in_is_all_that_their_sentences_turn_on(place: tuple[float, float]) -> None:
    latitude, longitude = place
    asked = shared.site(latitude=latitude, longitude=longitude, ground={"sun_hours": 5.0, "ph": 8.2})
    factors = site_fit(on_ground(shared.conditions(asked), asked.ground), shared.catalogue().advised).factors
    assert {factor.code for factor in factors} == set(get_args(FactorCode))
    for factor in factors:
        assert factor.said == [factor.sentence(factor, row) for row in range(len(factor.likely))], factor.code


def test_dates_and_years_are_said_in_one_way_and_carried_as_values() -> None:
    said = say("frost_spares", years=9.46, full_bloom="04-07")
    assert said.values == {"years": 9, "full_bloom": "04-07"}
    assert said.words == "Frost leaves enough bloom in 9 of 10 springs with full bloom about 7 April."


def test_a_list_of_codes_is_said_by_their_labels() -> None:
    said = say("fruit_spoilt_by_disease", share=0.304, diseases=("scab", "canker"))
    assert "About 30 % of the fruit" in said.words
    assert "scab and European canker take most of it" in said.words


def test_a_slot_without_its_value_is_an_error() -> None:
    with pytest.raises(KeyError):
        say("frost_spares", years=9.0)


def test_every_slot_of_every_text_has_a_kind_that_can_be_said() -> None:
    kinds = {kind.lower() for text in texts().values() for kind in text.slots.values()}
    families = {code.partition(".")[0] for code in texts() if "." in code}
    assert kinds <= {"", "of_ten", "date", "whole", "one_place", "percent", "four_digits"} | families
