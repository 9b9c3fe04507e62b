"""The catalogue: pages, filters by trait, one cultivar with its evidence; sources."""

from typing import Any

import pytest
from litestar.testing import TestClient

Client = TestClient[Any]


def all_items(client: Client, address: str) -> list[dict[str, Any]]:
    """Every item of a collection, page by page, by the Link header."""
    items: list[dict[str, Any]] = []
    following: str | None = address
    while following:
        answer = client.get(following)
        assert answer.status_code == 200
        body = answer.json()
        items += body["items"]
        link = answer.links.get("next")
        assert (link is None) == (body["next"] is None)
        following = link["url"] if link else None
    return items


@pytest.mark.parametrize(("collection", "key"), [("cultivars", "id"), ("sources", "id")])
def test_pages_hold_every_item_once(client: Client, collection: str, key: str) -> None:
    ids = [item[key] for item in all_items(client, f"/v1/{collection}?page_limit=200")]
    assert len(ids) > 500
    assert ids == sorted(set(ids))
    first = client.get(f"/v1/{collection}").json()
    assert len(first["items"]) == 50
    second = client.get(f"/v1/{collection}", params={"cursor": first["next"], "page_limit": 7}).json()
    assert [item[key] for item in second["items"]] == ids[50:57]


def test_a_page_keeps_its_filters(client: Client) -> None:
    answer = client.get("/v1/cultivars?kind=crab_apple&page_limit=3")
    following = client.get(answer.links["next"]["url"]).json()
    assert {item["kind"] for item in following["items"]} == {"crab_apple"}


@pytest.mark.parametrize("name", ["cox-s-orange-pippin", "Cox's Orange Pippin", "COXS ORANGE PIPPIN"])
def test_one_cultivar_by_any_spelling(client: Client, name: str) -> None:
    assert client.get(f"/v1/cultivars/{name}").json()["name"] == "Cox's Orange Pippin"


def test_evidence_comes_with_every_source_it_names(client: Client) -> None:
    body = client.get("/v1/cultivars/golden-delicious?evidence=true").json()
    sources = {source["id"] for source in body["sources"]}
    named = {observation["source_id"] for observation in body["observations"]}
    named |= {alias["source_id"] for alias in body["aliases"]}
    for adopted in [*body["numbers"].values(), *body["findings"].values()]:
        named |= set(adopted["sources"])
    assert len(body["observations"]) > 20
    assert named == sources
    without = client.get("/v1/cultivars/golden-delicious").json()
    assert without["observations"] is None
    assert without["sources"] is None


def test_every_source_by_its_id(client: Client) -> None:
    source = client.get("/v1/sources?page_limit=1").json()["items"][0]
    assert client.get(f"/v1/sources/{source['id']}").json().items() >= source.items()


def test_filter_by_part_of_a_name(client: Client) -> None:
    names = {item["name"] for item in all_items(client, "/v1/cultivars?q=DELICIOUS&page_limit=200")}
    assert "Golden Delicious" in names
    assert "Cox's Orange Pippin" not in names
