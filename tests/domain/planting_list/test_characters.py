"""The lists of one answer differ in kind, say so in a sentence, and are what they are called."""

import itertools
from dataclasses import replace

import msgspec
import numpy as np
import pytest

from domain.planting_list.characters import FIGURES, kinds
from domain.planting_list.list_answer import PlantingLists
from domain.planting_list.list_request import ListWeights, PlantingListsRequest
from domain.planting_list.list_verdict import surest_first
from domain.planting_list.planting_lists import plantable, planting_lists, sited_cultivars, told_here
from domain.planting_list.trees_at_site import SitedCultivars
from domain.suitability.factors import Verdict
from tests import shared
from tests.domain.planting_list.nursery import answer, chosen, sited
from tests.domain.pollination.orchard import cultivar

KENT = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40}
ORANGE = {"latitude": -33.3, "longitude": 149.1, "elevation_m": 900}
OTTAWA = {"latitude": 45.4, "longitude": -75.7}
SIX = [*[f"Summer {n}" for n in range(6)], *[f"Keeper {n}" for n in range(6)], *[f"Told {n}" for n in range(6)]]


def nursery() -> SitedCultivars:
    """Six that are best, six that keep, and six of which a source tells near by."""
    rank = {name: {"S": 0.9, "K": 0.85, "T": 0.84}[name[0]] for name in SIX}
    weeks = {name: 26.0 if name.startswith("Keeper") else 3.0 for name in SIX}
    at = sited([cultivar(name) for name in SIX], rank=rank, storage_weeks=weeks)
    told = {one.id: frozenset({"grown"}) for one in at.cultivars if one.name.startswith("Told")}
    return replace(at, told=told)  # type: ignore[arg-type]  # of the words of told_near_by


def real(site: dict[str, float], trees: int, **more: object) -> tuple[PlantingLists, SitedCultivars]:
    request = msgspec.convert({"site": site, "space": {"tree_count": trees}} | more, PlantingListsRequest)
    conditions, catalogue = shared.conditions(request.site), shared.catalogue()
    at = sited_cultivars(plantable(catalogue, ()), conditions, ListWeights())
    at = replace(at, told=told_here(catalogue, conditions))
    return planting_lists(request, catalogue, conditions), at


def test_the_first_is_the_best_and_the_others_are_of_a_kind_it_is_not() -> None:
    weights = ListWeights(picking_season=0.0)
    found = answer(nursery(), 2, lists=3, weights=weights)
    codes = [one.character.code for one in found.planting_lists]
    assert codes[0] == "best_here"
    assert set(codes[1:]) == {"for_keeping", "tried_near_by"}
    assert all(name.startswith("Summer") for name in chosen(found))
    by_code = {one.character.code: [tree.cultivar for tree in one.trees] for one in found.planting_lists}
    assert sum(name.startswith("Keeper") for name in by_code["for_keeping"]) >= 1
    assert all(name.startswith("Told") for name in by_code["tried_near_by"])
    values = [one.value for one in found.planting_lists]
    assert values == sorted(values, reverse=True)


def test_a_list_to_be_planted_stands_before_one_worth_more_that_is_worth_a_try() -> None:
    """What bears in six years of ten is worth most here, and its list still only worth a try."""
    at = nursery()
    chance = np.where([[one.name.startswith("Summer")] for one in at.cultivars], 0.5, at.crop_chance)
    found = answer(replace(at, crop_chance=chance.astype(np.float32)), 3, lists=3)
    assert [one.verdict for one in found.planting_lists] == ["plant", "plant", "worth_trying"]
    assert [one.rank for one in found.planting_lists] == [1, 2, 3]
    last = found.planting_lists[2]
    assert last.value > found.planting_lists[0].value
    assert all(name.startswith("Summer") for name in chosen(found, 3))
    assert found.planting_lists[0].character.code == "best_here"
    assert found.best_possible_value is not None
    assert found.best_possible_value >= last.value


def test_the_first_list_is_the_same_however_few_are_asked() -> None:
    at = nursery()
    chance = np.where([[one.name.startswith("Summer")] for one in at.cultivars], 0.5, at.crop_chance)
    at = replace(at, crop_chance=chance.astype(np.float32))
    three, two, one = (answer(at, 3, lists=lists).planting_lists for lists in (3, 2, 1))
    assert (len(three), len(two), len(one)) == (3, 2, 1)
    assert one[0].verdict == "plant"
    assert [told.trees for told in two] == [told.trees for told in three[:2]]
    assert one[0].trees == three[0].trees
    assert (one[0].value, one[0].character) == (three[0].value, three[0].character)


