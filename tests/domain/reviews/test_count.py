"""Trees alike told one by one, or once with their count, are the same trees: a second brings no pollen of its own."""

from typing import Any

import msgspec
import pytest

from domain.reviews.review_answer import PlantingListReview
from domain.reviews.review_request import PlantingListReviewRequest
from domain.reviews.reviews import review
from tests import shared

KENT = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40}
COX = {"cultivar": "Cox's Orange Pippin", "label": "cox"}
ALIKE = {"cultivar": "Court Pendu Plat"}


def reviewed(*trees: dict[str, Any], **asked: Any) -> PlantingListReview:
    request = msgspec.convert({"site": KENT, "trees": list(trees), **asked}, PlantingListReviewRequest)
    return review(request, shared.catalogue(), shared.conditions(request.site))


@pytest.mark.parametrize("neighbourhood", ["isolated", "unknown", "settled"])
def test_three_entries_of_a_cultivar_serve_another_as_one_entry_of_three(neighbourhood: str) -> None:
    apart = reviewed(COX, *[ALIKE] * 3, neighbourhood=neighbourhood)
    counted = reviewed(COX, {**ALIKE, "count": 3}, neighbourhood=neighbourhood)
    assert apart.trees[0].pollination == counted.trees[0].pollination
    assert 0.0 < apart.trees[0].pollination.pollinated < 1.0
    assert apart.whole.years_with_enough_in_ten == counted.whole.years_with_enough_in_ten
    assert [one.change for one in apart.changes] == [one.change for one in counted.changes]


def test_three_beside_a_tree_without_a_name_serve_as_one_entry_of_three() -> None:
    unknown = {"cultivar": None, "label": "unknown"}
    apart, counted = reviewed(COX, unknown, *[ALIKE] * 3), reviewed(COX, unknown, {**ALIKE, "count": 3})
    for n in (0, 1):
        assert apart.trees[n].pollination.pollinated == counted.trees[n].pollination.pollinated


def test_near_by_the_nearest_of_a_cultivar_counts() -> None:
    def served(*metres: float) -> float:
        near = [{**ALIKE, "distance_m": one} for one in metres]
        return reviewed(COX, neighbourhood="isolated", nearby_pollen=near).trees[0].pollination.pollinated

    assert served(20.0) == served(20.0, 300.0) == served(300.0, 20.0) > served(300.0)


def test_of_trees_with_places_the_nearest_of_a_cultivar_counts() -> None:
    def served(*east_m: float) -> float:
        others = [{**ALIKE, "at_m": [one, 0]} for one in east_m]
        asked = reviewed({**COX, "at_m": [0, 0]}, *others, neighbourhood="isolated")
        return asked.trees[0].pollination.pollinated

    assert served(8.0) == pytest.approx(served(8.0, 60.0)) == pytest.approx(served(60.0, 8.0))
    assert served(8.0) > served(60.0)
