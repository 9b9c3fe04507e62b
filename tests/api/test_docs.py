"""The contract as a page: whole, self-contained, valid, its links leading somewhere, its curl lines true."""

import base64
import hashlib
import html
import re
import shlex
from html.parser import HTMLParser
from typing import Any

import pytest
from litestar.testing import TestClient

Client = TestClient[Any]


class Read(HTMLParser):
    """Opens and closes in order; ids and links are collected."""

    VOID = ("meta", "br", "link", "img", "input", "hr")

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.faults: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in self.VOID:
            self.open.append(tag)
        self.ids += [value or "" for name, value in attrs if name == "id"]
        self.links += [value or "" for name, value in attrs if name in {"href", "src"}]

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.faults.append(tag)


@pytest.fixture(scope="module")
def page(client: Client) -> str:
    answer = client.get("/docs", headers={"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"})
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert answer.headers["etag"]
    return answer.text


def test_it_is_well_formed_and_every_link_leads_somewhere(page: str) -> None:
    read = Read()
    read.feed(page)
    assert read.faults == []
    assert read.open == []
    assert len(read.ids) == len(set(read.ids))
    assert {link.removeprefix("#") for link in read.links if link.startswith("#")} <= set(read.ids)
    assert {link for link in read.links if not link.startswith("#")} == {"/openapi.json"}


def test_nothing_is_loaded_and_the_policy_allows_its_style_alone(client: Client, page: str) -> None:
    policy = client.get("/docs").headers.get_list("content-security-policy")
    assert len(policy) == 1
    (style,) = re.findall(r"<style>(.*?)</style>", page, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert policy[0] == f"default-src 'none'; style-src 'sha256-{digest}'; frame-ancestors 'none'"
    assert "<script" not in page
    assert client.get("/").headers["content-security-policy"] == "default-src 'none'; frame-ancestors 'none'"


def test_every_operation_and_schema_is_told(client: Client, page: str) -> None:
    contract = client.get("/openapi.json").json()
    for path, methods in contract["paths"].items():
        assert f"<code>{path}</code>" in page
        for told in methods.values():
            assert f'id="{told["operationId"]}"' in page
    for name in contract["components"]["schemas"]:
        assert f'id="schema-{name}"' in page


def test_what_is_to_go_is_marked(page: str) -> None:
    assert "<code>apples_bloom_here</code> (may be left out) (deprecated)" in page
    assert page.count("(deprecated)") == 1


def test_the_curl_lines_are_true(client: Client, page: str) -> None:

    lines = [
        html.unescape(one) for one in re.findall(r"<pre tabindex=\"0\"><code>(curl .*?)</code></pre>", page, re.DOTALL)
    ]
    assert len(lines) >= 25
    asked = 0
    for line in lines:
        words = shlex.split(line)
        address = words[-1].removeprefix("http://127.0.0.1:8000")
        if "--data" in words:
            body = words[words.index("--data") + 1]
            if "planting-lists" in address or "stock-orders" in address:
                continue  # asked elsewhere, and slow
            answer = client.post(address, content=body.encode(), headers={"content-type": "application/json"})
        else:
            answer = client.get(address)
        assert answer.status_code == 200, line
        asked += 1
    assert asked >= 22


def test_the_service_names_it(client: Client) -> None:
    assert '</docs>; rel="service-doc"' in client.get("/").headers["link"]
    assert "/docs" in {one["href"] for one in client.get("/").json()["resources"]}
