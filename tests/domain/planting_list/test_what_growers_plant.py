"""What a local grower would strike out of a list: names nobody there has, a glut, cookers for eaters, empty words."""

from collections import Counter
from dataclasses import replace
from typing import Any

import msgspec
import numpy as np
import pytest

from domain.planting_list.list_answer import PlantingLists
from domain.planting_list.list_request import ListWeights, PlantingListsRequest
from domain.planting_list.planting_lists import passed_over_here, plantable, planting_lists, sited_cultivars
from domain.planting_list.tree_worth import FIGURES, wish_shares
from domain.suitability.factors import Verdict
from domain.traits.fruit_like import said
from domain.traits.fruit_wishes import likely_dessert
from domain.traits.told_near_by import passed_over
from tests import shared
from tests.domain.planting_list.nursery import answer, chosen, sited
from tests.domain.pollination.orchard import cultivar

KENT = {"latitude": 51.2, "longitude": 0.8, "elevation_m": 60}
CORDOBA = {"latitude": 37.9, "longitude": -4.7, "elevation_m": 120}
VIRGINIA = {"latitude": 37.6, "longitude": -78.9, "elevation_m": 250}
NAGANO = {"latitude": 36.6, "longitude": 138.2, "elevation_m": 380}
HUON = {"latitude": -42.95, "longitude": 147.2, "elevation_m": 120}
CONCEPCION = {"latitude": -36.8, "longitude": -72.7, "elevation_m": 120}
DULUTH = {"latitude": 46.85, "longitude": -92.2, "elevation_m": 400}
LLEIDA = {"latitude": 41.65, "longitude": 0.6, "elevation_m": 180}


def real(site: dict[str, float], trees: int, **more: object) -> PlantingLists:
    request = msgspec.convert({"site": site, "space": {"tree_count": trees}, "lists": 1} | more, PlantingListsRequest)
    return planting_lists(request, shared.catalogue(), shared.conditions(request.site))


def over(site: dict[str, Any]) -> dict[str, float]:
    asked = msgspec.convert({"site": site, "space": {"tree_count": 1}}, PlantingListsRequest)
    traits, conditions = plantable(shared.catalogue(), ()), shared.conditions(asked.site)
    found = passed_over_here(traits, conditions).tolist()
    return {one.name: share for one, share in zip(traits.cultivars, found, strict=True)}


def test_who_is_passed_over_where() -> None:
    """Discovery is in the lists of English services, Carolina Red June in those of the American South."""
    kent, virginia = over(KENT), over(VIRGINIA)
    assert kent["Discovery"] < 0.05
    assert kent["Carolina Red June"] > 0.9
    assert virginia["Carolina Red June"] < 0.25
    assert virginia["Ashmead's Kernel"] < kent["Carolina Red June"]
    assert (
        kent["Gala"] < kent["Royal Gala"] < FIGURES.passed_over_from
    )  # a sport is had, in part, where its original is
    ocean = over({"latitude": -49.3, "longitude": 70.2, "elevation_m": 30})
    assert max(ocean.values()) < 0.05  # hardly anybody speaks there: silence says little


def test_nobody_is_passed_over_where_the_place_is_not_known() -> None:
    witnesses = shared.catalogue().traits.witnesses
    assert not passed_over(witnesses, np.full(len(witnesses.places), np.nan)).any()


def test_a_list_is_of_what_can_be_had() -> None:
    found = real(CORDOBA, 3, wanted={"uses": ["dessert"]})
    passed = over(CORDOBA)
    assert all(passed[tree.cultivar] < FIGURES.passed_over_from for tree in found.planting_lists[0].trees)
    stock = ["Carolina Red June", "Red Fuji", "Granny Smith"]
    told = real(CORDOBA, 3, wanted={"uses": ["dessert"]}, available=stock)
    assert {tree.cultivar for tree in told.planting_lists[0].trees} == set(stock)
    assert "hardly_told_here" not in [one.code for one in told.planting_lists[0].why]


