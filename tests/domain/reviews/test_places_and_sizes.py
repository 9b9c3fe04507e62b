"""What is told of the place, the size and the last crop of a tree moves its review; what cannot be right is told."""

import math
from typing import Any

import msgspec
import numpy as np
import pytest

from domain.common.faults import ContentFaults
from domain.reviews.review_answer import PlantingListReview, ReviewedTreeAnswer
from domain.reviews.review_request import PlantingListReviewRequest
from domain.reviews.reviews import review
from tests import shared

KENT = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40}
HOUSE = {"kind": "house", "height_m": 6, "corners_m": [[0, 0], [8, 0], [8, 4], [0, 4]]}
GARDEN = {"rectangle_m": [20, 20], "areas_m": [HOUSE]}


def told(*trees: dict[str, Any], **more: Any) -> PlantingListReview:
    asked = {"site": KENT, "as_of": "2026-11-29", "neighbourhood": "isolated", "trees": list(trees), **more}
    request = msgspec.convert(asked, PlantingListReviewRequest)
    return review(request, shared.catalogue(), shared.conditions(request.site))


def first(*trees: dict[str, Any], **more: Any) -> ReviewedTreeAnswer:
    return told(*trees, **more).trees[0]


def chance(tree: ReviewedTreeAnswer, cause: str) -> float:
    return next((one.probability for one in tree.likely_causes if one.cause == cause), 0.0)


def faults(*trees: dict[str, Any], **more: Any) -> dict[str, str]:
    with pytest.raises(ContentFaults) as refused:
        told(*trees, **more)
    return {fault.pointer: fault.detail for fault in refused.value.faults}


def test_a_partner_far_away_serves_less() -> None:
    cox, other = {"cultivar": "Cox's Orange Pippin"}, {"cultivar": "Discovery"}
    beside = first({**cox, "at_m": [0, 0]}, {**other, "at_m": [6, 0]})
    far = first({**cox, "at_m": [0, 0]}, {**other, "at_m": [1500, 0]})
    assert beside.pollination.pollinated == first(cox, other).pollination.pollinated
    assert far.pollination.pollinated < 0.5 * beside.pollination.pollinated
    assert beside.pollination.partners[0].distance_m == 6.0
    assert beside.pollination.partners[0].probability > 0.8
    assert far.pollination.partners == () or far.pollination.partners[0].probability < 0.6


def test_places_in_degrees_are_as_far_apart_as_on_the_earth() -> None:
    """A degree of latitude is 111.2 km (a sphere of 6,371 km): a thousandth of it 111 m."""
    north = first({"cultivar": "Discovery", "at": [0.5, 51.3]}, {"cultivar": "Gala", "at": [0.5, 51.301]})
    assert north.room is not None
    assert north.room.nearest_m == pytest.approx(111.2, abs=0.5)


def test_a_tall_neighbour_to_the_south_takes_the_sun() -> None:
    tree = {"cultivar": "Discovery", "at_m": [0, 10], "height_m": 2.5, "spread_m": 2.5, "complaints": ["no_bloom"]}
    tall = {"cultivar": "Bramley's Seedling", "at_m": [0, 7], "height_m": 9, "spread_m": 8}
    north = {**tall, "at_m": [0, 13]}
    shaded, open_ = first(tree, tall), first(tree, north)
    assert shaded.room is not None
    assert open_.room is not None
    assert shaded.room.sun_hours is not None
    assert open_.room.sun_hours is not None
    assert shaded.room.sun_hours < open_.room.sun_hours - 1.0
    assert chance(shaded, "too_shaded") > chance(open_, "too_shaded")


def test_a_house_that_is_drawn_takes_the_sun_of_what_stands_behind_it() -> None:
    behind = {"cultivar": "Discovery", "at_m": [4, 5], "height_m": 2.5, "spread_m": 2.0, "rootstock": "M.9"}
    other = {"cultivar": "Gala", "at_m": [15, 15], "height_m": 2.5, "spread_m": 2.0, "rootstock": "M.9"}
    dark, bright = told(behind, other, space=GARDEN).trees
    assert dark.room is not None
    assert bright.room is not None
    assert (dark.room.sun_hours or 0.0) < (bright.room.sun_hours or 0.0) - 2.0


