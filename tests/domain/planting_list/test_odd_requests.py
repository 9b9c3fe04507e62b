"""Requests that cannot be met, or that contradict themselves: an answer that says what binds, or a clear problem."""

from typing import Any, get_args

import msgspec
import pytest

from domain.common.faults import ContentFault, ContentFaults
from domain.planting_list.list_answer import PlantingLists
from domain.planting_list.list_request import Part, PlantingListsRequest
from domain.planting_list.planting_lists import planting_lists
from domain.tables.tree_forms import tree_forms
from tests import shared

KENT = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40}
HOUSE = {"corners_m": [[0, 0], [8, 0], [8, 6], [0, 6]], "kind": "house"}
PLOT = {"type": "Polygon", "coordinates": [[[0.5, 51], [0.501, 51], [0.501, 51.001], [0.5, 51.001], [0.5, 51]]]}
DRAWN = {
    "house": {
        "type": "Polygon",
        "coordinates": [[[0.5, 51], [0.5002, 51], [0.5002, 51.0002], [0.5, 51.0002], [0.5, 51]]],
    },
    "existing_tree": {"type": "Point", "coordinates": [0.5001, 51.0001]},
}


def asked(**body: Any) -> PlantingLists:
    request = msgspec.convert({"site": KENT, "space": {"tree_count": 2}, "lists": 1} | body, PlantingListsRequest)
    return planting_lists(request, shared.catalogue(), shared.conditions(request.site))


def faults(**body: Any) -> tuple[ContentFault, ...]:
    with pytest.raises(ContentFaults) as refused:
        asked(**body)
    return refused.value.faults


@pytest.mark.parametrize("kind", ["house", "pond", "well", "pitch"])
def test_a_tree_that_stands_on_a_house_or_in_a_pond_is_refused(kind: str) -> None:
    space = {"rectangle_m": [20, 15], "areas_m": [HOUSE | {"kind": kind}]}
    (fault,) = faults(space=space, established=[{"cultivar": "Discovery", "at_m": [4, 3]}])
    assert fault.pointer == "#/established/0/at_m"
    assert kind in fault.detail
    beside = asked(space=space, established=[{"cultivar": "Discovery", "at_m": [14, 10]}])
    assert beside.planting_lists


def test_a_tree_that_is_drawn_within_a_house_is_refused_too() -> None:
    """As one that is told; a crown that reaches over the roof is not."""
    tree = {"kind": "existing_tree", "height_m": 5}
    (fault,) = faults(space={"rectangle_m": [20, 15], "areas_m": [HOUSE, tree | {"corners_m": [[4, 3]]}]})
    assert fault.pointer == "#/space/areas_m/1"
    crown = tree | {"corners_m": [[6, 4], [10, 4], [10, 8], [6, 8]]}
    assert asked(space={"rectangle_m": [20, 15], "areas_m": [HOUSE, crown]}).planting_lists
    drawn = [{"type": "Feature", "geometry": shape, "properties": {"kind": kind}} for kind, shape in DRAWN.items()]
    (fault,) = faults(space={"plot": PLOT, "no_planting_areas": drawn})
    assert fault.pointer == "#/space/no_planting_areas/1/geometry"


def test_no_ladder_and_a_standard_contradict_each_other() -> None:
    (fault,) = faults(wanted={"no_ladder": True, "forms": ["standard"]})
    assert fault.pointer == "#/wanted/forms/0"
    assert "ladder" in fault.detail


@pytest.mark.parametrize(
    ("wanted", "space"),
    [
        ({"forms": ["espalier"]}, {"tree_count": 2}),
        ({"forms": ["tree in a pot"]}, {"tree_count": 2}),
        ({"forms": ["bush"]}, {"tree_count": 2, "stand": "pots"}),
        ({"forms": ["half-standard"], "keep_height_m": 1.0}, {"tree_count": 2}),
        ({"forms": ["slender spindle"], "no_pruning": True}, {"tree_count": 2}),
        ({"forms": ["corkscrew"]}, {"tree_count": 2}),
    ],
)
def test_a_form_that_other_wishes_rule_out_is_refused(wanted: dict[str, Any], space: dict[str, Any]) -> None:
    assert [fault.pointer for fault in faults(wanted=wanted, space=space)] == ["#/wanted/forms/0"]


@pytest.mark.parametrize("form", ["half-standard", "standard", "bush"])
def test_a_wished_form_is_given_by_its_id(form: str) -> None:
    trees = asked(wanted={"forms": [tree_forms()[form].name]}).planting_lists[0].trees
    assert {tree.tree_form_id for tree in trees} == {form}


