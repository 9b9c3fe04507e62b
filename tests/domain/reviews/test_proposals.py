"""What a review proposes can be had there, breaks nothing else, and claims nothing of trees that nobody knows."""

from typing import Any

import msgspec
import pytest

from domain.planting_list.planting_lists import passed_over_here, plantable
from domain.planting_list.tree_worth import FIGURES as WORTH
from domain.reviews.review_answer import PlantingListReview
from domain.site_climate.site import Site
from domain.tables import cautions
from tests import shared
from tests.domain.reviews.test_changes import KENT, answered

NELSON = {"latitude": -41.2, "longitude": 173.0}
HELSINKI = {"latitude": 60.2, "longitude": 24.9}
COLORADO = {"latitude": 38.6, "longitude": -107.6, "elevation_m": 1700}
PLANNED = {"state": "planned"}


def proposed(found: PlantingListReview) -> list[str]:
    return [one.to.id for one in found.changes if one.to is not None]


@pytest.mark.parametrize("site", [KENT, NELSON, HELSINKI, COLORADO], ids=["kent", "nelson", "helsinki", "colorado"])
@pytest.mark.parametrize(
    "trees",
    [
        [{"cultivar": "Anna", "year_planted": 2015}],
        [{"cultivar": "Court Pendu Plat", "year_planted": 2015}],
        [{"cultivar": "Vista Bella", **PLANNED}, {"cultivar": "Beauty of Bath", **PLANNED}],
        [{"cultivar": "Cripps Pink", **PLANNED}, {"cultivar": "Discovery", **PLANNED}],
    ],
    ids=["early bloom", "late bloom", "early", "late"],
)
def test_nothing_is_proposed_that_is_passed_over_there(site: dict[str, Any], trees: list[dict[str, Any]]) -> None:
    catalogue = shared.catalogue()
    found = answered(site, *trees, room_for_trees=2, changes_at_most=20, wanted={"uses": ["dessert", "cider"]})
    traits = plantable(catalogue, ())
    conditions = shared.conditions(msgspec.convert(site, Site))
    over = dict(zip((one.id for one in traits.cultivars), passed_over_here(traits, conditions), strict=True))
    assert [one for one in proposed(found) if over[one] >= WORTH.passed_over_from] == []


def test_what_the_caller_can_have_is_proposed_though_nobody_there_names_it() -> None:
    found = answered(
        NELSON, {"cultivar": "Braeburn", "year_planted": 2015}, neighbourhood="isolated", available=["Gerlinde"]
    )
    assert "gerlinde" in proposed(found)


def test_of_a_planting_without_a_name_nothing_is_claimed() -> None:
    found = answered(KENT, {"cultivar": None, "label": "old"}, {"cultivar": None, "label": "older"})
    assert (found.verdict, found.said.code) == ("not_known", "review_not_known")
    assert {tree.said.code for tree in found.trees} == {"review_tree_unnamed"}
    assert [one.code for one in found.changes] == ["change_leave_unnamed"]


def test_what_is_sound_is_so_but_for_the_tree_without_a_name() -> None:
    named = [{"cultivar": "James Grieve"}, {"cultivar": "Discovery"}]
    found = answered(KENT, *named, {"cultivar": None, "label": "old"})
    assert (found.verdict, found.said.code) == ("sound", "review_sound_as_far_as_known")
    assert found.said.values["trees"] == ("old",)
    assert found.changes[0].values["trees"] == ("old",)


def test_a_tree_without_a_name_is_no_partner_for_itself() -> None:
    alone = answered(KENT, {"cultivar": None})
    two = answered(KENT, {"cultivar": None}, {"cultivar": None})
    assert alone.trees[0].pollination.pollinated < 0.3
    assert two.trees[0].pollination.pollinated > 0.6


def test_a_crab_apple_of_no_name_gives_pollen_and_leaves_nothing_open() -> None:
    found = answered(KENT, {"cultivar": "James Grieve"}, {"cultivar": None, "kind": "crab_apple"})
    assert found.said.code == "review_sound"


def test_where_no_stock_is_told_those_that_stand_the_ground_are() -> None:
    limy = {**KENT, "ground": {"ph": 8.1, "sun_hours": 8}}
    trees = [{"cultivar": name, **PLANNED} for name in ("James Grieve", "Discovery")]
    (told,) = [one for one in answered(limy, *trees).changes if one.change == "other_stock"]
    assert (told.code, told.of) == ("change_order_on_stock", None)
    assert (told.values["trees"], told.values["hazards"]) == (("James Grieve", "Discovery"), ("lime",))
    assert told.values["rootstocks"]
    assert not [one for one in answered(KENT, *trees).changes if one.change == "other_stock"]


