"""A nursery's stock told as it stands: trees on the rootstocks and in the forms that are there, no more of them."""

from collections import Counter
from collections.abc import Mapping

import pytest

from domain.common.faults import ContentFaults
from domain.ground.plot import rectangle_plot
from domain.planting_list.list_answer import PlantingLists
from domain.planting_list.list_request import StockItem
from domain.planting_list.lists import lists_for
from domain.planting_list.space import Room
from domain.planting_list.stock import InStock, as_sold, less, stock_told, supply
from domain.planting_list.wishes import Wishes, not_in_stock
from domain.trees.tree_choices import TreeWishes
from tests.domain.planting_list.nursery import answer, sited
from tests.domain.pollination.orchard import cultivar
from tests.shared import catalogue

ANY = InStock(None, None, None)


def of_stock(places: int, stock: Mapping[str, tuple[InStock, ...]], **asked: object) -> PlantingLists:
    at = sited([cultivar(name) for name in ("A", "B", "C", "D")], rank={"A": 0.9})
    return answer(at, places, stock=stock, available=frozenset(stock), lists=1, **asked)


def test_trees_stand_on_what_is_in_stock_and_in_its_form() -> None:
    told = of_stock(
        3,
        {
            "a": (InStock("m-25", "half-standard", 4),),
            "b": (InStock("m-9", None, 2),),
            "c": (InStock("m-26", None, None),),
        },
    )
    found = {tree.id: (tree.rootstock_id, tree.tree_form_id, tree.in_stock) for tree in told.planting_lists[0].trees}
    assert found["a"] == ("m-25", "half-standard", 4)
    assert (found["b"][0], found["b"][2]) == ("m-9", 2)
    assert (found["c"][0], found["c"][2]) == ("m-26", None)


def test_of_several_rootstocks_the_best_for_the_wishes_is_taken() -> None:
    trees = {"a": (InStock("m-25", None, 9), InStock("m-9", None, 9)), "b": (ANY,)}
    tall = {tree.id: tree.rootstock_id for tree in of_stock(2, trees).planting_lists[0].trees}
    low = of_stock(2, trees, trees=TreeWishes(keep_height_m=2.5)).planting_lists[0].trees
    assert {tree.id: tree.rootstock_id for tree in low}["a"] == "m-9"
    assert tall["a"] in {"m-25", "m-9"}


@pytest.mark.parametrize("places", [4, 5, 6, 8])
def test_no_more_stand_than_there_are_and_it_is_said(places: int) -> None:
    trees = {
        "a": (InStock("m-9", None, 1),),
        "b": (InStock("m-9", None, 2),),
        "c": (InStock("m-9", None, 1), InStock("m-26", None, 1)),
    }
    told = of_stock(places, trees)
    stand = told.planting_lists[0].trees
    count = Counter(tree.id for tree in stand)
    assert len(stand) == min(places, 5)
    assert count["a"] <= 1
    assert Counter((tree.id, tree.rootstock_id) for tree in stand)["c", "m-26"] <= 1
    if count["c"] == 2:
        assert {tree.rootstock_id for tree in stand if tree.id == "c"} == {"m-9", "m-26"}
    said = [one.code for one in told.limits]
    assert ("stock_is_used_up" in said) == (places > 5)
    assert ("places_stay_empty" in said) == (places > 5)


def test_a_group_of_more_trees_than_there_are_stands_nowhere() -> None:
    """Ninety trees stand in groups of three at the least: of two trees in stock no group is made."""
    trees = {"a": (InStock("m-9", None, 2),), "b": (InStock("m-9", None, 3),), "c": (InStock("m-26", None, 50),)}
    told = of_stock(90, trees)
    count = Counter(tree.id for tree in told.planting_lists[0].trees)
    assert count == {"b": 3, "c": 6}
    left_out = {one.code: one.values.get("ids") for one in told.limits if one.limit in ("available", "tree_size")}
    assert left_out == {"available_leaves_out": ("a", "d"), "stock_has_no_other_group": ("b",)}


@pytest.mark.parametrize("places", [12, 40, 41, 100, 400])
def test_single_trees_stand_however_many_places_there_are(places: int) -> None:
    names = [f"K{n}" for n in range(12)]
    bad = [f"L{n}" for n in range(4)]
    at = sited([cultivar(name) for name in (*names, *bad)], verdict=dict.fromkeys(bad, "not_here"))
    stock = {one.id: (InStock("m-9", None, 1 if one.name in names else 50),) for one in at.cultivars}
    told = answer(at, places, stock=stock, available=frozenset(stock), lists=1)
    assert sorted(tree.cultivar for tree in told.planting_lists[0].trees) == sorted(names)
    said = {one.code: one.values for one in told.limits}
    assert ("stock_is_used_up" in said) == (places > 12)
    if places > 12:
        assert said["places_stay_empty"] == {"empty": places - 12, "places": places}


@pytest.mark.parametrize(("places", "each", "first"), [(86, 6, 7), (174, 10, 11), (83, 6, 6), (174, 12, 11)])
def test_a_list_has_no_more_of_a_cultivar_than_there_are_and_tells_what_is_missing(
    places: int, each: int, first: int
) -> None:
    at = sited([cultivar(chr(ord("A") + n)) for n in range(14)], rank={"A": 0.9})
    stock = {one.id: (InStock("m-9", None, first if one.id == "a" else each),) for one in at.cultivars}
    told = answer(at, places, stock=stock, available=frozenset(stock), lists=1)
    count = Counter(tree.id for tree in told.planting_lists[0].trees)
    assert all(found <= (first if one == "a" else each) for one, found in count.items())
    said = {one.code: one.values for one in told.limits}
    missing = places - sum(count.values())
    assert said.get("places_stay_empty", {"empty": 0})["empty"] == missing
    assert ("stock_has_no_other_group" in said) == (missing > 0)


