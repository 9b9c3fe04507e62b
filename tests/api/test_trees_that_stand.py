"""A tree that stands is told alike wherever a request tells of one."""

from typing import Any

from litestar import Litestar
from litestar.testing import TestClient

SITE = {"latitude": 51.3, "longitude": 0.5, "as_of": "2026-11-29"}
TREE = {
    "cultivar": "Bramley's Seedling",
    "label": "by the gate",
    "year_planted": 2022,
    "rootstock": "MM.106",
    "tree_form": "bush",
    "height_m": 2.5,
    "spread_m": 2.0,
}


def bodies(tree: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {
        "/v1/planting-lists": {"site": SITE, "space": {"tree_count": 2}, "lists": 1, "established": [tree]},
        "/v1/planting-list-reviews": {"site": SITE, "trees": [tree]},
        "/v1/season-calendars": {"site": SITE, "trees": [tree]},
        "/v1/multi-cultivar-trees": {"site": SITE, "trunk": tree, "cultivars": 3},
    }


def test_one_tree_is_taken_by_lists_reviews_calendars_and_trunks(client: TestClient[Litestar]) -> None:
    for address, body in bodies(TREE).items():
        answered = client.post(address, json=body)
        assert answered.status_code == 200, (address, answered.text)


def test_its_faults_are_told_alike(client: TestClient[Litestar]) -> None:
    wrong = TREE | {"tree_form": "no such form", "year_planted": 2030}
    told = {}
    for address, body in bodies(wrong).items():
        answered = client.post(address, json=body)
        assert answered.status_code == 422, address
        told[address] = {fault["pointer"].rsplit("/", 1)[1] for fault in answered.json()["errors"]}
    assert set(map(frozenset, told.values())) == {frozenset({"tree_form", "year_planted"})}, told


def test_the_age_of_a_trunk_is_that_of_its_year(client: TestClient[Litestar]) -> None:
    """A young trunk carries fewer: told by its year it is answered as told by its age."""
    body = bodies(TREE | {"year_planted": 2025})["/v1/multi-cultivar-trees"]
    by_year = client.post("/v1/multi-cultivar-trees", json=body).json()
    aged = {name: value for name, value in TREE.items() if name != "year_planted"} | {"age_years": 1}
    assert by_year == client.post("/v1/multi-cultivar-trees", json=body | {"trunk": aged}).json()
    untold = {name: value for name, value in TREE.items() if name != "year_planted"}
    old = client.post("/v1/multi-cultivar-trees", json=body | {"trunk": untold}).json()
    assert old["carries_at_most"] > by_year["carries_at_most"]
    crab = client.post("/v1/multi-cultivar-trees", json=body | {"trunk": {"cultivar": "crab apple"}})
    assert crab.status_code == 200
