"""Trees that stand are served too; crab apples are planted for pollen; what is surest is planted first."""

import numpy as np
import pytest
from msgspec.structs import replace

from domain.fruit.kinds import kind_spoken
from domain.ground.standing_tree import StandingTree
from domain.planting_list.list_problem import served_by_two
from domain.planting_list.standing_room import grown_up
from domain.planting_list.wishes import Standing
from domain.tables.loading import load
from tests.domain.planting_list.nursery import answer, chosen, sited
from tests.domain.pollination.orchard import cultivar


def test_the_new_tree_is_one_that_serves_what_stands() -> None:
    at = sited(
        [cultivar("Stands"), cultivar("Triploid", ploidy="3"), cultivar("Serves")],
        rank={"Triploid": 0.95, "Serves": 0.6},
    )
    found = answer(at, 1, standing=(Standing("stands", label="by the gate"),), neighbourhood="isolated")
    assert chosen(found) == ["Serves"]
    (told,) = found.planting_lists[0].established
    assert (told.cultivar, told.label, told.said.code) == ("Stands", "by the gate", "standing_served_by_list")
    assert told.pollinated_before < 0.2
    assert told.pollinated > 0.8
    assert told.pollen_from[0].cultivar == "Serves"
    (second,) = found.planting_lists[1].established
    assert found.planting_lists[1].trees[0].cultivar == "Triploid"
    assert second.said.code == "standing_not_served"


def test_what_stands_and_is_served_changes_nothing() -> None:
    at = sited(
        [cultivar("Stands"), cultivar("Partner"), cultivar("Triploid", ploidy="3"), cultivar("Plain")],
        rank={"Triploid": 0.95, "Plain": 0.6},
    )
    found = answer(at, 1, standing=(Standing("stands"), Standing("partner")), neighbourhood="isolated")
    assert chosen(found) == ["Triploid"]
    assert {one.said.code for one in found.planting_lists[0].established} == {"standing_served_already"}


def test_a_barren_row_of_one_cultivar_counts_more_than_one_tree() -> None:
    at = sited(
        [cultivar("Row"), cultivar("Triploid", ploidy="3"), cultivar("Serves")],
        rank={"Triploid": 0.99, "Serves": 0.45},
    )
    one, many = (
        answer(at, 1, standing=(Standing("row", count=count),), neighbourhood="isolated").planting_lists[0].value
        for count in (1, 20)
    )
    assert many > one


def test_a_tree_without_a_name_serves_and_is_served() -> None:
    at = sited([cultivar("Planted"), cultivar("Usual"), cultivar("Other")])
    alone = answer(at, 1, lists=1, neighbourhood="isolated").planting_lists[0].trees[0]
    found = answer(at, 1, lists=1, standing=(Standing(None, label="old"),), neighbourhood="isolated")
    beside = found.planting_lists[0].trees[0]
    assert alone.pollinated < 0.2
    assert beside.pollinated > 0.5
    (told,) = found.planting_lists[0].established
    assert (told.cultivar, told.id, told.label, told.kind) == (None, None, "old", "apple")
    assert told.pollinated > told.pollinated_before


def test_a_tree_without_a_name_is_no_partner_of_its_own() -> None:
    at = sited([cultivar("Planted"), cultivar("Usual"), cultivar("Other")])

    def before(*standing: Standing) -> float:
        return (
            answer(at, 1, standing=standing, neighbourhood="isolated")
            .planting_lists[0]
            .established[0]
            .pollinated_before
        )

    assert before(Standing(None)) < 0.2
    assert before(Standing(None), Standing("other")) > before(Standing(None))
    assert before(Standing(None), Standing(None)) > before(Standing(None))


def test_words_for_a_tree_without_a_name() -> None:
    assert kind_spoken("Crab Apple") == kind_spoken("crabapple") == "crab_apple"
    assert kind_spoken("apple") == "apple"
    assert kind_spoken("Dolgo") is None


def test_a_crab_apple_is_planted_where_it_is_offered() -> None:
    at = sited([cultivar("Stands"), cultivar("Crab", kind="crab_apple", uses=None), cultivar("Fruit", ploidy="3")])
    stands = (Standing("stands"),)
    found = answer(at, 1, lists=1, standing=stands, available=frozenset({"crab"}), neighbourhood="isolated")
    assert chosen(found) == ["Crab"]
    assert found.planting_lists[0].established[0].said.code == "standing_served_by_list"
    assert found.planting_lists[0].years_with_no_crop_in_ten is None
    assert "Crab" not in chosen(answer(at, 1, lists=1, standing=stands, neighbourhood="isolated"))


def test_a_fruit_tree_goes_before_a_crab_apple_where_both_serve() -> None:
    at = sited(
        [cultivar("Stands"), cultivar("Crab", kind="crab_apple", uses=None), cultivar("Fruit")], rank={"Crab": 0.3}
    )
    both = frozenset({"crab", "fruit"})
    found = answer(at, 1, standing=(Standing("stands"),), available=both, neighbourhood="isolated")
    assert [one.trees[0].cultivar for one in found.planting_lists] == ["Fruit", "Crab"]


