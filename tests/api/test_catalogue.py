"""The catalogue: pages, filters by trait, one cultivar with its evidence; sources and figures."""

from collections.abc import Callable
from typing import Any

import pytest
from litestar.testing import TestClient

from domain.tables.parameters import all_parameters
from tests.api.requests import example

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


def test_a_slash_in_a_name_parts_no_path(client: Client) -> None:
    """RFC 3986, section 2.2: the encoded delimiter is data."""
    assert client.get("/v1/cultivars/UEB%203375%2F2").json()["id"] == "luna"
    unknown = client.get("/v1/cultivars/Nobody%2fKnows")
    assert (unknown.status_code, unknown.json()["type"]) == (404, "/problems/unknown-cultivar")
    assert "“Nobody/Knows”" in unknown.json()["detail"]
    assert "Nobody\N{FRACTION SLASH}Knows" in client.get("/v1/cultivars/Nobody%E2%81%84Knows").json()["detail"]
    for address in ("/v1/sources/no%2Fsuch", "/v1/parameters/no%2Fsuch", "/problems/no%2Fsuch"):
        assert "no/such" in client.get(address).json()["detail"]
    assert client.get("/v1/cultivars/UEB%203375/2").json()["type"] == "/problems/not-found"


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


def test_every_figure_by_its_id_and_with_sources_that_are_served(client: Client) -> None:
    figures = all_items(client, "/v1/parameters?page_limit=200")
    assert [one["id"] for one in figures] == [one.id for one in all_parameters()]
    for one in (figures[0], figures[-1]):
        assert client.get(f"/v1/parameters/{one['id']}").json().items() >= one.items()
    known = {source["id"] for source in all_items(client, "/v1/sources?page_limit=200")}
    assert {source for one in figures for source in one["sources"]} <= known


def test_figures_by_room_and_basis(client: Client) -> None:
    found = all_items(client, "/v1/parameters?room=pollination&basis=fitted&page_limit=200")
    assert {one["id"] for one in found} == {
        one.id for one in all_parameters() if one.room == "pollination" and one.basis == "fitted"
    }
    assert found


def test_filter_by_part_of_a_name(client: Client) -> None:
    names = {item["name"] for item in all_items(client, "/v1/cultivars?q=DELICIOUS&page_limit=200")}
    assert "Golden Delicious" in names
    assert "Cox's Orange Pippin" not in names


def test_suitabilities_bring_their_evidence_when_it_is_asked_for(client: Client) -> None:
    body = {**example("/v1/suitabilities"), "evidence": True}
    told = client.post("/v1/suitabilities", json=body).json()
    named = {source for one in told["suitabilities"] for trait in one["traits"] for source in trait["sources"]}
    assert {source["id"] for source in told["sources"]} == named
    assert len(named) > 10
    assert client.post("/v1/suitabilities", json=example("/v1/suitabilities")).json()["sources"] is None


@pytest.mark.parametrize(
    ("query", "fits"),
    [
        ("use=cooking&use=dessert", lambda c: {"cooking", "dessert"} <= set(c["findings"]["uses"]["value"].split())),
        ("ploidy=3", lambda c: c["findings"]["ploidy"]["value"] == "3"),
        ("max_chill_portions=30", lambda c: c["numbers"]["chill_portions"]["value"] <= 30),
        ("ripens_from_days=10&ripens_to_days=20", lambda c: 10 <= c["numbers"]["ripening_offset_days"]["value"] <= 20),
        ("least_vigour=4", lambda c: c["numbers"]["vigour"]["value"] >= 4),
        ("growth_form=columnar", lambda c: c["findings"]["growth_form"]["value"] == "columnar"),
        ("resists=scab&resists=fire_blight", lambda c: c["numbers"]["susceptibility_scab"]["value"] < 0.45),
        ("kind=crab_apple", lambda c: c["kind"] == "crab_apple"),
        ("status=advised", lambda c: c["status"] == "advised"),
    ],
)
def test_filters_by_trait(client: Client, query: str, fits: Callable[[dict[str, Any]], bool]) -> None:
    """Every item found has the trait."""
    found = all_items(client, f"/v1/cultivars?{query}&page_limit=200")
    assert len(found) > 0
    assert all(fits(item) for item in found)
    every = all_items(client, "/v1/cultivars?page_limit=200")
    assert len(found) < len(every)


