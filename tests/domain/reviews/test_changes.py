"""What a review would change: a form mends its own cuts and nothing else, and a tree gives way to one of its use."""

from typing import Any

import msgspec
import pytest

from domain.fruit.bearing import BEARING_HABITS, bears_on_tips
from domain.planting_list.tree_worth import uses_of
from domain.reviews.review_answer import Change, PlantingListReview
from domain.reviews.review_request import PlantingListReviewRequest
from domain.reviews.reviews import review
from domain.tables.tree_forms import tree_forms
from domain.tables.words import say
from tests import shared

KENT = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40}
NEW_YORK = {"latitude": 42.9, "longitude": -77.0, "elevation_m": 150}
ESPALIER = {"cultivar": "Worcester Pearmain", "tree_form": "espalier", "year_planted": 2012}


def answered(site: dict[str, float], *trees: dict[str, Any]) -> PlantingListReview:
    asked = {"site": site, "trees": trees, "as_of": "2026-11-29"}
    request = msgspec.convert(asked, PlantingListReviewRequest)
    return review(request, shared.catalogue(), shared.conditions(request.site))


def pruned(found: PlantingListReview) -> list[tuple[str, str | None]]:
    return sorted((one.code, one.of) for one in found.changes if one.change == "prune")


def test_a_tree_in_an_unfit_form_is_still_told_to_cut_out_its_cankers() -> None:
    found = answered(KENT, {**ESPALIER, "label": "wall", "complaints": ["dieback"], "signs": ["sunken_bark"]})
    assert pruned(found) == [("canker_pruning", "wall"), ("change_other_form", "wall")]


def test_a_tree_of_the_same_name_keeps_its_advice() -> None:
    """Neither has a label; one is in an unfit form and one is a bush that dies back."""
    bush = {"cultivar": "Worcester Pearmain", "tree_form": "bush", "year_planted": 2012}
    bush |= {"complaints": ["dieback"], "signs": ["sunken_bark"]}
    found = answered(KENT, ESPALIER, bush)
    assert [code for code, _ in pruned(found)] == ["canker_pruning", "change_other_form"]


def test_another_form_is_told_in_place_of_other_cuts() -> None:
    found = answered(KENT, {**ESPALIER, "label": "wall", "pruning": "hard", "sun_hours": 8, "complaints": ["no_bloom"]})
    assert [cause.cause for cause in found.trees[0].likely_causes][:1] == ["pruned_wrongly"]
    assert pruned(found) == [("change_other_form", "wall")]


@pytest.mark.parametrize("habit", [habit for habit in BEARING_HABITS if bears_on_tips(habit)])
def test_forms_that_are_advised_suit_every_habit_that_is_told_so(habit: str) -> None:
    forms = tree_forms()
    words = say("change_other_form", tree="It", form="unfit form").words
    named = {form.id for form in forms.values() if f"a {form.name} " in words or f"a {form.name}." in words}
    assert named == {"bush", "half-standard"}
    assert all(habit in forms[form].bearing_habits for form in named)


def test_a_tree_gives_way_for_health_to_one_of_its_use() -> None:
    """Of all that resist there a cider apple is worth most, and Gala was planned to be eaten."""
    names = ["Bramley's Seedling", "Gala", "Fuji", "Rhode Island Greening"]
    found = answered(NEW_YORK, *({"cultivar": name, "state": "planned"} for name in names))
    (change,) = [one for one in found.changes if one.code == "change_replace_for_health"]
    assert change.of == "Gala"
    assert uses(change) & uses_of(shared.tables().by_id["gala"])


def uses(change: Change) -> frozenset[str]:
    assert change.to is not None
    assert change.to.id is not None
    return uses_of(shared.tables().by_id[change.to.id])