def test_what_is_passed_over_gives_way_to_its_equal_and_is_told_where_it_stands() -> None:
    names = [*[f"Home {n}" for n in range(3)], *[f"Abroad {n}" for n in range(6)]]
    at = sited([cultivar(name) for name in names], rank={name: 0.85 for name in names if name[0] == "A"})
    at = replace(at, passed_over=np.array([0.9 if name[0] == "A" else 0.0 for name in names]))
    assert all(name.startswith("Home") for name in chosen(answer(at, 3)))
    many = answer(at, 8)  # each of home twice, and two more
    (told,) = [one for one in many.planting_lists[0].why if one.code == "hardly_told_here"]
    named = told.values["cultivars"]
    assert isinstance(named, tuple)
    assert set(named) == {name for name in chosen(many) if name.startswith("Abroad")}


@pytest.mark.parametrize("site", [HUON, CONCEPCION, LLEIDA])
def test_five_trees_are_all_of_what_that_part_of_the_world_names(site: dict[str, float]) -> None:
    """Neither a cooker known in Kent alone nor a sport known at the Cape alone, where others of like merit are told."""
    found, passed = real(site, 5, lists=3), over(site)
    listed = {tree.cultivar for one in found.planting_lists for tree in one.trees}
    assert not {"Grenadier", "Panorama Golden", "Agnes"} & listed
    assert all(passed[name] < FIGURES.passed_over_from for name in listed)


def test_a_sport_speaks_for_its_original_and_the_original_for_it_in_part() -> None:
    """Panorama Golden, a sport of Golden Delicious, is told of at the Cape alone; Golden Delicious in all the world."""
    cape = over({"latitude": -34.15, "longitude": 19.05, "elevation_m": 320})
    huon = over(HUON)
    assert cape["Panorama Golden"] < 0.1
    assert huon["Golden Delicious"] < 0.1
    assert huon["Panorama Golden"] >= FIGURES.passed_over_from


def test_what_nobody_could_know_yet_is_passed_over_too() -> None:
    """Beniminori was raised in Japan in 2019, and no source of Chile is so late: nobody there has it all the same."""
    assert over(CONCEPCION)["Beniminori"] >= FIGURES.passed_over_from
    listed = {tree.cultivar for one in real(CONCEPCION, 5, lists=3).planting_lists for tree in one.trees}
    assert not {"Beniminori", "Rosalee"} & listed


def test_what_is_for_the_press_alone_stands_only_where_cider_is_asked() -> None:
    made = [cultivar("Bittersweet", uses="cider"), *[cultivar(f"Eater {n}", uses="dessert") for n in range(3)]]
    at = sited(made, rank={"Bittersweet": 0.95})
    assert "Bittersweet" not in chosen(answer(at, 3, lists=1))
    assert "Bittersweet" in chosen(answer(at, 3, lists=1, uses=("cider", "dessert")))
    assert "Bittersweet" in chosen(answer(at, 3, lists=1, available=frozenset({one.id for one in made})))


def test_a_lone_tree_far_from_others_is_one_that_is_planted_there_with_what_makes_it_safe() -> None:
    """Not the one cultivar of a thousand that sets alone, which no nursery of Minnesota has."""
    found = real(DULUTH, 1, lists=3, neighbourhood="isolated")
    passed = over(DULUTH)
    for one in found.planting_lists:
        (tree,) = one.trees
        assert passed[tree.cultivar] < FIGURES.passed_over_from
        assert one.value > 0
        assert tree.verdict == "plant"
        told = {reason.code for reason in one.why}
        assert {"pollination_at_risk", "source_that_would_serve", "bears_with_a_source"} <= told


def test_twelve_trees_where_eight_are_told_of_hold_some_twice_before_what_nobody_names() -> None:
    names = [*[f"Home {n}" for n in range(8)], *[f"Abroad {n}" for n in range(8)]]
    at = sited([cultivar(name) for name in names])
    at = replace(at, passed_over=np.array([0.9 if name[0] == "A" else 0.0 for name in names]))
    found = chosen(answer(at, 12, lists=1))
    assert all(name.startswith("Home") for name in found)
    assert max(Counter(found).values()) == 2


