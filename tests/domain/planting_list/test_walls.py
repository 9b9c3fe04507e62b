"""Lists trained along drawn fences and walls: on the sunny side, where free trees do not fit, by bearing habit."""

import itertools
from typing import Any

import numpy as np
import pytest
import shapely

from domain.common.faults import ContentFaults
from domain.ground.geojson import AreaInMetres
from domain.ground.plot import Plot, rectangle_plot
from domain.planting_list.ground import Ground
from domain.planting_list.list_answer import PlantedTree, PlantingLists
from domain.planting_list.list_request import Space, Wanted
from domain.planting_list.lists import lists_for
from domain.planting_list.space import Room, room
from domain.planting_list.wishes import Wishes
from domain.trees.tree_choices import TreeWishes
from tests.domain.planting_list.nursery import sited
from tests.domain.planting_list.test_lists_on_ground import EUROPE, mixed, on, trunk
from tests.domain.pollination.orchard import cultivar

ALONG = TreeWishes(against_fence=True)


def wall(*corners: tuple[float, float], height_m: float = 1.8) -> AreaInMetres:
    return AreaInMetres(corners_m=list(corners), line=True, kind="fence", height_m=height_m)


def strip(latitude: float = 51.0) -> Plot:
    return rectangle_plot((22, 2), latitude=latitude, areas=[wall((0, 2), (22, 2))])


def assert_along(told: PlantingLists, line: shapely.LineString) -> None:
    for one in told.planting_lists:
        crowns = []
        for tree in one.trees:
            assert tree.size is not None
            assert tree.size.depth_m is not None
            at = shapely.Point(trunk(tree))
            assert at.distance(line) == pytest.approx(0.4, abs=0.02)
            reach = line.project(at)
            crowns.append((reach - tree.size.crown_spread_m.likely / 2, reach + tree.size.crown_spread_m.likely / 2))
        crowns.sort()
        assert crowns[0][0] >= -0.02
        assert crowns[-1][1] <= line.length + 0.02
        assert all(b[0] >= a[1] - 0.02 for a, b in itertools.pairwise(crowns))


def test_a_list_stands_along_its_fence() -> None:
    told = on(strip(), mixed(), lists=2, trees=ALONG)
    assert len(told.planting_lists[0].trees) >= 6
    assert {tree.tree_form for tree in told.planting_lists[0].trees} <= {
        "oblique cordon",
        "espalier",
        "fan",
        "stepover",
    }
    assert_along(told, shapely.LineString([(0, 2), (22, 2)]))
    assert told.best_possible_value is not None
    assert told.planting_lists[0].value <= told.best_possible_value + 1e-9
    assert told.assumptions == ()


def test_trained_trees_are_offered_where_free_trees_do_not_fit() -> None:
    told = on(strip(), mixed(), lists=1)
    assert_along(told, shapely.LineString([(0, 2), (22, 2)]))
    assert [(one.field, one.assumed) for one in told.assumptions] == [("space.stand", "fence")]
    bare = on(rectangle_plot((22, 0.3), latitude=51.0), mixed(), lists=1)
    assert bare.planting_lists == ()


def test_full_ground_names_its_walls() -> None:
    plot = rectangle_plot((6, 6), latitude=51.0, areas=[wall((0, 6), (6, 6))])
    told = on(plot, mixed(), most=40, lists=1)
    (space,) = [limit for limit in told.limits if limit.limit == "space"]
    assert space.relax.code == "relax_ground_by_walls"
    assert space.relax.values["wall_m"] == pytest.approx(6, abs=1)


def test_a_wall_without_sun_is_not_planted_and_told() -> None:
    dark = rectangle_plot((12, 3), latitude=51.0, areas=[wall((0, 0), (12, 0), height_m=3.0)])
    told = on(dark, mixed(), lists=1, trees=ALONG)
    assert told.planting_lists == ()
    assert told.limits[0].code == "walls_hold_no_tree"
    south = rectangle_plot((12, 3), latitude=-51.0, areas=[wall((0, 0), (12, 0), height_m=3.0)])
    assert len(on(south, mixed(), lists=1, trees=ALONG).planting_lists[0].trees) >= 4


def test_of_a_wall_amid_a_yard_the_sunny_side_is_planted() -> None:
    yard = [(2.0, 4.0), (10.0, 4.0), (10.0, 4.3), (2.0, 4.3)]
    plot = rectangle_plot((12, 9), latitude=51.0, areas=[AreaInMetres(corners_m=yard, kind="fence", height_m=2.5)])
    trees = on(plot, mixed(), lists=1, trees=ALONG).planting_lists[0].trees
    assert len(trees) >= 3
    assert all(trunk(tree)[1] == pytest.approx(3.6, abs=0.02) for tree in trees)
    assert all(tree.place is not None and tree.place.sun in ("good", "usable") for tree in trees)