def test_a_tree_whose_pollen_is_wanted_is_not_taken_out_before_a_branch_of_it_is_grafted() -> None:
    """Jonagold has no pollen of use, so that Fuji hangs on Tsugaru between them; a fourth tree would serve both."""
    usual = {"year_planted": 2005, "rootstock": "MM.106"}
    row = [
        {"cultivar": "Fuji", "at_m": [2, 2], **usual},
        {"cultivar": "Tsugaru", "at_m": [4, 2], **usual},
        {"cultivar": "Jonagold", "at_m": [6, 2], **usual},
    ]
    hokkaido = {"latitude": 43.1, "longitude": 141.3}
    found = answered(hokkaido, *row)
    assert removed(found) == [("change_remove_but_graft", "Tsugaru")]
    assert cautions.PLANT_HEALTH in found.cautions
    assert cautions.GRAFTING_KNIVES in found.cautions
    far = {"cultivar": "Golden Delicious", "at_m": [4, 16], **usual}
    assert removed(answered(hokkaido, *row, far)) == [("change_remove", "Tsugaru")]


def test_pollen_that_a_crab_apple_alone_would_miss_keeps_no_tree() -> None:
    usual = {"year_planted": 2005, "rootstock": "MM.106"}
    row = [
        {"cultivar": "Evereste", "at_m": [2, 2], **usual},
        {"cultivar": "Discovery", "at_m": [4, 2], **usual},
        {"cultivar": "Evereste", "at_m": [6, 2], **usual},
    ]
    assert removed(answered(KENT, *row)) == [("change_remove", "Discovery")]


def removed(found: PlantingListReview) -> list[tuple[str, str | None]]:
    return [(one.code, one.of) for one in found.changes if one.change == "remove"]


def test_of_many_trees_alike_one_gives_way_for_a_use() -> None:
    trees = [{"cultivar": name, "count": 4, **PLANNED} for name in ("Discovery", "Egremont Russet")]
    found = answered(KENT, *trees, wanted={"uses": ["dessert", "cider"]})
    assert "change_replace_one_for_use" in [one.code for one in found.changes]


def test_a_barren_tree_among_many_without_a_name_tells_nothing_of_the_whole() -> None:
    """Those of a wild garden may bear all that is wanted, or nothing."""
    barren = {"cultivar": "Cripps Pink", "label": "pink"}
    alone = answered(HELSINKI, barren, {"cultivar": None, "kind": "crab_apple"})
    assert alone.verdict in ("weak", "will_not_crop")
    among = answered(HELSINKI, barren, {"cultivar": None, "label": "old", "count": 5})
    assert (among.verdict, among.said.code) == ("not_known", "review_not_known_of_some")
    assert among.said.values["trees"] == ("old",)


def test_trees_alike_count_by_their_number_and_fail_together() -> None:
    one, two = {"cultivar": "Cripps Pink"}, {"cultivar": "Antonovka"}
    told = [answered(HELSINKI, one | {"count": n}, two).whole for n in (1, 3)]
    apart = answered(HELSINKI, one, one, one, two).whole
    assert told[1].years_with_enough_in_ten == apart.years_with_enough_in_ten
    assert told[1].years_with_no_crop_in_ten == told[0].years_with_no_crop_in_ten
    few, many = (one.years_with_enough_in_ten for one in told)
    assert few is not None
    assert many is not None
    assert many < few - 1.0


@pytest.mark.parametrize(
    ("available", "stand"),
    [(None, [("M.116", "MM.111", "M.9")]), (["mm111"], [("MM.111",)]), (["M.116"], [("M.116",)]), (["MM 106"], [])],
    ids=["any", "one", "another", "none that stands it"],
)
def test_stocks_told_as_available_are_taken_by_any_name_and_no_other_is_proposed(
    available: list[str] | None, stand: list[tuple[str, ...]]
) -> None:
    planned = {"cultivar": "Discovery", "state": "planned", "rootstock": "MM106"}
    wet = KENT | {"ground": {"drainage": "poor"}}
    found = answered(wet, planned, **({} if available is None else {"available": available}))
    assert [one.values["rootstocks"] for one in found.changes if one.change == "other_stock"] == stand
