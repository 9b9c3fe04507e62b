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


def faults(client: TestClient[Litestar], address: str, body: dict[str, Any]) -> list[str]:
    answered = client.post(address, json=body)
    assert answered.status_code == 422, (address, answered.text)
    return [fault["pointer"] for fault in answered.json()["errors"]]


def test_a_day_of_today_that_no_calendar_has_is_told_once_where_it_was_sent(client: TestClient[Litestar]) -> None:
    bad = SITE | {"as_of": "2026-02-30"}
    for address, body in bodies(TREE).items():
        assert faults(client, address, body | {"site": bad}) == ["#/site/as_of"], address
    review = bodies(TREE | {"seen": [{"event": "last_crop", "date": "2025-09-30"}]})["/v1/planting-list-reviews"]
    assert faults(client, "/v1/planting-list-reviews", review | {"site": bad}) == ["#/site/as_of"]
    assert faults(client, "/v1/planting-list-reviews", review | {"as_of": "2026-02-30"}) == ["#/as_of"]
    both = review | {"site": bad, "as_of": "2026-11-29"}
    assert faults(client, "/v1/planting-list-reviews", both) == ["#/site/as_of"]


def test_a_review_is_asked_on_one_day(client: TestClient[Litestar]) -> None:
    body = bodies(TREE)["/v1/planting-list-reviews"]
    assert faults(client, "/v1/planting-list-reviews", body | {"as_of": "2026-02-20"}) == ["#/as_of"]
    answered = client.post("/v1/planting-list-reviews", json=body | {"as_of": SITE["as_of"]})
    assert answered.status_code == 200
    assert answered.json() == client.post("/v1/planting-list-reviews", json=body).json()


def test_ages_and_days_seen_need_today_wherever_they_are_told(client: TestClient[Litestar]) -> None:
    untold = {name: value for name, value in SITE.items() if name != "as_of"}
    for address, body in bodies(TREE).items():
        (fault,) = client.post(address, json=body | {"site": untold}).json()["errors"]
        assert fault["pointer"].endswith("/year_planted"), address
        assert fault["detail"].startswith("Ages need today"), address
    seen = {"cultivar": "Gala", "seen": [{"event": "last_crop", "date": "2025-09-30"}]}
    review = {"site": untold, "trees": [seen]}
    assert faults(client, "/v1/planting-list-reviews", review) == ["#/trees/0/seen"]


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