def test_what_is_only_worth_a_try_waits_while_surer_ones_do() -> None:
    names = ["Early", "Sure", "Sound", "Safe"]
    at = sited(
        [cultivar(name) for name in names],
        verdict={"Early": "worth_trying"},
        harvest={"Early": 380.0},
        rank={"Early": 0.99},
    )
    assert "Early" not in chosen(answer(at, 3, lists=1))
    told = answer(at, 4, lists=1).planting_lists[0]
    assert "Early" in [tree.cultivar for tree in told.trees]
    assert next(why for why in told.why if why.code == "holds_worth_trying").values["cultivars"] == ("Early",)
    assert told.verdict == "worth_trying"


def test_what_alone_has_a_wished_use_is_taken_though_only_worth_a_try() -> None:
    at = sited(
        [cultivar("Cooker", uses="cooking"), *[cultivar(f"Eater {n}", uses="dessert") for n in range(5)]],
        verdict={"Cooker": "worth_trying"},
    )
    assert "Cooker" in chosen(answer(at, 3, lists=1, uses=("dessert", "cooking")))
    assert "Cooker" not in chosen(answer(at, 3, lists=1, uses=("dessert",)))


def test_a_lone_tree_is_the_one_a_grower_would_plant_and_its_condition_is_told() -> None:
    at = sited(
        [cultivar("Best"), cultivar("Lonely", self_fertility="partly_self_fertile"), cultivar("Other")],
        rank={"Best": 0.9, "Lonely": 0.5},
    )
    told = answer(at, 1, lists=1).planting_lists[0]
    assert told.trees[0].cultivar == "Best"
    assert told.trees[0].pollination.code == "served_if_neighbours"
    alone, beside = (told.trees[0].pollination.values[name] for name in ("alone", "beside"))
    assert (alone, beside) == (1, 9)
    assert told.suggested_pollen_sources


def test_nothing_is_promised_of_a_list_that_will_not_bear() -> None:
    made = [cultivar("One", uses="dessert"), cultivar("Two", uses="dessert")]
    at = sited(made, crop=0.02, verdict={"One": "not_here", "Two": "not_here"})
    told = answer(at, 2, lists=1, persons=4, uses=("dessert",)).planting_lists[0]
    assert told.verdict == "not_here"
    assert told.picking_season == ()
    assert told.upkeep is None or (told.upkeep.yearly_crop_kg is None and told.upkeep.persons_fed is None)
    assert {why.code for why in told.why} <= {"least_bad", "trees_bear"}


@pytest.mark.parametrize(
    ("told", "least", "most"),
    [((1.8, 0.8), (3.5, 2.0), (5.0, 4.5)), ((3.0, 1.0), (3.5, 2.0), (5.0, 4.5)), ((12.0, 9.0), (12.0, 9.0), (12, 9))],
)
def test_a_young_tree_grows_no_larger_than_its_like(
    told: tuple[float, float], least: tuple[float, float], most: tuple[float, float]
) -> None:
    """A bush on MM.106 stands 3.5 to 5 m tall and wide at the most, however tall the nursery sold it this year."""
    young = StandingTree(
        cultivar="Gala", rootstock="MM.106", tree_form="bush", year_planted=2026, height_m=told[0], spread_m=told[1]
    )
    (grown,) = grown_up([young], load(), "2026-11-29")
    assert grown.height_m is not None
    assert grown.spread_m is not None
    assert least[0] <= grown.height_m <= most[0]
    assert least[1] <= grown.spread_m <= most[1]
    untold = replace(young, height_m=None, spread_m=None)
    (usual,) = grown_up([untold], load(), "2026-11-29")
    assert usual.height_m is not None
    assert usual.height_m <= most[0]


def test_two_sources_that_are_not_sure_serve_a_tree_together() -> None:
    """No pair is sure (genes or bloom), yet two sources make a tree that may stand among them."""
    pollen = np.array([[0.0, 0.6, 0.6], [0.6, 0.0, 0.2], [0.3, 0.2, 0.0]])
    assert served_by_two(pollen).tolist() == [True, False, False]
    assert not served_by_two(pollen[:1, :1]).any()


def test_a_lone_tree_is_not_barren_for_want_of_neighbours_alone() -> None:
    at = sited([cultivar("Odd", 40.0), *[cultivar(f"Usual {n}") for n in range(5)]], rank={"Odd": 0.99})
    assert answer(at, 1, lists=1, available=frozenset({"odd"})).planting_lists[0].verdict == "worth_trying"
    isolated = answer(at, 1, lists=1, available=frozenset({"odd"}), neighbourhood="isolated")
    assert isolated.planting_lists[0].verdict == "not_here"
