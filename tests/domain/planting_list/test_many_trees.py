"""Lists of more trees than cultivars: groups alike, on the ground, with a bound; and what four hundred trees cost."""

import itertools
from collections import Counter

import msgspec
import numpy as np
import pytest
import shapely

from domain.ground.plot import rectangle_plot
from domain.planting_list.list_request import MOST_CULTIVARS, MOST_TREES, Space, Wanted
from domain.planting_list.space import Room
from domain.planting_list.wishes import Wishes
from tests.domain.planting_list.nursery import answer, many, sited
from tests.domain.planting_list.test_lists_on_ground import EUROPE, mixed, on, trunk
from tests.domain.pollination.orchard import cultivar


@pytest.mark.parametrize(("trees", "each"), [(1, 1), (40, 1), (41, 2), (80, 2), (81, 3), (400, 10)])
def test_trees_of_a_cultivar(trees: int, each: int) -> None:
    wished = Wishes(room=Room(trees))
    assert wished.trees_of_each == each
    assert wished.places == trees // each <= MOST_CULTIVARS


@pytest.mark.parametrize("trees", [4, 5, 6])
def test_a_second_tree_of_few_cultivars_is_of_the_same_and_not_of_its_sport(trees: int) -> None:
    """A cultivar and its sport give each other no pollen: as a second tree the sport is worth no more."""
    made = [cultivar("A"), cultivar("Red A", sport_of="a"), cultivar("B"), cultivar("C")]
    named = [tree.cultivar for tree in answer(sited(made), trees, lists=1).planting_lists[0].trees]
    assert len(named) == trees
    assert Counter(named).most_common(1)[0][1] == 2
    assert len({"A", "Red A"} & set(named)) == 1
    better = answer(sited(made, rank={"Red A": 0.9}), trees, lists=1).planting_lists[0].trees
    assert "A" not in {tree.cultivar for tree in better}


@pytest.mark.parametrize("trees", [41, 60, 83, MOST_TREES])
def test_as_many_trees_as_asked_in_groups_alike(trees: int) -> None:
    told = answer(many(90, seed=5), trees, lists=2, rootstocks=EUROPE)
    for one in told.planting_lists:
        counts = Counter(tree.id for tree in one.trees)
        each = Wishes(room=Room(trees)).trees_of_each
        assert sum(counts.values()) == trees
        assert len(counts) == trees // each
        assert set(counts.values()) <= {each, each + 1}
        assert [reason.code for reason in one.why].count("cultivars_stand_in_groups") == 1
    assert told.best_possible_value is not None
    assert told.planting_lists[0].value <= told.best_possible_value + 1e-9


def test_a_community_orchard_stands_in_its_ground() -> None:
    plot = rectangle_plot((120, 90), latitude=51.0)
    told = on(plot, many(90, seed=5), most=300, lists=1)
    (one,) = told.planting_lists
    assert len(one.trees) == 300
    places = np.array([trunk(tree) for tree in one.trees])
    spreads = np.array([tree.size.crown_spread_m.likely for tree in one.trees if tree.size is not None])
    tree = shapely.STRtree(shapely.points(places))
    _, apart = tree.query_nearest(shapely.points(places), exclusive=True, return_distance=True, all_matches=False)
    assert float((apart - spreads).min()) > -0.02
    assert (places > spreads[:, None] / 2 - 0.02).all()
    assert (places < np.array([120, 90]) - spreads[:, None] / 2 + 0.02).all()
    assert one.layout is not None
    assert one.layout.most_that_fit >= 300
    assert told.best_possible_value is not None
    assert one.value <= told.best_possible_value + 1e-9


def test_ground_that_holds_fewer_than_asked_is_full() -> None:
    told = on(rectangle_plot((30, 20), latitude=51.0), mixed(), most=MOST_TREES, lists=1)
    (one,) = told.planting_lists
    assert one.layout is not None
    assert 40 < len(one.trees) <= one.layout.most_that_fit < MOST_TREES
    assert told.limits[0].code == "ground_full"
    assert told.limits[0].values["trees"] == len(one.trees)


def test_trees_alike_stand_side_by_side() -> None:
    """In an orchard of groups most trees have one of their own cultivar next to them."""
    told = on(rectangle_plot((80, 60), latitude=51.0), many(90, seed=5), most=120, lists=1)
    trees = told.planting_lists[0].trees
    places = np.array([trunk(tree) for tree in trees])
    beside = 0
    for n, tree in enumerate(trees):
        apart = np.hypot(*(places - places[n]).T)
        apart[n] = np.inf
        beside += any(trees[int(near)].id == tree.id for near in np.argsort(apart)[:4])
    assert beside > 0.95 * len(trees)
    assert all(tree.pollinated >= 0.5 for tree in trees)
    rows = {tree.place.row for tree in trees if tree.place is not None}
    assert rows == set(range(1, max(rows) + 1))
    assert all(b - a == 1 for a, b in itertools.pairwise(sorted(rows)))


def test_more_than_the_most_trees_are_refused() -> None:
    assert msgspec.convert({"tree_count": MOST_TREES}, Space).tree_count == 400
    for model, member in ((Space, "tree_count"), (Wanted, "most_trees")):
        with pytest.raises(msgspec.ValidationError, match="400"):
            msgspec.convert({member: MOST_TREES + 1}, model)
