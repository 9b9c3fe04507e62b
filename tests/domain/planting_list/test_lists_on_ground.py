"""Lists on a plot: every crown inside its limits, the ground shared out, rootstock and form by the wishes."""

from typing import Any

import msgspec
import numpy as np
import pytest
import shapely

from domain.ground.geojson import AreaInMetres
from domain.ground.plot import Plot, rectangle_plot
from domain.ground.room import room_for
from domain.ground.sunlight import sun_hours
from domain.planting_list.list_answer import PlantedTree, PlantingLists
from domain.planting_list.lists import lists_for
from domain.planting_list.space import Room
from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.wishes import Wishes
from domain.tables.cultivars import Cultivar
from domain.tables.words import assume
from domain.trees.tree_choices import TreeWishes
from tests.domain.planting_list.nursery import answer, many, sited
from tests.domain.pollination.orchard import cultivar

LOW = TreeWishes(keep_height_m=2.5, no_ladder=True)
EUROPE = frozenset({"m-27", "m-9", "m-26", "mm-106", "mm-111"})


def mixed(count: int = 40, seed: int = 3) -> SitedCultivars:
    """Cultivars of all vigours, some columnar."""
    rng = np.random.default_rng(seed)
    made: list[Cultivar] = [
        cultivar(
            f"Cultivar {n:03d}",
            float(rng.normal(0, 3)),
            vigour=float(rng.uniform(1, 5)),
            growth_form="columnar" if rng.random() < 0.1 else None,
        )
        for n in range(count)
    ]
    names = [one.name for one in made]
    return sited(
        made,
        rank=dict(zip(names, rng.uniform(0.4, 0.95, count).tolist(), strict=True)),
        harvest=dict(zip(names, rng.uniform(385, 480, count).tolist(), strict=True)),
    )


def on(plot: Plot, at: SitedCultivars, most: int = 12, **asked: Any) -> PlantingLists:
    wished = Wishes(room=Room(most, plot), most_trees=most, rootstocks=EUROPE, **asked)
    return lists_for(wished, at, {one.id: one for one in at.cultivars})


def trunk(tree: PlantedTree) -> tuple[float, float]:
    assert tree.place is not None
    assert tree.place.at_m is not None
    return tree.place.at_m


def assert_stands(told: PlantingLists, plot: Plot) -> None:
    """Crowns inside the ground and apart, trunks as far from everything as their size asks."""
    for one in told.planting_lists:
        crowns = []
        for tree in one.trees:
            assert tree.size is not None
            spread, height = tree.size.crown_spread_m.likely, tree.size.height_m.likely
            place = plot.frame.to_plane([trunk(tree)])[0]
            assert room_for(plot, spread, height).region.distance(shapely.Point(place)) < 0.011  # told to the cm
            crowns.append(shapely.Point(place).buffer(spread / 2 - 0.02))
        for n, crown in enumerate(crowns):
            assert plot.ground.buffer(0.01).contains(crown)
            assert not any(crown.intersects(other) for other in crowns[:n])


@pytest.mark.parametrize("sides", [(6.0, 9.0), (4.0, 15.0), (11.0, 11.0), (3.0, 3.0)])
@pytest.mark.parametrize("trees", [LOW, TreeWishes(), TreeWishes(no_pruning=True)])
def test_every_crown_stands_inside_and_apart(sides: tuple[float, float], trees: TreeWishes) -> None:
    plot = rectangle_plot(sides, bearing_deg=25.0, latitude=51.0)
    told = on(plot, mixed(), lists=2, trees=trees)
    assert_stands(told, plot)


def test_things_on_the_ground_are_kept_clear_of() -> None:
    house = AreaInMetres(corners_m=[(0, 6), (5, 6), (5, 9), (0, 9)], kind="house", height_m=6.0)
    line = AreaInMetres(corners_m=[(0, 4), (12, 3)], line=True, kind="buried_line")
    tree = AreaInMetres(corners_m=[(10, 12)], kind="existing_tree", spread_m=5.0, height_m=5.0)
    plot = rectangle_plot((12, 14), latitude=51.0, areas=[house, line, tree])
    told = on(plot, mixed(), lists=1)
    assert len(told.planting_lists[0].trees) >= 3
    assert_stands(told, plot)
    layout = told.planting_lists[0].layout
    assert layout is not None
    assert {one.kind for one in layout.set_backs} == {"house", "buried_line", "existing_tree"}
    assert {"ask_locally"} <= {one.code for one in told.cautions}
    bare = on(rectangle_plot((12, 14), latitude=51.0), mixed(), lists=1)
    assert len(bare.planting_lists[0].trees) > len(told.planting_lists[0].trees)


