"""Wishes for the fruit: met, not met, or nobody says; and wishes that contradict each other or name no place."""

import msgspec
import pytest

from domain.common.faults import ContentFaults
from domain.tables.cultivars import Cultivar, Estimate, Finding
from domain.traits.fruit_like import fruit_like
from domain.traits.fruit_wishes import FruitWanted, check_fruit_wanted, origins_of, wished, wishes_met
from tests import shared


def apple(**told: str) -> Cultivar:
    found = {trait: Finding(value=value, agreement=1.0, basis="published") for trait, value in told.items()}
    keeps = Estimate(value=12.0, deviation=2.0, unit="weeks", basis="published")
    return Cultivar(
        id="made-up", name="Made Up", status="advised", kind="apple", findings=found,
        numbers={"storage_weeks_low": keeps, "storage_weeks_high": keeps},
    )  # fmt: skip


KNOWN = apple(
    flavour="sweet", skin="russet", origin_year="1872", origin_place="Somerset, England", uses="dessert juice"
)
SILENT = Cultivar(id="silent", name="Silent", status="advised", kind="apple")


@pytest.mark.parametrize(
    ("wanted", "met"),
    [
        ({"flavours": ["sweet", "sharp"]}, "met"),
        ({"flavours": ["sharp"]}, "not_met"),
        ({"skins": ["russet"]}, "met"),
        ({"uses": ["juice", "cider"]}, "met"),
        ({"uses": ["cider"]}, "not_met"),
        ({"raised_before": 1900}, "met"),
        ({"raised_before": 1872}, "not_met"),
        ({"raised_since": 1872}, "met"),
        ({"keeps_weeks": 12}, "met"),
        ({"keeps_weeks": 13}, "not_met"),
        ({"origins": ["united kingdom"]}, "met"),
        ({"origins": ["UK", "France"]}, "met"),
        ({"origins": ["Somerset"]}, "met"),
        ({"origins": ["France"]}, "not_met"),
        ({"aromas": ["nutty"]}, "not_known"),
        ({"red_flesh": True}, "not_known"),
        ({"told_near_by": ["traditional"]}, "met"),
        ({"told_near_by": ["planted_for_sale"]}, "not_known"),
    ],
)
def test_a_wish_is_met_or_not_by_what_a_source_says(wanted: dict[str, object], met: str) -> None:
    asked = msgspec.convert(wanted, FruitWanted)
    (code,) = wished(asked)
    assert wishes_met(KNOWN, asked, frozenset({"traditional", "grown"})) == {code: met}


def test_silence_is_neither_yes_nor_no() -> None:
    asked = FruitWanted(flavours=["sweet"], skins=["red"], raised_since=1990, origins=["France"], uses=["cider"])
    assert set(wishes_met(SILENT, asked, frozenset()).values()) == {"not_known"}
    assert wished(FruitWanted()) == ()


def test_what_the_fruit_is_like_stands_as_the_texts_say() -> None:
    """Egremont Russet: Sussex, before 1872; National Fruit Collection, as its rows in the catalogue."""
    russet = shared.catalogue().tables.by_id["egremont-russet"]
    like = fruit_like(russet)
    assert like.skin == "russet"
    assert like.raised == 1872
    nothing = fruit_like(SILENT)
    assert (nothing.flavour, nothing.skin, nothing.keeps_weeks, nothing.raised, nothing.red_flesh) == (None,) * 5


def test_a_place_that_no_text_names_is_refused_with_the_nearest() -> None:
    cultivars = shared.catalogue().tables.cultivars
    with pytest.raises(ContentFaults) as refused:
        check_fruit_wanted(FruitWanted(origins=["Germny"]), cultivars, "wanted")
    (fault,) = refused.value.faults
    assert fault.pointer == "#/wanted/origins/0"
    assert "Germany" in fault.nearest
    check_fruit_wanted(FruitWanted(origins=["usa", "Holland", "minnesota"]), cultivars, "wanted")


def test_years_that_leave_none_between_them_are_refused() -> None:
    with pytest.raises(ContentFaults) as refused:
        check_fruit_wanted(FruitWanted(raised_since=1950, raised_before=1900), (), "wanted")
    assert [fault.pointer for fault in refused.value.faults] == ["#/wanted/raised_since"]


def test_a_part_of_a_country_lies_in_it() -> None:
    assert {"somerset", "england", "united kingdom"} <= origins_of(KNOWN)
    assert origins_of(SILENT) == frozenset()