def test_no_garden_is_made_of_names_unheard_of_for_their_verdict_alone() -> None:
    """One cultivar told of there is to be planted, four are worth a try; eight unheard of would do well."""
    names = [*[f"Home {n}" for n in range(5)], *[f"Abroad {n}" for n in range(8)]]
    verdict: dict[str, Verdict] = {f"Home {n}": "worth_trying" for n in range(1, 5)}
    rank = {name: 0.8 if name[0] == "H" else 0.5 for name in names}
    at = sited([cultivar(name) for name in names], rank=rank, verdict=verdict)
    at = replace(at, passed_over=np.array([0.6 if name[0] == "A" else 0.0 for name in names]))
    found = chosen(answer(at, 4, lists=1))
    assert "Home 0" in found
    assert all(name.startswith("Home") for name in found)
    heard = replace(at, passed_over=np.zeros(len(names)))
    assert all(name == "Home 0" or name.startswith("Abroad") for name in chosen(answer(heard, 4, lists=1)))


def test_the_season_is_of_what_ripens_there() -> None:
    """A late one that must be planted where nothing lets it ripen fills no day of picking."""
    at = sited(
        [cultivar("Late"), cultivar("Usual")],
        verdict={"Late": "not_here"},
        harvest={"Late": 520.0},
        storage_weeks={"Late": 30.0},
    )
    (one,) = answer(at, 2, lists=1, must_include=("late",)).planting_lists
    assert {tree.cultivar for tree in one.trees} == {"Late", "Usual"}
    assert [picked.cultivar for picked in one.picking_season] == ["Usual"]


def test_nobody_is_warned_of_or_sent_for_what_that_part_of_the_world_never_sees() -> None:
    """In Minnesota nobody thinks of planting Glockenapfel; Fuji and Gala are in every shop."""
    against = [one.cultivar for one in real(DULUTH, 3).advised_against]
    passed = over(DULUTH)
    assert against
    assert all(passed[name] < FIGURES.passed_over_from for name in against[:6])
    names = [*[f"Home {n}" for n in range(3)], "Abroad"]
    uses = {"Home 0": "dessert", "Home 1": "dessert", "Home 2": "dessert", "Abroad": "cooking"}
    at = sited([cultivar(name, uses=uses[name]) for name in names], rank={"Abroad": 0.99})
    asked: dict[str, Any] = {"lists": 1, "uses": ("dessert",)}
    assert "uses" in [limit.limit for limit in answer(at, 3, **asked).limits]
    at = replace(at, passed_over=np.array([0.0, 0.0, 0.0, 0.6]))
    assert "uses" not in [limit.limit for limit in answer(at, 3, **asked).limits]


def test_of_a_group_of_sports_one_is_warned_of() -> None:
    """McIntosh and ten sports of it say the same; what the caller named is told of each by itself."""
    made = [cultivar("Hopeless", recommended_by=9), *[cultivar(f"Good {n}") for n in range(3)]]
    made += [cultivar(f"Red Hopeless {n}", sport_of="hopeless") for n in range(3)] + [cultivar("Another")]
    verdict: dict[str, Verdict] = {one.name: "not_here" for one in made if not one.name.startswith("Good")}
    at = sited(made, verdict=verdict)
    assert [one.cultivar for one in answer(at, 3).advised_against] == ["Hopeless", "Another"]
    asked = frozenset(one.id for one in made if one.name != "Red Hopeless 2")
    named = [one.cultivar for one in answer(at, 3, available=asked).advised_against]
    assert named == ["Hopeless", "Red Hopeless 0", "Red Hopeless 1", "Another"]


