"""A list to be planted is found where there is one: every list of a small stock is judged, at a dozen places."""

import random
from itertools import combinations
from typing import Any

import msgspec
import pytest

from domain.planting_list.candidates import Candidates, candidates
from domain.planting_list.choice import POINTS, list_worth
from domain.planting_list.chosen_list import ChosenList
from domain.planting_list.list_request import ListWeights, PlantingListsRequest
from domain.planting_list.list_verdict import FIGURES
from domain.planting_list.planting_lists import plantable, planting_lists, sited_cultivars
from domain.planting_list.trees_in_words import laid_out
from tests import shared

PLACES = {
    "Santa Barbara": (34.4, -119.7, 50),
    "San Diego": (32.8, -117.1, 120),
    "Gainesville": (29.65, -82.3, 50),
    "Malaga": (36.75, -4.4, 50),
    "Haifa": (32.8, 35.0, 200),
    "Rabat": (34.0, -6.8, 80),
    "Nairobi": (-1.1, 36.7, 2100),
    "Elgin": (-34.15, 19.0, 300),
    "Perth": (-32.0, 116.0, 250),
    "Valparaiso": (-33.0, -71.5, 100),
    "Shimla": (31.1, 77.2, 2100),
    "Duluth": (46.85, -92.2, 400),
    "Trondheim": (63.4, 10.4, 40),
    "Nagano": (36.6, 138.2, 380),
}
TREES, SURE, TRIED = 3, 6, 1


def small_stock(site: dict[str, float], drawn: int) -> list[str]:
    """Some that are to be planted and some worth a try, drawn by number."""
    conditions = shared.conditions(
        msgspec.convert({"site": site, "space": {"tree_count": 1}}, PlantingListsRequest).site
    )
    judged = sited_cultivars(plantable(shared.catalogue(), ()), conditions, ListWeights())
    draw = random.Random(drawn)
    names: list[str] = []
    for verdict, most in (("plant", SURE), ("worth_trying", TRIED)):
        of = [
            one.name
            for one, v in zip(judged.cultivars, judged.verdict, strict=True)
            if v == verdict and one.status == "advised"
        ]
        names += draw.sample(of, min(most, len(of)))
    return names


def all_lists(found: Candidates) -> list[tuple[float, str]]:
    """Worth and verdict of every list of so many different cultivars, as sports are counted."""
    problem = found.problem
    each = range(problem.size)
    told: list[tuple[float, str]] = []
    for trees in combinations(each, TREES):
        if len({int(problem.group[one]) for one in trees}) == TREES:
            verdict = ChosenList(found.wishes, found, trees, laid_out(None, found, trees, None)).verdict
            told.append((list_worth(problem, trees), verdict))
    return told


@pytest.mark.parametrize("drawn", range(3))
@pytest.mark.parametrize("place", PLACES)
def test_where_a_list_to_be_planted_can_be_had_the_answer_holds_one(
    place: str, drawn: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    latitude, longitude, elevation = PLACES[place]
    site = {"latitude": latitude, "longitude": longitude, "elevation_m": elevation}
    stock = small_stock(site, drawn)
    kept: list[Candidates] = []

    def kept_candidates(*asked: Any) -> Candidates:
        kept.append(candidates(*asked))
        return kept[-1]

    monkeypatch.setattr("domain.planting_list.lists.candidates", kept_candidates)
    request = {
        "site": site,
        "space": {"tree_count": TREES},
        "lists": 1,
        "available": stock,
        "neighbourhood": "isolated",
    }
    asked = msgspec.convert(request, PlantingListsRequest)
    answer = planting_lists(asked, shared.catalogue(), shared.conditions(asked.site))
    told = all_lists(kept[-1])
    best = max((worth for worth, _ in told), default=0.0)
    sure = [worth for worth, verdict in told if verdict == "plant" and worth >= FIGURES.sure_share * best]
    if not any(verdict == "plant" for _, verdict in told):
        assert all(
            one.verdict != "plant" or len({tree.id for tree in one.trees}) < TREES for one in answer.planting_lists
        )
    if not sure:
        return
    assert answer.planting_lists[0].verdict == "plant"
    assert answer.best_possible_value is not None
    assert answer.best_possible_value >= answer.planting_lists[0].value - 1 / POINTS