def test_a_wished_form_is_never_given_to_a_cultivar_whose_bearing_it_cuts_away() -> None:
    """Tip bearers on no stepover: the table of forms names the habits that each suits (common practice)."""
    found = asked(space={"tree_count": 8, "stand": "fence"}, wanted={"forms": ["stepover"]})
    by_id = shared.catalogue().tables.by_id
    for tree in found.planting_lists[0].trees:
        habit = by_id[tree.id].findings.get("fruiting_habit")
        assert habit is None or habit.value == "spur"


def test_a_plot_of_pots_alone_gets_pots() -> None:
    found = asked(space={"rectangle_m": [4, 1.5], "stand": "pots"})
    (one,) = found.planting_lists
    assert {tree.tree_form_id for tree in one.trees} == {"container"}
    assert one.layout is not None
    assert one.layout.count == len(one.trees) <= one.layout.most_that_fit


@pytest.mark.parametrize(
    "body",
    [
        {"space": {"tree_count": 401}},
        {"wanted": {"most_trees": 401}, "space": {"rectangle_m": [100, 100]}},
        {"site": KENT | {"ground": {"slope_deg": 80}}},
        {"wanted": {"red_flesh": "yes"}},
        {"wanted": {"flavours": ["salty"]}},
        {"wanted": {"keeps_weeks": 0}},
    ],
)
def test_what_is_out_of_bounds_is_refused_by_its_shape(body: dict[str, Any]) -> None:
    with pytest.raises(msgspec.ValidationError):
        asked(**body)


@pytest.mark.parametrize("pond", [[[0, 0], [10, 0], [10, 8], [0, 8]], [[0.5, 0.5], [9.5, 0.5], [9.5, 7.5], [0.5, 7.5]]])
def test_a_pond_that_fills_the_plot_leaves_no_tree_and_says_so(pond: list[list[float]]) -> None:
    found = asked(space={"rectangle_m": [10, 8], "areas_m": [{"corners_m": pond, "kind": "pond"}]})
    assert found.planting_lists == ()
    assert [(one.limit, one.code) for one in found.limits] == [("space", "ground_holds_no_tree")]


@pytest.mark.parametrize(
    ("body", "codes"),
    [
        ({"wanted": {"must_include": ["Cox's Orange Pippin", "Cherry Cox"]}}, {"one_cultivar_twice"}),
        ({"available": []}, {"available_leaves_out_more"}),
        ({"available": ["Gala", "Fuji"], "excluded": ["Gala", "Fuji"]}, {"excluded_leaves_out"}),
        ({"wanted": {"first_ripe": "01-10", "last_ripe": "02-10"}}, {"picking_window_leaves_out_more"}),
        ({"wanted": {"keep_height_m": 1.0, "no_pruning": True}}, {"tree_size_leaves_out_more"}),
        ({"wanted": {"keeps_weeks": 40, "skins": ["russet"], "red_flesh": True}}, {"wish_leaves_out_more"}),
        (
            {
                "wanted": {"red_flesh": True, "skins": ["green"], "raised_before": 1700, "keeps_weeks": 50},
                "available": ["Gala", "Fuji"],
            },
            {"nothing_keeps_all"},
        ),
        ({"space": {"tree_count": 1}, "wanted": {"must_include": ["Gala", "Fuji"]}}, {"places_hold_not_what_must_be"}),
    ],
)
def test_no_empty_answer_is_without_its_reason(body: dict[str, Any], codes: set[str]) -> None:
    found = asked(**body)
    assert found.planting_lists == ()
    assert codes <= {one.code for one in found.limits}
    assert all(one.relax.words for one in found.limits)


def test_too_few_that_suit_a_wish_leave_places_empty_and_say_so() -> None:
    found = asked(space={"tree_count": 30}, wanted={"red_flesh": True})
    (one,) = found.planting_lists
    assert 2 <= len({tree.id for tree in one.trees}) < 30
    assert all(tree.fruit.red_flesh for tree in one.trees)
    assert "places_stay_empty" in {limit.code for limit in found.limits} or len(one.trees) == 30


def test_a_wish_that_no_source_tells_of_is_told_and_not_assumed() -> None:
    found = asked(wanted={"flavours": ["sweet"]}, available=["Bramley's Seedling", "Discovery", "Fiesta"])
    (one,) = found.planting_lists
    told = {tree.cultivar: {wish.met for wish in tree.wishes} for tree in one.trees}
    assert told == {"Discovery": {"not_known"}, "Fiesta": {"not_known"}}
    assert "wish_not_known_of" in {reason.code for reason in one.why}
    sharp = asked(wanted={"flavours": ["sharp"], "must_include": ["Gala"]}).planting_lists[0]
    assert next(tree for tree in sharp.trees if tree.cultivar == "Gala").wishes[0].met == "not_met"