def test_crowded_trees_are_moved_while_they_can_be() -> None:
    def kinds(**tree: Any) -> list[str]:
        both = ({"cultivar": name, "rootstock": "M.25", **tree} for name in ("Discovery", "James Grieve"))
        trees = [{**one, "at_m": [n * 2.0, 0]} for n, one in enumerate(both)]
        return [one.change for one in told(*trees).changes]

    assert "move" in kinds(state="planned")
    assert "move" in kinds(year_planted=2025)
    assert "remove" in kinds(year_planted=2005)
    dwarfs = [{"cultivar": n, "rootstock": "M.27", "at_m": [x, 0]} for n, x in (("Discovery", 0), ("Gala", 2.5))]
    assert not {"move", "remove"} & {one.change for one in told(*dwarfs).changes}


def test_a_crown_wider_than_its_roots_make_one_is_told() -> None:
    tree = {"cultivar": "Discovery", "rootstock": "M.27", "complaints": ["outgrew_its_place"], "year_planted": 2010}
    wide, usual = first({**tree, "spread_m": 7.0}), first({**tree, "spread_m": 1.5})
    assert wide.room is not None
    assert usual.room is not None
    assert (wide.room.outgrown, usual.room.outgrown) == (True, False)
    assert wide.room.said is not None
    assert wide.room.said.code == "room_outgrown"
    assert chance(wide, "too_vigorous") > chance(usual, "too_vigorous")


def test_a_strong_rootstock_speaks_for_itself() -> None:
    tree = {"cultivar": "Discovery", "complaints": ["outgrew_its_place"], "year_planted": 2005}
    assert chance(first({**tree, "rootstock": "M.25"}), "stock_too_strong") > 2 * chance(
        first({**tree, "rootstock": "M.27"}), "stock_too_strong"
    )


def test_a_last_crop_moves_the_causes_of_having_none() -> None:
    def asked(*seen: str) -> ReviewedTreeAnswer:
        dates = [{"event": "last_crop", "date": day} for day in seen]
        tree = {"cultivar": "Bramley's Seedling", "year_planted": 2023, "complaints": ["no_bloom"], "seen": dates}
        return first(tree, {"cultivar": "Discovery"}, {"cultivar": "James Grieve"})

    never, lately, long_ago = asked(), asked("2025-10-10"), asked("2023-10-10")
    assert chance(lately, "too_young") < 0.2 * chance(never, "too_young")
    assert chance(lately, "biennial") > chance(long_ago, "biennial")


@pytest.mark.parametrize(
    ("tree", "code"),
    [
        ({"year_planted": 2020, "seen": [{"event": "full_bloom", "date": "2018-05-02"}]}, "told_before_planted"),
        ({"complaints": ["no_bloom"], "seen": [{"event": "full_bloom", "date": "2026-05-02"}]}, "told_bloom_seen"),
        ({"complaints": ["no_bloom"], "seen": [{"event": "last_crop", "date": "2026-09-02"}]}, "told_crop_seen"),
        ({"rootstock": "M.27", "height_m": 7.0}, "told_stock_doubted"),
    ],
)
def test_what_cannot_all_be_right_is_told_and_not_refused(tree: dict[str, Any], code: str) -> None:
    found = first({"cultivar": "Discovery", **tree}, {"cultivar": "Gala"})
    assert [one.code for one in found.contradictions] == [code]
    assert first({"cultivar": "Discovery"}, {"cultivar": "Gala"}).contradictions == ()


def test_a_tree_on_the_house_is_refused_at_its_place() -> None:
    found = faults({"cultivar": "Discovery", "at_m": [4, 2]}, {"cultivar": "Gala", "at_m": [30, 2]}, space=GARDEN)
    assert "house" in found["#/trees/0/at_m"]
    assert "outside the ground" in found["#/trees/1/at_m"]


