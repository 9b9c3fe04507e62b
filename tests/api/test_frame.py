"""What holds for every address: versions, headers for browsers, HEAD, entity tags, 304, health."""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from litestar.testing import TestClient

from domain import __version__

Client = TestClient[Any]

KEPT = ["/", "/problems", "/problems/not-json", "/openapi.json", "/v1/cultivars", "/v1/cultivars/fuji", "/v1/sources"]
NOT_KEPT = ["/healthz", "/readyz"]


def test_the_program_and_the_package_have_one_version() -> None:
    project = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text())
    assert project["project"]["version"] == __version__


@pytest.mark.parametrize("address", [*KEPT, *NOT_KEPT, "/nowhere", "/v1/cultivars?colour=red"])
def test_headers_of_every_answer(client: Client, address: str) -> None:
    headers = client.get(address).headers
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["access-control-allow-origin"] == "*"
    assert headers["program-version"] == __version__
    assert headers["tables-version"]
    assert "set-cookie" not in headers


@pytest.mark.parametrize("address", [address for address in [*KEPT, *NOT_KEPT] if address != "/openapi.json"])
def test_every_answer_names_the_versions(client: Client, address: str) -> None:
    answer = client.get(address)
    assert answer.json()["versions"] == {
        "program": answer.headers["program-version"],
        "tables": answer.headers["tables-version"],
    }


@pytest.mark.parametrize("address", KEPT)
def test_what_a_client_has_is_not_sent_again(client: Client, address: str) -> None:
    first = client.get(address)
    assert first.status_code == 200
    assert "max-age=3600" in first.headers["cache-control"]
    tag = first.headers["etag"]
    for known in (tag, f'"other", {tag}', tag.removeprefix("W/"), "*"):
        again = client.get(address, headers={"if-none-match": known})
        assert again.status_code == 304
        assert again.content == b""
        assert again.headers["etag"] == tag
        assert again.headers["cache-control"] == first.headers["cache-control"]
        assert "content-type" not in again.headers
    changed = client.get(address, headers={"if-none-match": '"other"'})
    assert (changed.status_code, changed.content) == (200, first.content)


@pytest.mark.parametrize("address", [*KEPT, *NOT_KEPT, "/nowhere", "/v1/cultivars/no such apple at all"])
def test_head_is_get_without_its_body(client: Client, address: str) -> None:
    got, head = client.get(address), client.head(address)
    assert head.status_code == got.status_code
    assert head.content == b""
    of_each = {"request-id"}
    assert {name: head.headers[name] for name in head.headers if name not in of_each} == {
        name: got.headers[name] for name in got.headers if name not in of_each
    }


@pytest.mark.parametrize("address", NOT_KEPT)
def test_health_is_never_kept(client: Client, address: str) -> None:
    answer = client.get(address)
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == "no-store"
    assert "etag" not in answer.headers


@pytest.mark.parametrize("address", ["/v1/planting-lists", "/v1/cultivars", "/nowhere"])
def test_a_browser_may_ask_from_any_page(client: Client, address: str) -> None:
    asked = {"origin": "https://nursery.example", "access-control-request-method": "POST"}
    answer = client.options(address, headers=asked | {"access-control-request-headers": "content-type"})
    assert answer.status_code == 204
    assert answer.headers["access-control-allow-origin"] == "*"
    assert "POST" in answer.headers["access-control-allow-methods"]
    assert "content-type" in answer.headers["access-control-allow-headers"]


@pytest.mark.parametrize("accept", ["application/json", "*/*", "text/html, application/*;q=0.5", "text/html,*/*;q=0.1"])
def test_any_accept_that_covers_json_is_served(client: Client, accept: str) -> None:
    assert client.get("/", headers={"accept": accept}).status_code == 200


def test_the_root_leads_to_every_resource(client: Client) -> None:
    answer = client.get("/")
    assert 'rel="service-desc"' in answer.headers["link"]
    resources = answer.json()["resources"]
    contract = client.get("/openapi.json").json()["paths"]
    assert {one["href"] for one in resources} == {path for path in contract if "{" not in path} | {
        "/docs",
        "/openapi.json",
    }
    for resource in resources:
        allowed = client.options(resource["href"]).headers["allow"].split(", ")
        assert set(resource["methods"]) <= set(allowed)
