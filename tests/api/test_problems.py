"""Every refusal is a problem document (RFC 9457), whatever refused."""

from typing import Any

import httpx
import pytest
from litestar.testing import TestClient

from api.problems import KINDS, MEDIA_TYPE

Client = TestClient[Any]


def assert_problem(answer: httpx.Response, slug: str) -> dict[str, Any]:
    """The members RFC 9457 names are there, agree with the status, and `type` leads to the meaning."""
    body: dict[str, Any] = answer.json()
    kind = KINDS[slug]
    assert answer.headers["content-type"] == MEDIA_TYPE
    assert body["type"] == f"/problems/{slug}"
    assert body["title"] == kind.title
    assert answer.status_code == body["status"] == kind.status
    assert body["detail"]
    for fault in body.get("errors", []):
        assert fault["detail"]
        assert "pointer" in fault or {"parameter", "location"} <= fault.keys()
    return body


@pytest.mark.parametrize(
    ("method", "address", "headers", "slug"),
    [
        ("GET", "/nowhere", {}, "not-found"),
        ("GET", "/v2/cultivars", {}, "not-found"),
        ("GET", "/schema", {}, "not-found"),
        ("POST", "/nowhere", {}, "not-found"),
        ("DELETE", "/v1/cultivars", {}, "method-not-allowed"),
        ("GET", "/v1/suitabilities", {}, "method-not-allowed"),
        ("PUT", "/", {}, "method-not-allowed"),
        ("GET", "/v1/cultivars/no such apple at all", {}, "unknown-cultivar"),
        ("GET", "/v1/sources/no-such-source", {}, "unknown-source"),
        ("GET", "/v1/parameters/no.such.figure", {}, "unknown-parameter"),
        ("GET", "/problems/no-such-problem", {}, "not-found"),
        ("GET", "/v1/cultivars", {"accept": "text/csv"}, "not-acceptable"),
        ("GET", "/v1/cultivars", {"accept": "application/json;q=0, text/html"}, "not-acceptable"),
        ("GET", "/docs", {"accept": "application/json"}, "not-acceptable"),
        ("GET", "/v1/cultivars?page_limit=0", {}, "invalid-parameters"),
        ("GET", "/v1/cultivars?page_limit=201", {}, "invalid-parameters"),
        ("GET", "/v1/cultivars?page_limit=ten", {}, "invalid-parameters"),
        ("GET", "/v1/cultivars?page_limit=1&page_limit=2", {}, "invalid-parameters"),
        ("GET", "/v1/cultivars?colour=red", {}, "invalid-parameters"),
        ("GET", "/v1/cultivars?cursor=%25", {}, "invalid-parameters"),
        ("GET", "/v1/cultivars?ploidy=5", {}, "invalid-parameters"),
        ("GET", "/v1/cultivars/fuji?evidence=perhaps", {}, "invalid-parameters"),
        ("GET", "/healthz?now=1", {}, "invalid-parameters"),
        ("GET", "/", {"host": 'a"b'}, "bad-request"),
    ],
)
def test_refusals(client: Client, method: str, address: str, headers: dict[str, str], slug: str) -> None:
    assert_problem(client.request(method, address, headers=headers), slug)


def test_refused_method_names_those_that_are_taken(client: Client) -> None:
    assert client.delete("/v1/cultivars").headers["allow"] == "GET, HEAD, OPTIONS"
    assert client.get("/v1/suitabilities").headers["allow"] == "OPTIONS, POST"


def test_every_kind_is_explained_at_its_own_address(client: Client) -> None:
    listed = client.get("/problems").json()["items"]
    assert {kind["slug"] for kind in listed} == set(KINDS)
    for kind in listed:
        told = client.get(f"/problems/{kind['slug']}").json()
        assert told.items() >= kind.items()
        assert told["meaning"]
        assert told["remedy"]


def test_all_faults_of_a_query_at_once(client: Client) -> None:
    body = assert_problem(client.get("/v1/cultivars?page_limit=x&resists=mould&colour=red"), "invalid-parameters")
    assert [fault["parameter"] for fault in body["errors"]] == ["colour", "page_limit", "resists"]
    assert {fault["location"] for fault in body["errors"]} == {"query"}
    assert "a whole number" in body["errors"][1]["detail"]
    assert "powdery_mildew" in body["errors"][2]["detail"]


def test_a_mistyped_cultivar_gets_the_nearest_names(client: Client) -> None:
    body = assert_problem(client.get("/v1/cultivars/Golden Delishus"), "unknown-cultivar")
    assert body["errors"][0]["nearest"][0] == "Golden Delicious"


def test_a_failure_says_nothing_of_its_cause(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("secret of the house")

    monkeypatch.setattr("api.cultivars.search", fail)
    answer = client.get("/v1/cultivars")
    body = assert_problem(answer, "internal-error")
    assert body["instance"].startswith("urn:uuid:")
    assert "secret" not in answer.text
    assert "RuntimeError" not in answer.text
    assert answer.headers["x-content-type-options"] == "nosniff"