def test_no_air_between_crowns_is_promised_of_cordons_that_touch() -> None:
    wall = {"corners_m": [[0, 2], [22, 2]], "line": True, "kind": "fence", "height_m": 1.8}
    bordeaux = {"latitude": 44.8, "longitude": -0.5, "elevation_m": 40}
    space = {"rectangle_m": [22, 2], "areas_m": [wall]}
    fence = real(bordeaux, 1, space=space | {"stand": "fence"}).planting_lists[0]
    free = real(bordeaux, 1, space={"rectangle_m": [12, 12]}).planting_lists[0]
    assert "air_between_crowns" not in [one.code for one in fence.why]
    assert "air_between_crowns" in [one.code for one in free.why]


def test_no_six_metre_standard_is_planted_for_what_its_stock_stands_alone() -> None:
    """Fire blight presses at the foot of the Tian Shan, and seedlings stand it: they are told of, not planted by it."""
    almaty = {"latitude": 43.2, "longitude": 76.85, "elevation_m": 900}
    sizes = [tree.size for tree in real(almaty, 3).planting_lists[0].trees]
    assert all(size is not None and size.height_m.likely <= 4.5 for size in sizes)


def test_of_many_trees_a_good_cultivar_stands_twice_before_a_poor_one() -> None:
    names = [f"Cultivar {n:02d}" for n in range(60)]
    rank = {name: 0.9 if n < 12 else 0.5 for n, name in enumerate(names)}
    many = answer(sited([cultivar(name) for name in names], rank=rank), 20)
    counts = Counter(chosen(many))
    assert [name for name in names[:12] if counts[name] == 2]
    assert max(counts.values()) == 2
    assert "good_cultivars_stand_twice" in [one.code for one in many.planting_lists[0].why]
    few = answer(sited([cultivar(name) for name in names], rank=rank), 12)
    assert max(Counter(chosen(few)).values()) == 1
    alike = answer(sited([cultivar(name) for name in names]), 20)
    assert max(Counter(chosen(alike)).values()) == 1


def test_a_second_tree_is_of_the_same_cultivar_and_not_its_sport() -> None:
    """Two sports of one tree give each other no pollen, and hardly differ."""
    names = [f"Cultivar {n:02d}" for n in range(30)]
    made = [cultivar(name) for name in names]
    made += [cultivar(f"Red {name}", sport_of=cultivar(name).id) for name in names[:12]]
    rank = {name: 0.9 if n < 12 else 0.5 for n, name in enumerate(names)}
    rank |= {f"Red {name}": 0.89 if n else 0.91 for n, name in enumerate(names[:12])}
    counts = Counter(chosen(answer(sited(made, rank=rank), 20, lists=1)))
    assert counts["Red Cultivar 00"] == 2  # a sport that is worth more than its original stands for it
    assert not [name for name in names[1:12] if counts[f"Red {name}"]]


def test_a_single_tree_is_no_glut() -> None:
    names = ["Summer", "Keeper"]
    at = sited(
        [cultivar(name) for name in names],
        rank={"Summer": 0.85, "Keeper": 0.8},
        storage_weeks={"Summer": 1.0, "Keeper": 12.0},
    )
    assert chosen(answer(at, 1)) == ["Keeper"]


def test_an_apple_of_untold_use_is_one_to_eat_where_all_speaks_for_it() -> None:
    by_name = {one.name: one for one in shared.catalogue().tables.cultivars}
    assert likely_dessert(by_name["Shinano Sweet"])
    assert not likely_dessert(by_name["Dumelow's Seedling"])
    assert not likely_dessert(by_name["Bramley's Seedling"])  # its use is told
    assert not likely_dessert(by_name["Dabinett"])


def test_a_sweet_crab_that_nobody_plants_for_fruit_is_none_to_eat() -> None:
    """The crab is as if no text told its uses: those of all sweet crabs are told by now."""
    by_name = {one.name: one for one in shared.catalogue().tables.cultivars}
    findings = {trait: found for trait, found in by_name["Rescue"].findings.items() if trait != "uses"}
    findings["flavour"] = by_name["Shinano Sweet"].findings["flavour"]
    sweet = msgspec.structs.replace(by_name["Rescue"], findings=findings)
    assert (sweet.kind, said(sweet, "flavour"), said(sweet, "uses")) == ("crab_apple", ("sweet",), ())
    assert not likely_dessert(sweet)
    assert likely_dessert(msgspec.structs.replace(sweet, kind="apple"))