def test_what_is_known_to_be_as_wished_goes_before_what_nobody_describes() -> None:
    found = asked(space={"tree_count": 6}, wanted={"flavours": ["sweet"]})
    assert all(tree.fruit.flavour == "sweet" for tree in found.planting_lists[0].trees)


def test_unwatered_ground_in_a_dry_summer_gets_stocks_that_stand_drought() -> None:
    """M.9, M.26 and MM.106 are sensitive to drought, MM.111 tolerant (adopted/rootstocks.csv and its documents)."""
    dry = {"latitude": 41.6, "longitude": 0.6, "elevation_m": 200}
    watered, silent, unwatered = (
        asked(site=dry | ({} if told is None else {"ground": {"irrigated": told}})) for told in (True, None, False)
    )
    sensitive = {"m-9", "m-26", "mm-106"}
    assert not {tree.rootstock_id for tree in unwatered.planting_lists[0].trees} & sensitive
    assert {tree.rootstock_id for tree in watered.planting_lists[0].trees} & sensitive
    assert [tree.rootstock_id for tree in silent.planting_lists[0].trees] == [
        tree.rootstock_id for tree in watered.planting_lists[0].trees
    ]
    assert "trees_are_watered" in {one.code for one in silent.assumptions}
    assert "trees_are_watered" not in {one.code for one in watered.assumptions}
    assert "to_mind_drought" in {one.code for one in unwatered.to_mind}


def test_what_is_left_out_is_empty_and_the_rest_as_it_was() -> None:
    whole = asked(space={"tree_count": 4})
    less = asked(space={"tree_count": 4}, without=["pollination_partners", "training", "worth_finding_out"])
    assert whole.worth_finding_out
    assert whole.planting_lists[0].trees[0].pollination_partners
    assert less.worth_finding_out == ()
    assert all(not tree.pollination_partners and not tree.training for tree in less.planting_lists[0].trees)
    assert less.cautions == whole.cautions
    assert [tree.id for tree in less.planting_lists[0].trees] == [tree.id for tree in whole.planting_lists[0].trees]
    assert less.planting_lists[0].why == whole.planting_lists[0].why
    assert len(msgspec.json.encode(less)) < 0.7 * len(msgspec.json.encode(whole))
    every = list(get_args(Part))
    bare = asked(space={"tree_count": 4}, without=every)
    assert bare.to_mind == bare.worth_finding_out == bare.planting_lists[0].to_mind == ()


def test_two_trees_of_one_cultivar_are_one_source_of_pollen_wherever_that_is_told() -> None:
    stock = [one for one in shared.catalogue().tables.cultivars if one.status == "advised"]
    said = 0
    for start in range(0, 120, 6):
        available = [one.id for one in stock[start : start + 2]]
        answer = asked(available=available, space={"tree_count": 4})
        if not answer.planting_lists:
            continue
        whole = answer.planting_lists[0]
        short = [one for one in answer.limits if one.code == "source_missing_for"]
        served = {tree.cultivar: tree.pollinated for tree in whole.trees}
        for one in short:
            said += 1
            names = one.values["cultivars"]
            assert isinstance(names, tuple)
            assert all(served[str(name)] <= 0.75 for name in names)  # told in hundredths: 0.747 is 0.75
            assert "every_tree_has_pollen" not in {why.code for why in whole.why}
    assert said


def test_who_must_be_planted_and_is_not_in_stock_is_told() -> None:
    wanted = {"must_include": ["Gala", "Liberty"]}
    (told,) = [one for one in asked(available=["Liberty"], wanted=wanted).warnings if one.code[:4] == "must"]
    assert told.code == "must_be_planted_not_to_be_had"
    assert told.values["cultivars"] == ("Gala",)
    codes = [one.code for one in asked(available=["Liberty", "Gala"], wanted=wanted).warnings]
    assert "must_be_planted_not_to_be_had" not in codes
    assert "must_be_planted_not_to_be_had" not in [one.code for one in asked(wanted=wanted).warnings]


def test_where_there_is_no_winter_that_is_all_that_is_told() -> None:
    highland = {"latitude": 10.3, "longitude": -84.0}
    found = asked(site=highland, wanted={"uses": ["dessert"]})
    assert found.planting_lists == ()
    assert [one.code for one in found.limits] == ["no_list_without_winter"]