@pytest.mark.parametrize("name", ["mm-106", "MM.106", "MM106", "Malling-Merton 106"])
def test_one_rootstock_by_any_spelling(client: Client, name: str) -> None:
    assert client.get(f"/v1/rootstocks/{name}").json()["name"] == "MM.106"


@pytest.mark.parametrize("address", ["/v1/rootstocks/M.9", "/v1/tree-forms/oblique-cordon"])
def test_evidence_of_rootstocks_and_forms_comes_with_every_source_it_names(client: Client, address: str) -> None:
    body = client.get(f"{address}?evidence=true").json()
    adopted = [*body.get("numbers", body.get("ranges")).values(), *body.get("findings", {}).values()]
    told = [*body["observations"], *body.get("practice", [])]
    named = {source for one in adopted for source in one["sources"]} | {one["source_id"] for one in told}
    assert {source["id"] for source in body["sources"]} == named
    assert len(body["observations"]) >= 5
    without = client.get(address).json()
    assert (without["observations"], without["sources"]) == (None, None)


@pytest.mark.parametrize(
    ("query", "fits"),
    [
        ("rootstocks?least_size=60&greatest_size=75", lambda s: 60 <= s["numbers"]["size_percent"]["value"] <= 75),
        ("rootstocks?commonly_sold=true", lambda s: s["commonly_sold_in"]),
        ("rootstocks?hardy=true", lambda s: s["findings"]["hardiness"]["value"] in {"hardy", "very_hardy"}),
        ("rootstocks?tolerates=replant", lambda s: s["findings"]["replant"]["value"] == "tolerant"),
        ("rootstocks?self_supporting=true", lambda s: s["findings"]["staking"]["value"] == "not_needed"),
        ("tree-forms?arrangement=fence", lambda f: f["arrangement"] == "fence"),
        ("tree-forms?no_ladder=true", lambda f: f["ranges"]["mature_height"]["high"] <= 2.6),
        ("tree-forms?bearing=tip", lambda f: "tip" in f["bearing_habits"]),
    ],
)
def test_rootstocks_and_forms_by_trait(client: Client, query: str, fits: Callable[[dict[str, Any]], bool]) -> None:
    """Every item found has the trait; pages of three hold them all, each once, and no page is kept for another."""
    collection = query.split("?", maxsplit=1)[0]
    found = all_items(client, f"/v1/{query}&page_limit=3")
    assert [item["id"] for item in found] == sorted({item["id"] for item in found})
    assert all(fits(item) for item in found)
    assert 0 < len(found) < len(all_items(client, f"/v1/{collection}?page_limit=200"))


@pytest.mark.parametrize("address", ["/v1/rootstocks", "/v1/tree-forms", "/v1/rootstocks/M.9", "/v1/tree-forms/fan"])
def test_rootstocks_and_forms_are_not_sent_twice(client: Client, address: str) -> None:
    tag = client.get(address).headers["etag"]
    assert client.get(address, headers={"If-None-Match": tag}).status_code == 304


@pytest.mark.parametrize("part", ["Антоновка", "苹果", "-", "%", " "])
def test_a_part_without_letters_that_are_compared_is_part_of_no_name(client: Client, part: str) -> None:
    answer = client.get("/v1/cultivars", params={"q": part})
    assert answer.status_code == 200
    assert (answer.json()["items"], answer.json()["next"]) == ([], None)


@pytest.mark.parametrize("name", ["Антоновка", "苹果"])
def test_no_names_are_near_to_one_that_cannot_be_compared(client: Client, name: str) -> None:
    answer = client.get(f"/v1/cultivars/{name}")
    assert answer.status_code == 404
    assert "nearest" not in answer.json()["errors"][0]