def habits() -> dict[str, str]:
    return {"Spur": "spur", "Half": "partial_tip", "Tip": "tip"}


def of_habits(**asked: Any) -> dict[str, PlantedTree]:
    made = [cultivar(name, vigour=3.0, fruiting_habit=habit) for name, habit in habits().items()]
    at = sited(made)
    plot = rectangle_plot((20, 12), latitude=51.0, areas=[wall((0, 12), (20, 12))])
    wished = Wishes(
        room=Room(3, plot),
        most_trees=3,
        rootstocks=EUROPE,
        must_include=tuple(one.id for one in made),
        lists=1,
        **asked,
    )
    told = lists_for(wished, at, {one.id: one for one in made})
    return {tree.cultivar: tree for tree in told.planting_lists[0].trees}


def test_a_bearing_habit_is_never_given_a_form_that_it_forbids() -> None:
    """A tip bearer stands as a free bush and the answer says so, whatever height is asked."""
    for trees in (
        ALONG,
        TreeWishes(against_fence=True, keep_height_m=2.0),
        TreeWishes(against_fence=True, keep_height_m=1),
    ):
        found = of_habits(trees=trees)
        assert set(found) == set(habits())
        assert found["Half"].tree_form == "fan"
        assert found["Tip"].tree_form == "bush"
        assert found["Tip"].training[0].code == "not_on_a_fence"
        place = shapely.Point(trunk(found["Tip"]))
        assert place.distance(shapely.LineString([(0, 12), (20, 12)])) >= 1.5
    pots = of_habits(trees=TreeWishes(in_pot=True))
    assert pots["Half"].tree_form == "tree in a pot"
    assert pots["Tip"].tree_form == "bush"
    assert pots["Tip"].training[0].code == "not_in_a_pot"


def test_a_fence_must_be_drawn_or_its_trees_counted() -> None:
    with pytest.raises(ContentFaults) as raised:
        room(Space(rectangle_m=(9.0, 9.0), stand="fence"), Wanted(), 51.0, [])
    assert [fault.pointer for fault in raised.value.faults] == ["#/space/stand"]
    assert room(Space(tree_count=3, stand="fence"), Wanted(), 51.0, []).tree_count == 3
    drawn = Space(rectangle_m=(9.0, 9.0), stand="fence", areas_m=[wall((0, 9), (9, 9))])
    assert room(drawn, Wanted(), 51.0, []).plot is not None


def test_sun_of_walls_is_that_of_their_place() -> None:
    """Two walls of a garden: the one that faces the noon sun comes first, the one that faces away has no run."""
    plot = rectangle_plot(
        (12, 12), latitude=51.0, areas=[wall((0, 12), (12, 12), height_m=3), wall((0, 0), (12, 0), height_m=3)]
    )
    ground = Ground(plot)
    assert ground.wall_m == pytest.approx(12.0, abs=0.2)
    assert np.isclose(plot.ground.area, ground.drawn_m2)


def test_the_wall_of_a_house_carries_a_list() -> None:
    house = AreaInMetres(corners_m=[(0, 6), (12, 6), (12, 10), (0, 10)], kind="house", height_m=5.0)
    plot = rectangle_plot((12, 6), latitude=51.0, areas=[house])
    trees = on(plot, mixed(), lists=1, trees=ALONG).planting_lists[0].trees
    assert len(trees) >= 3
    assert all(trunk(tree)[1] == pytest.approx(5.6, abs=0.02) for tree in trees)


@pytest.mark.parametrize("told", [3.0, 5.0, 8.0, None])
def test_a_wall_that_faces_the_noon_sun_is_planted_whatever_sun_is_told(told: float | None) -> None:
    trees = on(strip(), mixed(), lists=1, trees=ALONG, sun_hours=told).planting_lists[0].trees
    assert len(trees) >= 6
    hours = [tree.place.sun_hours for tree in trees if tree.place is not None and tree.place.sun_hours is not None]
    assert len(hours) == len(trees)
    assert told is None or max(hours) <= told + 0.05


def test_the_shady_side_of_a_low_fence_is_not_planted_with_what_its_neighbours_shade() -> None:
    """A strip north of a fence of 2 m: cordons amid others would get four hours; columnar trees in front get twelve."""
    shady = rectangle_plot((22, 2), latitude=51.0, areas=[wall((0, 0), (22, 0), height_m=2.0)])
    assert Ground(shady).wall_m == 0.0
    assert Ground(strip()).wall_m == pytest.approx(22.0, abs=0.2)
    told = on(strip(), mixed(), lists=1, trees=ALONG).planting_lists[0]
    assert all(tree.place is not None and tree.place.sun == "good" for tree in told.trees)