def test_nagano_is_offered_what_nagano_grows() -> None:
    """Of its list of recommended cultivars: Tsugaru, Shinano Sweet, Shinano Gold, Akibae, Fuji (common knowledge)."""
    asked = msgspec.convert({"site": NAGANO, "space": {"tree_count": 1}}, PlantingListsRequest)
    found = real(NAGANO, 5, wanted={"uses": ["dessert"]}).planting_lists[0]
    names = {tree.cultivar for tree in found.trees}
    assert {"Tsugaru", "Shinano Sweet"} <= names
    at = sited_cultivars(plantable(shared.catalogue(), ()), shared.conditions(asked.site), ListWeights())
    assert all(at.verdict[at.row[tree.id]] == "plant" for tree in found.trees)


def test_nothing_is_said_of_storing_where_nobody_knows_it() -> None:
    at = sited([cultivar("A"), cultivar("B")], storage_weeks={"A": np.nan, "B": np.nan})
    told = {one.code: one for one in answer(at, 2).planting_lists[0].why}
    assert "picking_season_keeping_unknown" in told
    assert "picking_season" not in told
    assert "stored" not in told["picking_season_keeping_unknown"].words


def test_a_lone_tree_among_unknown_neighbours_is_not_called_served() -> None:
    found = real(KENT, 1, lists=3).planting_lists
    lone = [one for one in found if one.trees[0].pollination.code == "served_if_neighbours"]
    assert lone
    assert all("every_tree_has_pollen" not in [reason.code for reason in one.why] for one in lone)
    served = real(KENT, 1, neighbourhood="settled").planting_lists[0]
    assert "every_tree_has_pollen" in [reason.code for reason in served.why]


def test_nobody_is_advised_against_an_ornamental_that_nobody_named() -> None:
    against = {one.cultivar for one in real(KENT, 2).advised_against}
    assert not {"Spring Snow", "Winter Gold"} & against
    named = real(KENT, 2, available=["Spring Snow", "Discovery", "Ellison's Orange"])
    assert "Spring Snow" in {one.cultivar for one in named.advised_against}


@pytest.mark.parametrize("site", [KENT, VIRGINIA])
def test_crab_apples_that_are_suggested_live_there_and_are_known(site: dict[str, float]) -> None:
    asked = msgspec.convert({"site": site, "space": {"tree_count": 1}}, PlantingListsRequest)
    at = sited_cultivars(plantable(shared.catalogue(), ()), shared.conditions(asked.site), ListWeights())
    suggested = [one for found in real(site, 1, lists=3).planting_lists for one in found.suggested_pollen_sources]
    assert suggested
    assert all(at.verdict[at.row[one.id]] != "not_here" for one in suggested)
    assert "Keegan's Crab" not in {one.cultivar for one in suggested}  # one document knows it


def test_low_chill_trees_that_stand_get_the_partners_that_growers_plant_there() -> None:
    """Anna stands in the south of Mississippi: Dorsett Golden and Ein Shemer are its usual company (from memory)."""
    gulf = {"latitude": 30.5, "longitude": -89.6, "elevation_m": 40}
    found = real(gulf, 3, wanted={"uses": ["dessert"]}, established=[{"cultivar": "Anna"}])
    (one,) = found.planting_lists
    assert {"Dorsett Golden", "Ein Shemer"} <= {tree.cultivar for tree in one.trees}
    assert one.verdict == "plant"
    short = [tree.cultivar for tree in one.trees if tree.pollinated < 0.7]
    told = [limit.values["cultivars"] for limit in found.limits if limit.code == "source_missing_for"]
    assert told == ([tuple(short)] if short else [])