@pytest.mark.parametrize(
    ("count", "side_m", "cause"),
    [
        (1, 40.0, "stock_is_used_up"),
        (None, 40.0, "places_stay_empty"),
        (None, 6.0, "ground_full"),
        (1, 6.0, "ground_full"),
    ],
)
def test_on_a_plot_the_true_cause_is_told(count: int | None, side_m: float, cause: str) -> None:
    """Four cultivars leave most of 40 m by 40 m empty; two of them fill 6 m by 6 m."""
    stock = {name: (InStock("m-26", "bush", count),) for name in "abcd"}
    plot = rectangle_plot((side_m, side_m), 0.0, 51.0, [], ("space",))
    at = sited([cultivar(name) for name in ("A", "B", "C", "D")])
    by_id = {one.id: one for one in at.cultivars}
    asked = Wishes(room=Room(12, plot), stock=stock, available=frozenset(stock), lists=1)
    said = {one.code for one in lists_for(asked, at, by_id).limits}
    assert cause in said
    assert ("ground_full" in said) != ("places_stay_empty" in said)
    assert ("stock_is_used_up" in said) == (cause == "stock_is_used_up")
    none = lists_for(Wishes(room=Room(12, plot), stock={}, available=frozenset(), lists=1), at, by_id)
    assert {one.code for one in none.limits} == {"available_leaves_out_more"}


def test_what_must_be_planted_is_told_as_not_in_stock_and_stands_as_it_is_sold_elsewhere() -> None:
    told = of_stock(2, {"a": (InStock("m-9", None, 1),)}, must_include=("b",))
    assert {tree.id: tree.in_stock for tree in told.planting_lists[0].trees} == {"a": 1, "b": None}


def test_what_must_be_planted_and_is_too_few_is_told_once_and_truly() -> None:
    stock = {"a": (InStock("m-9", None, 1),), "b": (InStock("m-9", None, 50),), "c": (InStock("m-9", None, 50),)}
    told = of_stock(100, stock, must_include=("a",))
    assert Counter(tree.id for tree in told.planting_lists[0].trees)["a"] > 1
    by_id = {one.id: one for one in (cultivar("A"), cultivar("B"))}
    asked = Wishes(room=Room(100), stock=stock, available=frozenset(stock), must_include=("a",))
    (said,) = not_in_stock(asked, by_id, told.planting_lists)
    assert (said.code, said.values["ids"]) == ("must_be_planted_too_few_in_stock", ("a",))
    assert not [one for one in told.limits if "a" in one.values.get("ids", ())]  # type: ignore[operator]  # these are lists
    few = of_stock(3, stock, must_include=("a",))
    assert not_in_stock(asked, by_id, few.planting_lists) == ()


@pytest.mark.parametrize(
    ("item", "wished"),
    [
        (InStock("m-25", "half-standard", 4), TreeWishes(forms=("bush",))),
        (InStock("m-27", "standard", 4), TreeWishes(keep_height_m=2.0)),
    ],
)
def test_what_must_be_planted_stands_as_it_is_in_stock(item: InStock, wished: TreeWishes) -> None:
    """Where no tree in stock is as wished, and even where nobody knows how such a tree grows."""
    stock = {"a": (item,), "b": (InStock("m-9", None, None),), "c": (InStock("m-9", None, None),)}
    told = of_stock(3, stock, must_include=("a",), trees=wished)
    (stands,) = [tree for tree in told.planting_lists[0].trees if tree.id == "a"]
    assert (stands.rootstock_id, stands.tree_form_id, stands.in_stock) == (item.rootstock, item.form, item.count)


def test_items_alike_are_one_and_sold_out_ones_none() -> None:
    names = catalogue().tables.names
    items = [
        StockItem(cultivar="Gala", rootstock="M9", count=2),
        StockItem(cultivar="gala", rootstock="M.9", count=3),
        StockItem(cultivar="Gala", rootstock="M.26", tree_form="bush"),
        StockItem(cultivar="Fuji", count=0),
    ]
    (found,) = stock_told(names, items, "refuse").values()
    assert found == (InStock("m-9", None, 5), InStock("m-26", "bush", None))


def test_every_unknown_name_of_a_stock_is_named() -> None:
    names = catalogue().tables.names
    items = [
        StockItem(cultivar="Nosuchapple", rootstock="M.26"),
        StockItem(cultivar="Gala", rootstock="M.2666", tree_form="candelabra of gold"),
    ]
    with pytest.raises(ContentFaults) as found:
        stock_told(names, items, "refuse")
    faults = {fault.pointer: fault for fault in found.value.faults}
    assert set(faults) == {"#/stock/0/cultivar", "#/stock/1/rootstock", "#/stock/1/tree_form"}
    assert faults["#/stock/1/rootstock"].nearest
    assert stock_told(names, items, "report") == {}


def test_a_stock_gives_the_trees_told_most_closely_first() -> None:
    items = (ANY, InStock("m-9", None, 2), InStock("m-9", "bush", 1))
    assert supply(items, "m-9", "bush", 1) == items[2]
    assert supply(items, "m-9", "bush", 2) == items[1]
    assert supply(items, "m-26", "bush", 1) == ANY
    assert supply(items[1:], "m-26", "bush", 1) is None
    assert less(items, items[2], 1) == items[:2]
    assert InStock("m-9", None, 1) in less(items, items[1], 1)
    assert as_sold(items[2:], None, 1) == {("m-9", "bush")}
    assert as_sold(items[2:], None, 2) == frozenset()
