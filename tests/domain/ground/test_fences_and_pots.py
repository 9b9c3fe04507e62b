"""Trained trees on the sunny side of a fence that throws its shade; pots without set-backs of roots; kinds of area."""

from typing import Any

import numpy as np
import pytest

from domain.ground.layout_answer import RectangleLayout
from domain.ground.plot import Obstacle, rectangle_plot
from domain.ground.plot_layouts import lay_out
from domain.ground.room import room_for
from domain.ground.set_backs import Kind, set_back
from tests.domain.ground.drawing import asked

GARDEN: dict[str, Any] = {"rectangle_m": [18, 6], "latitude": 50, "arrangement": "fence", "spread_m": 4.5}


def fence(y_m: float, height_m: float | None = None) -> dict[str, Any]:
    return {"corners_m": [[0, y_m], [18, y_m]], "line": True, "kind": "fence", "height_m": height_m}


def laid(**body: object) -> RectangleLayout:
    answer = lay_out(asked(**body))
    assert isinstance(answer, RectangleLayout)
    return answer


def hours(answer: RectangleLayout) -> list[float]:
    return [tree.sun_hours for tree in answer.trees if tree.sun_hours is not None]


def test_a_fence_shades_the_trees_that_it_carries() -> None:
    """The shaded side of a wall 3 m high is told as too dark; its other side, and a low fence, are not."""
    south = laid(**GARDEN | {"rectangle_m": [18, 3]}, fence_m=[[0, 0], [18, 0]], areas_m=[fence(0, 3)])
    north = laid(**GARDEN | {"rectangle_m": [18, 3]}, fence_m=[[0, 3], [18, 3]], areas_m=[fence(3, 3)])
    assert south.count == north.count == 4
    assert {tree.sun for tree in south.trees} == {"too_little"}
    assert {tree.sun for tree in north.trees} == {"good"}
    assert max(hours(south)) < min(hours(north)) - 4
    assert "trees_too_dark" in [limit.code for limit in south.limits]
    assert "trees_too_dark" not in [limit.code for limit in north.limits]


def test_a_taller_fence_takes_more_sun_and_one_not_drawn_is_there_all_the_same() -> None:
    told = [
        min(hours(laid(**GARDEN | {"rectangle_m": [18, 3]}, fence_m=[[0, 0], [18, 0]], areas_m=areas)))
        for areas in ([], [fence(0, 3)], [fence(0, 6)])
    ]
    assert told == sorted(told, reverse=True)
    assert told[0] - told[-1] > 2
    assert told[0] < 10  # of a fence of usual height, though nobody drew it among the areas


@pytest.mark.parametrize(("latitude", "south_side"), [(50.0, True), (-50.0, False)])
@pytest.mark.parametrize("drawn", [[[0, 3], [18, 3]], [[18, 3], [0, 3]]])
def test_the_sunnier_side_wins_whichever_way_a_fence_is_drawn(
    latitude: float, south_side: bool, drawn: list[list[float]]
) -> None:
    answer = laid(**GARDEN | {"latitude": latitude}, fence_m=drawn, areas_m=[fence(3, 2)])
    assert answer.count == 4
    assert {tree.y_m < 3 for tree in answer.trees} == {south_side}


def test_no_more_is_said_to_fit_along_a_fence_than_its_length_holds() -> None:
    answer = laid(**GARDEN | {"spread_m": 4.0}, fence_m=[[0, 3], [18, 3]])
    assert (answer.count, answer.most_that_fit) == (4, 4)


def test_pots_stand_before_their_own_house() -> None:
    """A balcony of 3 by 1.4 m holds its pots with the house drawn as without; trees in its ground keep off."""
    house = {"corners_m": [[0, 1.4], [3, 1.4], [3, 4], [0, 4]], "kind": "house"}
    balcony = {"rectangle_m": [3, 1.4], "latitude": 50, "spread_m": 0.8}
    with_house, without = (laid(**balcony, arrangement="pots", areas_m=areas) for areas in ([house], []))
    assert with_house.count == without.count == 3
    assert [back.code for back in with_house.set_backs] == ["set_back_pot"]
    assert laid(**balcony, areas_m=[house]).count == 0