@pytest.mark.parametrize(
    ("trees", "more", "pointer"),
    [
        ([{"at": [0.5, 51.3]}, {"at_m": [0, 0]}], {}, "#/trees/1/at_m"),
        ([{"at_m": [0, 0], "count": 3}], {}, "#/trees/0/count"),
        ([{"at": [0.5, 51.3]}], {"space": GARDEN}, "#/trees/0/at"),
        ([{"at": [500, 53.75]}], {}, "#/trees/0/at"),
        ([{"at": [0.5, 51.3]}, {"at": [179, 91]}], {}, "#/trees/1/at"),
        ([{"at": [0.5, 51.3]}, {"at": [-179.5, -51.3]}], {}, "#/trees/1/at"),
        ([{"at": [0.5, 51.3]}, {"at": [51.3, 0.5]}], {}, "#/trees/1/at"),
        ([{"at": [0.5, 51.3]}, {"at": [0.5, 51.35]}], {}, "#/trees/1/at"),
        ([{}], {"space": {"areas_m": [HOUSE]}}, "#/space"),
        ([{"tree_form": "dragon"}], {}, "#/trees/0/tree_form"),
        ([{"year_planted": 2031}], {}, "#/trees/0/year_planted"),
    ],
)
def test_bad_places_are_told_at_their_field(trees: list[dict[str, Any]], more: dict[str, Any], pointer: str) -> None:
    assert pointer in faults(*({"cultivar": "Discovery", **tree} for tree in trees), **more)


PLOT = {"type": "Polygon", "coordinates": [[[0.5, 51.3], [0.501, 51.3], [0.501, 51.301], [0.5, 51.301], [0.5, 51.3]]]}


@pytest.mark.parametrize("more", [{}, {"space": {"plot": PLOT}}])
def test_places_far_from_the_site_are_told(more: dict[str, Any]) -> None:
    def codes(latitude: float) -> list[str]:
        tree = {"cultivar": "Discovery", "at": [0.5005, 51.3005]}
        return [one.code for one in told(tree, site=KENT | {"latitude": latitude}, **more).warnings]

    assert "plot_far_from_site" not in codes(51.3)
    assert "plot_far_from_site" in codes(52.3), "a degree of latitude is 111 km"


def test_three_hundred_trees_of_one_label_are_judged_each() -> None:
    trees = [{"cultivar": "Discovery", "label": "row", "at_m": [4.0 * (n % 20), 5.0 * (n // 20)]} for n in range(300)]
    found = told(*trees)
    assert len(found.trees) == 300
    assert {tree.label for tree in found.trees} == {"row"}
    assert found.changes


def test_records_of_the_last_bloom_decide_on_its_frost() -> None:
    """Sixteen usual springs and one whose bloom froze: the frost of the year asked about is what is told."""

    def frost(as_of: str) -> float:
        tmin, tmax = [], []
        noise = [0.0]
        for draw in np.random.default_rng(13).normal(0.0, 1.5, 6393).tolist():
            noise.append(round(0.7 * noise[-1] + draw, 1))  # one day leans on the one before
        for day in range(6393):
            season = 6.0 + 7.0 * math.cos(2 * math.pi * (day % 365 - 25) / 365) + noise[day]
            frozen = day // 365 == 16 and 280 <= day % 365 <= 330
            tmin.append(season - 12.0 if frozen else season)
            tmax.append(season + 9.0)
        records = {"first_day": "2009-07-01", "tmin_c": tmin, "tmax_c": tmax}
        asked = {
            "site": {"latitude": 51.3, "longitude": 0.5, "daily_records": records},
            "as_of": as_of,
            "trees": [{"cultivar": "Discovery", "complaints": ["bloom_but_no_fruit"]}, {"cultivar": "Gala"}],
        }
        request = msgspec.convert(asked, PlantingListReviewRequest)
        found = review(request, shared.catalogue(), shared.conditions(request.site))
        return chance(found.trees[0], "frost_took_the_bloom")

    assert frost("2026-11-20") > frost("2025-11-20") + 0.2