ALMATY = {"latitude": 43.24, "longitude": 76.9, "elevation_m": 850}
NORMANDY = {"latitude": 49.4, "longitude": 1.1, "elevation_m": 60}
SANTA_BARBARA = {"latitude": 34.43, "longitude": -119.7, "elevation_m": 60}


def test_where_few_speak_the_wider_part_of_the_world_is_heard() -> None:
    """The Aport of Almaty is Alexander; Co-op 39 is of Indiana, and no source between the Urals and China names it."""
    passed = over(ALMATY)
    assert passed["Alexander"] < 0.05
    assert passed["Delicious"] < FIGURES.passed_over_from < 0.7 < passed["Co-op 39"]
    trees = [tree for one in real(ALMATY, 5, lists=3).planting_lists for tree in one.trees]
    assert {tree.verdict for tree in trees} == {"plant"}
    assert "Alexander" in {tree.cultivar for tree in trees}


def test_a_season_to_fill_is_no_reason_to_plant_what_hardly_bears() -> None:
    names = ["Home", *(f"Abroad {n}" for n in range(6)), "Early"]
    rank = dict.fromkeys(names, 0.7) | {"Home": 0.8, "Early": 0.3}
    harvest = dict.fromkeys(names, 450.0) | {"Early": 380.0}
    trying: dict[str, Verdict] = {"Early": "worth_trying"}
    at = sited([cultivar(name) for name in names], rank=rank, harvest=harvest, verdict=trying)
    over_all = np.array([0.0 if name in ("Home", "Early") else 0.9 for name in names])
    assert "Early" not in chosen(answer(replace(at, passed_over=over_all), 4, lists=1))


@pytest.mark.parametrize("use", ["cooking", "cider"])
def test_who_asks_for_cookers_is_not_given_eating_apples(use: str) -> None:
    """Grenadier, Howgate Wonder and Edward VII are grown for the kitchen; Alkmene and Discovery are eaten raw."""
    kept = real(NORMANDY, 3, wanted={"uses": [use]}).planting_lists[0].trees
    courtesy = [tree for tree in kept if "dessert" in (tree.uses or ()) and tree.fruit.flavour != "sharp"]
    assert len(courtesy) <= 1
    both = real(NORMANDY, 3, wanted={"uses": [use, "dessert"]}).planting_lists[0].trees
    assert any("dessert" in (tree.uses or ()) for tree in both)


def test_a_name_unheard_of_is_not_taken_because_it_alone_gives_sure_pollen() -> None:
    """Of three trees none is Eva, which is surely served and which nobody there names."""
    passed = over(SANTA_BARBARA)
    first = real(SANTA_BARBARA, 3, lists=3).planting_lists[0]
    assert all(passed[tree.cultivar] < FIGURES.passed_over_from for tree in first.trees)
    assert all(tree.pollinated >= 0.75 for tree in first.trees)


def test_three_low_chill_trees_of_a_mild_coast_are_a_list_to_be_planted() -> None:
    stock = ["Dorsett Golden", "Anna", "Tropic Sweet"]
    (only,) = real(SANTA_BARBARA, 3, lists=1, available=stock).planting_lists
    assert only.verdict == "plant"
    assert all(tree.pollinated >= 0.85 for tree in only.trees)


def test_a_list_to_be_planted_stands_before_one_worth_a_try_where_all_are_to_be_had() -> None:
    assert real(SANTA_BARBARA, 3, lists=3).planting_lists[0].verdict == "plant"


@pytest.mark.parametrize(
    ("uses", "gives_way"),
    [(("cooking",), True), (("cooking", "cider"), True), (("juice",), False), (("cooking", "drying"), False)],
)
def test_eating_apples_give_way_to_those_of_kitchen_and_press_alone(uses: tuple[str, ...], gives_way: bool) -> None:
    """For juice and drying eating apples are usually taken: common practice, no source."""
    both, kitchen = cultivar("Both", uses="dessert cooking juice"), cultivar("Kitchen", uses="cooking juice")
    shares = wish_shares((both, kitchen), ({}, {}), uses)
    assert bool(shares[0] < shares[1]) == gives_way