def test_a_list_worth_a_try_stays_first_where_it_alone_gives_what_was_asked() -> None:
    verdicts: list[Verdict] = ["worth_trying", "worth_trying", "plant", "not_here"]
    none: frozenset[str] = frozenset()
    alike = [0.9, 0.8, 0.8, 0.8]
    assert surest_first(verdicts, [none, none, none, none], alike) == [2, 0, 1, 3]
    assert surest_first(verdicts, [frozenset({"cooking"}), none, frozenset({"dessert"}), none], alike) == [0, 2, 1, 3]
    both = frozenset({"cooking", "dessert"})
    assert surest_first(verdicts, [frozenset({"cooking"}), none, both, frozenset({"drying"})], alike) == [2, 0, 1, 3]


def test_a_list_worth_a_third_does_not_go_before_for_asking_no_neighbour() -> None:
    verdicts: list[Verdict] = ["worth_trying", "plant", "not_here"]
    nothing: list[frozenset[str]] = [frozenset()] * 3
    assert surest_first(verdicts, nothing, [0.9, 0.3, 0.2]) == [0, 1, 2]
    assert surest_first(verdicts, nothing, [0.9, 0.7, 0.2]) == [1, 0, 2]


def test_each_list_is_proven_best_of_its_kind_against_every_pair() -> None:
    """Brute force: no two cultivars that keep the rule of the character, unlike the first list, are worth more."""
    at = nursery()
    weights = ListWeights(picking_season=0.0)
    found = answer(at, 2, lists=2, weights=weights)
    first, second = (set(chosen(found, rank)) for rank in (1, 2))
    assert found.planting_lists[1].character.code == "for_keeping"
    pairs = [
        pair
        for pair in itertools.combinations(SIX, 2)
        if any(name.startswith("Keeper") for name in pair) and not set(pair) <= first
    ]
    worth = {name: {"S": 0.9, "K": 0.85, "T": 0.84}[name[0]] for name in SIX}
    best = max(sum(worth[name] for name in pair) / 2 for pair in pairs)
    assert sum(worth[name] for name in second) / 2 == pytest.approx(best)
    assert found.planting_lists[1].character.best_possible_value == pytest.approx(
        found.planting_lists[1].value, abs=1e-4
    )


def test_fruit_of_which_it_is_hardly_known_how_long_it_keeps_is_not_called_keeping() -> None:
    """All three keep 26 weeks in the middle of what is known; one of them, at the cautious end of it, only ten."""
    names = ["Surely", "Nearly", "Hardly"]
    spread = {"Nearly": 26.0 - FIGURES.keeping_weeks, "Hardly": 16.0}
    at = sited([cultivar(name) for name in names], storage_weeks=dict.fromkeys(names, 26.0), keeping_spread=spread)
    keeping = next(kind for kind in kinds(at, at.has_verdict("plant")) if kind.code == "for_keeping")
    assert keeping.has.tolist() == [True, True, False]


def test_a_kind_that_costs_too_much_is_passed_over() -> None:
    at = nursery()
    poor = replace(at, worth=np.where([c.name[0] == "S" for c in at.cultivars], 0.9, 0.3).astype(np.float32))
    found = answer(poor, 2, lists=2, weights=ListWeights(picking_season=0.0))
    second = found.planting_lists[1].character
    assert second.code == "another_choice"
    assert set(second.values["cultivars"]) | set(second.values["others"]) <= set(SIX)  # type: ignore[arg-type]  # both are names


@pytest.mark.parametrize("site", [KENT, ORANGE, OTTAWA])
@pytest.mark.parametrize("trees", [1, 3, 12])
def test_no_list_is_called_what_it_is_not(site: dict[str, float], trees: int) -> None:
    found, at = real(site, trees, lists=4)
    by_code = {kind.code: kind for kind in kinds(at, at.has_verdict("plant", "worth_trying"))}
    codes = [one.character.code for one in found.planting_lists]
    assert codes[0] == "best_here"
    assert trees != 3 or len(set(codes) - {"another_choice"}) >= 3
    for one in found.planting_lists:
        rows = [at.row[tree.id] for tree in one.trees]
        for code in (one.character.code, *one.character.also):
            if code in by_code:
                kind = by_code[code]
                assert kind.out_of * kind.has[rows].sum() >= kind.least * len(rows)
        if one.character.code == "of_new_cultivars":
            assert all((tree.fruit.raised or 0) >= FIGURES.new_since for tree in one.trees)
        if one.character.code == "for_keeping":
            keeps = [tree for tree in one.trees if tree.fruit.keeps_weeks and tree.fruit.keeps_weeks[0] >= 16]
            assert 2 * len(keeps) >= len(one.trees)


def test_where_nothing_suits_no_list_is_praised() -> None:
    at = sited([cultivar(name) for name in SIX], verdict=dict.fromkeys(SIX, "not_here"))
    found = answer(at, 2, lists=2)
    assert found.planting_lists[0].character.code == "least_bad_here"
    assert {one.character.code for one in found.planting_lists} <= {"least_bad_here", "another_choice"}
