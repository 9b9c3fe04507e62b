"""Lists against published answers: which partner serves a tree that stands, how far apart trees stand, which form.

data/partners_of_standing_trees.csv, tree_spacings.csv, a source in every row. The answers on partners were given by
extension advisers and others to a question or on a page; a cultivar that the catalogue lacks is left out and counted.
"""

from functools import cache

import msgspec
import pytest

from domain.planting_list.list_answer import StandingServed
from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.planting_lists import planting_lists
from domain.planting_list.tree_options import FIGURES as TREES
from domain.planting_list.tree_options import tree_options
from domain.pollination.pairs import FIGURES as PAIRS
from domain.trees.tree_choices import TreeWishes
from tests import shared
from tests.published.cases import Case, cases, parametrized


@cache
def served(stands: str, partner: str, latitude: str, longitude: str) -> StandingServed | None:
    """What a list of the partner alone does for the tree that stands; None if the catalogue lacks one of them."""
    catalogue = shared.catalogue()
    if any(catalogue.tables.names.resolve(name) is None for name in (stands, partner)):
        return None
    body = {
        "site": {"latitude": float(latitude), "longitude": float(longitude)},
        "space": {"tree_count": 1},
        "established": [{"cultivar": stands}],
        "wanted": {"must_include": [partner]},
        "neighbourhood": "isolated",
        "lists": 1,
    }
    request = msgspec.convert(body, PlantingListsRequest)
    answer = planting_lists(request, catalogue, shared.conditions(request.site))
    return answer.planting_lists[0].established[0]


def of(case: Case) -> StandingServed | None:
    return served(case["stands"], case["partner"], case["latitude"], case["longitude"])


def test_partners_that_advisers_name_serve_the_tree_that_stands() -> None:
    named = [case for case in cases("partners_of_standing_trees.csv") if case["truth"] == "serves"]
    found = [one for one in map(of, named) if one is not None]
    assert len(found) >= 30
    sure = [one for one in found if one.pollinated >= PAIRS.effective_chance]
    assert len(sure) / len(found) >= 0.85
    assert [one for one in found if one.said.code == "standing_not_served"] == []


@parametrized(
    "partners_of_standing_trees.csv",
    lambda case: f"{case['stands']}-{case['partner']}",
    lambda case: case["truth"] == "serves_not",
)
def test_a_cultivar_and_its_own_sports_serve_no_tree_of_their_kind(case: Case) -> None:
    one = of(case)
    assert one is not None
    assert one.said.code == "standing_not_served"


@pytest.mark.xfail(strict=True, reason="S2 S3 and S2 S5: half of the pollen fits, and half is enough here")
@parametrized(
    "partners_of_standing_trees.csv",
    lambda case: f"{case['stands']}-{case['partner']}",
    lambda case: case["truth"] == "not_reliably",
)
def test_partners_that_a_page_calls_unreliable_do_not_surely_serve(case: Case) -> None:
    one = of(case)
    assert one is not None
    assert one.pollinated < PAIRS.effective_chance


@parametrized("tree_spacings.csv", lambda case: case["rootstocks"])
def test_trees_of_a_list_stand_as_far_apart_as_an_extension_service_says(case: Case) -> None:
    """Within a quarter of the range, which the service itself widens where seasons are long."""
    # Bramley's Seedling is among the strongest, of which standards are made.
    cultivar = shared.catalogue().tables.by_id["bramley-s-seedling" if case["tree_forms"] else "golden-delicious"]
    forms = tuple(case["tree_forms"].split(";")) if case["tree_forms"] else ()
    for stock in case["rootstocks"].split(";"):
        found = tree_options(cultivar, TreeWishes(forms=forms), frozenset({stock}), TREES.air_m)
        assert found
        assert 0.75 * float(case["low_m"]) <= found[0].spacing_m <= 1.25 * float(case["high_m"])


def test_tip_bearers_are_trained_to_no_form_of_spurs() -> None:
    """Spur-bearing cultivars are best for espalier, tip-bearing ones adapt worse (nzlife-espalier, a magazine)."""
    by_id = shared.catalogue().tables.by_id
    tips = [c for c in by_id.values() if "fruiting_habit" in c.findings and c.findings["fruiting_habit"].value == "tip"]
    assert len(tips) >= 10
    for cultivar in tips:
        found = tree_options(cultivar, TreeWishes(against_fence=True), None, TREES.air_m)
        assert not {option.choice.form for option in found} & {"espalier", "oblique-cordon", "stepover"}
