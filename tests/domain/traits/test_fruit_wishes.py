"""Wishes for the fruit: met, not met, or nobody says; and wishes that contradict each other or name no place."""

import msgspec
import pytest

from domain.common.faults import ContentFaults
from domain.tables.cultivars import Cultivar, Estimate, Finding
from domain.traits.fruit_like import fruit_like
from domain.traits.fruit_wishes import (
    FruitWanted,
    check_fruit_wanted,
    origins_named,
    origins_of,
    wished,
    wishes_met,
)
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
ORIGINS = origins_named(frozenset({"Geneva, New York, USA", "CIV, Ferrara, Italy", "Japan", "Russia", "Devon"}))
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
    assert wishes_met(KNOWN, asked, frozenset({"traditional", "grown"}), ORIGINS) == {code: met}


def test_silence_is_neither_yes_nor_no() -> None:
    asked = FruitWanted(flavours=["sweet"], skins=["red"], raised_since=1990, origins=["France"], uses=["cider"])
    assert set(wishes_met(SILENT, asked, frozenset(), ORIGINS).values()) == {"not_known"}
    assert wished(FruitWanted()) == ()


def test_what_the_fruit_is_like_stands_as_the_texts_say() -> None:
    """Egremont Russet: Sussex, before 1872; National Fruit Collection, as its rows in the catalogue."""
    russet = shared.catalogue().tables.by_id["egremont-russet"]
    like = fruit_like(russet)
    assert like.skin == "russet"
    assert like.raised == 1872
    nothing = fruit_like(SILENT)
    assert (nothing.flavour, nothing.skin, nothing.keeps_weeks, nothing.raised, nothing.red_flesh) == (None,) * 5


@pytest.mark.parametrize(
    ("printed", "asked", "met"),
    [
        ("Former Soviet Union", "Russia", "not_known"),
        ("Former Soviet Union", "Japan", "not_met"),
        ("Russia", "Former Soviet Union", "met"),
        ("United Kingdom", "Somerset", "not_known"),
        ("England", "Somerset", "not_known"),
        ("South Devon, England", "Somerset", "not_met"),
        ("South Devon, England", "Devon", "met"),
        ("Minnesota, United States", "New York", "not_met"),
        ("University of Minnesota, United States", "Minnesota", "met"),
        ("New York, United States", "Geneva", "not_known"),
        ("Ohio, United States", "Geneva", "not_met"),
        ("Hirosaki University, Japan", "South Korea", "not_met"),
    ],
)
def test_a_place_that_only_contains_the_asked_one_is_no_no(printed: str, asked: str, met: str) -> None:
    met_here = wishes_met(apple(origin_place=printed), FruitWanted(origins=[asked]), frozenset(), ORIGINS)
    assert met_here == {"origins": met}


def test_no_cultivar_of_a_wider_place_is_told_as_from_elsewhere() -> None:
    tables = shared.catalogue().tables
    origins = origins_named(tables.origin_texts)
    asked = FruitWanted(origins=["Russia"])
    wide = [one for one in tables.cultivars if one.origin_texts == ("Former Soviet Union",)]
    assert len(wide) > 30
    assert {wishes_met(one, asked, frozenset(), origins)["origins"] for one in wide} == {"not_known"}


def test_a_place_that_no_text_names_is_refused_with_the_nearest() -> None:
    origins = origins_named(shared.catalogue().tables.origin_texts)
    with pytest.raises(ContentFaults) as refused:
        check_fruit_wanted(FruitWanted(origins=["Germny"]), origins, "wanted")
    (fault,) = refused.value.faults
    assert fault.pointer == "#/wanted/origins/0"
    assert "Germany" in fault.nearest
    asked = ["usa", "Holland", "minnesota", "Devon", "Somerset", "Scotland", "South Tyrol"]
    check_fruit_wanted(FruitWanted(origins=asked), origins, "wanted")


def test_who_raised_a_cultivar_is_offered_as_no_place() -> None:
    with pytest.raises(ContentFaults) as refused:
        check_fruit_wanted(FruitWanted(origins=["CIVV"]), ORIGINS)
    assert "Civ" not in refused.value.faults[0].nearest
    check_fruit_wanted(FruitWanted(origins=["CIV"]), ORIGINS)


def test_years_that_leave_none_between_them_are_refused() -> None:
    with pytest.raises(ContentFaults) as refused:
        check_fruit_wanted(FruitWanted(raised_since=1950, raised_before=1900), ORIGINS, "wanted")
    assert [fault.pointer for fault in refused.value.faults] == ["#/wanted/raised_since"]


def test_a_part_of_a_country_lies_in_it() -> None:
    assert {"somerset", "england", "united kingdom"} <= origins_of(KNOWN)
    assert origins_of(SILENT) == frozenset()