def test_no_tree_stands_in_the_shade_of_a_building() -> None:
    hall = AreaInMetres(corners_m=[(0, 0), (20, 0), (20, 2), (0, 2)], kind="house", height_m=12.0)
    plot = rectangle_plot((20, 24), latitude=51.0, areas=[hall])  # it stands along the southern edge
    told = on(plot, mixed(), lists=1).planting_lists[0]
    assert told.layout is not None
    assert told.layout.too_dark_m2 > 20
    for tree in told.trees:
        alone = sun_hours(plot.frame.to_plane([trunk(tree)]), np.array([2.0]), np.array([2.0]), plot.obstacles, 51.0)
        assert alone[0] >= 6.0
    south = rectangle_plot((20, 24), latitude=-51.0, areas=[hall])
    far = on(south, mixed(), lists=1).planting_lists[0].layout
    assert far is not None
    assert far.too_dark_m2 < told.layout.too_dark_m2


def test_value_is_at_most_the_bound_and_grows_with_the_ground() -> None:
    at = mixed()
    values = []
    for side in (4.0, 6.0, 9.0, 14.0):
        told = on(rectangle_plot((side, side), latitude=51.0), at, lists=1, trees=LOW)
        assert told.best_possible_value is not None
        assert told.planting_lists[0].value <= told.best_possible_value + 1e-9
        values.append(len(told.planting_lists[0].trees))
    assert values == sorted(values)
    assert values[-1] == 12


def test_a_large_plot_gives_the_list_of_as_many_trees() -> None:
    """Where the ground does not bind, the list is the one of a number of trees, in the same sizes."""
    at = mixed()
    counted = answer(at, 6, lists=1, rootstocks=EUROPE)
    laid = on(rectangle_plot((60, 60), latitude=51.0), at, most=6, lists=1)
    assert [tree.id for tree in laid.planting_lists[0].trees] == [tree.id for tree in counted.planting_lists[0].trees]
    assert laid.planting_lists[0].value == pytest.approx(counted.planting_lists[0].value, abs=1e-3)
    assert laid.search.best_proven


def test_wishes_decide_rootstock_and_form() -> None:
    at = mixed()
    pots = answer(at, 2, lists=1, trees=TreeWishes(in_pot=True), rootstocks=EUROPE).planting_lists[0]
    assert {tree.tree_form for tree in pots.trees} == {"tree in a pot"}
    assert all(any("litres" in note.words for note in tree.training) for tree in pots.trees)
    low = answer(at, 4, lists=1, trees=LOW, rootstocks=EUROPE).planting_lists[0]
    assert all(
        tree.size is not None and tree.size.height_m.likely <= 2.5 and not tree.size.ladder for tree in low.trees
    )
    assert low.upkeep is not None
    assert low.upkeep.trees_with_ladder == 0
    only = answer(at, 4, lists=1, rootstocks=frozenset({"m-26"})).planting_lists[0]
    assert {tree.rootstock for tree in only.trees} == {"M.26"}


def test_one_to_be_planted_that_no_stock_keeps_low_is_told_so() -> None:
    at = sited([cultivar("Giant", vigour=5.0), cultivar("Other", vigour=2.0)])
    asked = {"must_include": ("giant",), "trees": TreeWishes(keep_height_m=2.0), "rootstocks": frozenset({"mm-111"})}
    (giant,) = answer(at, 1, lists=1, **asked).planting_lists[0].trees
    assert "as you ask" in giant.training[0].words
    assert giant.size is not None
    assert giant.size.height_m.likely > 2.0


def test_ground_too_small_for_any_tree_says_what_to_do() -> None:
    told = on(rectangle_plot((0.5, 0.5)), mixed(), lists=1)
    assert told.planting_lists == ()
    assert told.best_possible_value is None
    assert told.limits[0].limit == "space"
    assert "pots" in told.limits[0].relax.words


def test_more_that_must_be_planted_than_fits_says_so() -> None:
    at = mixed()
    must = tuple(one.id for one in at.cultivars[:12])
    told = on(rectangle_plot((5, 5), latitude=51.0), at, lists=1, must_include=must)
    assert told.planting_lists == ()
    assert "12 cultivars" in told.limits[0].words


def test_a_single_tree_stands_amid_its_ground() -> None:
    told = on(rectangle_plot((8, 6), latitude=51.0), mixed(), most=1, lists=1).planting_lists[0]
    assert trunk(told.trees[0]) == pytest.approx((4.0, 3.0), abs=1.1)


def test_partners_on_a_plot_have_their_distance() -> None:
    trees = on(rectangle_plot((12, 12), latitude=51.0), mixed(), lists=1).planting_lists[0].trees
    places = {tree.cultivar: np.array(trunk(tree)) for tree in trees}
    for tree in trees:
        for partner in tree.pollination_partners:
            apart = float(np.hypot(*(places[tree.cultivar] - places[partner.cultivar])))
            assert partner.distance_m == pytest.approx(apart, abs=0.1)