@pytest.mark.parametrize("kind", ["house", "shrinkable_clay", "fence", "path", "buried_line", "septic_field"])
def test_what_is_kept_for_roots_does_not_bind_a_pot(kind: Kind) -> None:
    in_ground, in_pot = set_back(kind, 1.0, 1.5), set_back(kind, 1.0, 1.5, in_pot=True)
    assert in_pot.trunk_distance_m <= 0.5 < in_ground.trunk_distance_m
    assert set_back(kind, 1.0, 1.5, told_m=2.0, in_pot=True).trunk_distance_m == 2.0


@pytest.mark.parametrize("kind", ["power_line", "transformer", "existing_tree", "pitch", "other"])
def test_what_is_kept_for_the_crown_binds_a_pot_too(kind: Kind) -> None:
    assert set_back(kind, 1.0, 1.5, in_pot=True) == set_back(kind, 1.0, 1.5)


@pytest.mark.parametrize("kind", ["pond", "pitch", "well", "bank"])
@pytest.mark.parametrize("spread", [1.5, 4.0])
def test_trunks_keep_off_what_may_lie_in_a_large_garden(kind: Kind, spread: float) -> None:
    thing = rectangle_plot((5, 5)).ground
    plot = rectangle_plot((30, 30))
    plot = type(plot)(plot.ground, plot.frame, (Obstacle(thing, kind),))
    region = room_for(plot, spread, 2.5).region
    back = set_back(kind, spread, 2.5)
    assert region.distance(thing) == pytest.approx(back.trunk_distance_m, abs=0.02)
    assert back.trunk_distance_m >= 1.0
    if kind != "bank":
        assert back.trunk_distance_m >= spread / 2


def test_crowns_keep_the_published_margin_of_a_pitch() -> None:
    """The Football Association, Goalpost and Pitch Sizes, 2016: 3 m of run-off about a natural grass pitch."""
    for spread in (1.5, 2.4, 4.0):
        assert set_back("pitch", spread, 3.0).trunk_distance_m - spread / 2 == pytest.approx(3.0)


def test_corners_of_a_wall_are_drawn_from_both_sides() -> None:
    """Along two walls at a corner of a garden trees stand within it, on each wall, none in another's crown."""
    answer = laid(
        rectangle_m=[12, 9], latitude=50, arrangement="fence", spread_m=1.5, fence_m=[[0, 0], [0, 9], [12, 9]]
    )
    places = np.array([(tree.x_m, tree.y_m) for tree in answer.trees])
    assert answer.count == 12
    apart = np.hypot(*(places[:, None] - places[None, :]).transpose(2, 0, 1))
    assert float(apart[~np.eye(len(places), dtype=bool)].min()) > 0.7
    assert (np.abs(places[:, 0] - 0.35) < 0.01).sum() + (np.abs(places[:, 1] - 8.65) < 0.01).sum() == 12


@pytest.mark.parametrize(("kind", "holds"), [("house", True), ("shrinkable_clay", False)])
def test_trees_are_trained_along_the_wall_of_a_house_but_not_on_shrinkable_clay(kind: str, holds: bool) -> None:
    """Extension services espalier apples along a garage wall (University of Minnesota)."""
    house = {"corners_m": [[0, 6], [18, 6], [18, 12], [0, 12]], "kind": kind, "height_m": 5}
    answer = laid(**GARDEN, fence_m=[[0, 6], [18, 6]], areas_m=[house])
    assert (answer.count == 4) is holds
    if holds:
        assert {tree.y_m for tree in answer.trees} == {5.65}
        assert {tree.sun for tree in answer.trees} == {"good"}
        assert {"ask_locally", "wires"} <= {caution.code for caution in answer.cautions}
        behind = laid(**GARDEN | {"latitude": -50}, fence_m=[[0, 6], [18, 6]], areas_m=[house])
        assert {tree.sun for tree in behind.trees} == {"too_little"}