def test_equal_requests_get_equal_bytes() -> None:
    plot = rectangle_plot((7, 12), latitude=51.0)
    one, other = (msgspec.json.encode(on(plot, many(60, seed=8))) for _ in range(2))
    assert one == other


def test_a_narrow_strip_is_planted_with_trees_that_narrow() -> None:
    plot = rectangle_plot((1.6, 15.0), latitude=51.0)
    told = on(plot, mixed(), lists=1)
    assert len(told.planting_lists[0].trees) >= 5
    assert_stands(told, plot)


def test_a_list_on_a_large_plot_takes_a_part_of_it() -> None:
    house = AreaInMetres(corners_m=[(400, 400), (600, 400), (600, 600), (400, 600)], kind="house", height_m=6.0)
    plot = rectangle_plot((1000, 900), latitude=51.0, areas=[house])
    told = on(plot, mixed(), lists=1)
    assert len(told.planting_lists[0].trees) == 12
    assert_stands(told, plot)
    layout = told.planting_lists[0].layout
    assert layout is not None
    assert layout.plot_area_m2 == pytest.approx(900_000)
    assert layout.most_that_fit > 10_000


def test_more_air_where_disease_presses() -> None:
    plot = rectangle_plot((20, 20), latitude=51.0)
    usual, airy = (on(plot, mixed(), lists=1, trees=LOW, air_m=air_m).planting_lists[0] for air_m in (0.3, 0.5))
    for one, air_m in ((usual, 0.3), (airy, 0.5)):
        for tree in one.trees:
            if tree.tree_form != "columnar":
                assert tree.size is not None
                assert tree.spacing_m == pytest.approx(tree.size.crown_spread_m.likely + air_m, abs=0.011)
    assert [reason.code for reason in airy.why].count("air_between_crowns") == 1
    assert "air_between_crowns" not in [reason.code for reason in usual.why]


def test_the_callers_sun_is_never_contradicted() -> None:
    """What is told holds for the sunniest place: no tree gets more, a drawn house takes from it in proportion."""
    hall = AreaInMetres(corners_m=[(0, -4), (20, -4), (20, 0), (0, 0)], kind="house", height_m=12.0)
    bare, shaded = rectangle_plot((20, 24), latitude=51.0), rectangle_plot((20, 24), latitude=51.0, areas=[hall])
    unknown = rectangle_plot((20, 24))
    for told in (3.0, 7.0, 14.0):
        hours = {}
        for name, plot in {"bare": bare, "shaded": shaded, "unknown": unknown}.items():
            (one,) = on(plot, mixed(), lists=1, sun_hours=told).planting_lists
            found = [tree.place.sun_hours for tree in one.trees if tree.place is not None and tree.place.sun_hours]
            assert len(found) == len(one.trees)
            assert max(found) <= told + 0.05
            hours[name] = found
        assert min(hours["bare"]) > 0.8 * told
        assert hours["unknown"] == [told] * len(hours["unknown"])
        if told > 7.0:  # where all is told as dim, only the brightest places are planted
            assert min(hours["shaded"]) < min(hours["bare"]) - 0.5
    (untold,) = on(bare, mixed(), lists=1).planting_lists
    assert all(tree.place is not None and tree.place.sun == "good" for tree in untold.trees)


def test_told_shade_is_planted_all_the_same_and_told() -> None:
    (one,) = on(rectangle_plot((12, 12), latitude=51.0), mixed(), lists=1, sun_hours=4.0).planting_lists
    assert one.layout is not None
    assert "trees_too_dark" in [limit.code for limit in one.layout.limits]
    assert {tree.place.sun for tree in one.trees if tree.place is not None} == {"too_little"}


def test_a_small_garden_is_not_packed_unless_that_is_asked() -> None:
    """Where nobody says how many, as many stand as the ground holds of usual trees; columns are planted where asked."""
    columns = [cultivar(f"Column {n:02d}", vigour=3.0, growth_form="columnar") for n in range(14)]
    bushes = [cultivar(f"Bush {n:02d}", vigour=3.0) for n in range(20)]
    at = sited([*columns, *bushes])
    plot = rectangle_plot((6, 6), latitude=51.0)
    told = on(plot, at, lists=1)
    untold = Wishes(
        room=Room(12, plot, (assume("wanted.most_trees", "trees_of_most_households", 12),)),
        most_trees=12,
        rootstocks=EUROPE,
        lists=1,
    )
    usual = lists_for(untold, at, {one.id: one for one in at.cultivars})
    assert len(told.planting_lists[0].trees) > 6
    assert 2 <= len(usual.planting_lists[0].trees) <= 6
