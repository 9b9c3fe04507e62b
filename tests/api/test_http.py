"""What clients of HTTP may count on, case by case by the standards: RFC 5861, 6585, 9110, 9111, 9457, W3C traces."""

import gzip
import json
import logging
import re
from collections.abc import Iterator
from typing import Any

import brotli
import pytest
import zstandard
from litestar.testing import TestClient

from api.application import create_app
from api.problems import KINDS
from api.settings import Settings
from api.watching import LOGGING, JsonLines
from tests.api.test_problems import assert_problem

Client = TestClient[Any]

KEPT = "/v1/sources"
SUITABILITIES = "/v1/suitabilities"
ASKED = {"site": {"latitude": 44.812345, "longitude": 20.512345}, "limit": 3}
TRACE = "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01"
"""The example of W3C Trace Context, section 3.2.2."""

DECODED = {
    "gzip": gzip.decompress,
    "br": brotli.decompress,
    "zstd": lambda content: zstandard.ZstdDecompressor().decompressobj().decompress(content),
}


def raw(client: Client, method: str, path: str, **more: Any) -> tuple[Any, bytes]:
    """An answer and its body as it was sent, coded."""
    with client.stream(method, path, **more) as answer:
        return answer, b"".join(answer.iter_raw())


@pytest.mark.parametrize(
    ("accepted", "coding"),
    [
        ("gzip", "gzip"),
        ("br", "br"),
        ("zstd", "zstd"),
        ("gzip;q=0, br", "br"),
        ("gzip;q=0.5, br;q=0, zstd;q=0", "gzip"),
        ("*", "zstd"),
        ("*;q=0.1, zstd;q=0, br;q=0", "gzip"),
        ("identity", None),
        ("gzip;q=0", None),
        ("*;q=0, identity", None),
        ("compress", None),
        ("", None),
    ],
)
def test_codings_by_accept_encoding(client: Client, accepted: str, coding: str | None) -> None:
    """RFC 9110, section 12.5.3: a weight of 0 is not acceptable; identity is, unless it is excluded."""
    plain = client.get(KEPT, headers={"accept-encoding": "identity"})
    answer, body = raw(client, "GET", KEPT, headers={"accept-encoding": accepted})
    assert answer.headers.get("content-encoding") == coding
    assert (DECODED[coding](body) if coding else body) == plain.content
    assert int(answer.headers["content-length"]) == len(body)
    assert "accept-encoding" in answer.headers["vary"].lower()
    assert "accept-encoding" in plain.headers["vary"].lower()


@pytest.mark.parametrize("coding", ["gzip", "br", "zstd"])
def test_answers_of_computations_and_problems_are_coded_too(client: Client, coding: str) -> None:
    plain = client.post(SUITABILITIES, json=ASKED, headers={"accept-encoding": "identity"})
    answer, body = raw(client, "POST", SUITABILITIES, json=ASKED, headers={"accept-encoding": coding})
    assert answer.headers["content-encoding"] == coding
    assert DECODED[coding](body) == plain.content
    assert len(body) < len(plain.content) / 2
    many = {"names": [1] * 60}
    refused, body = raw(client, "POST", "/v1/cultivar-names", json=many, headers={"accept-encoding": coding})
    assert refused.headers["content-type"] == "application/problem+json"
    assert json.loads(DECODED[coding](body))["status"] == refused.status_code == 422


def test_small_answers_are_not_coded(client: Client) -> None:
    assert "content-encoding" not in client.get("/healthz").headers


def test_a_large_answer_coded_on_a_thread_is_whole(client: Client) -> None:
    asked = {"site": ASKED["site"]}
    plain = client.post(SUITABILITIES, json=asked, headers={"accept-encoding": "identity"})
    assert len(plain.content) > 500_000
    _, body = raw(client, "POST", SUITABILITIES, json=asked, headers={"accept-encoding": "gzip"})
    assert gzip.decompress(body) == plain.content


def test_tags_are_strong_of_bytes_and_weak_where_they_may_be_coded(client: Client) -> None:
    """RFC 9110, section 8.8.3.3: one strong tag never stands for two codings; weak ones match each other."""
    plain = client.get(KEPT, headers={"accept-encoding": "identity"}).headers["etag"]
    coded = client.get(KEPT, headers={"accept-encoding": "gzip"}).headers["etag"]
    no_coding = client.get(KEPT, headers={"accept-encoding": ""}).headers["etag"]
    assert coded.removeprefix("W/") == plain.removeprefix("W/") == no_coding.removeprefix("W/")
    assert coded.startswith("W/")
    assert not no_coding.startswith("W/")
    for held in (plain, coded):
        for accepted in ("identity", "br"):
            again = client.get(KEPT, headers={"if-none-match": held, "accept-encoding": accepted})
            assert (again.status_code, again.content) == (304, b"")
            assert "content-encoding" not in again.headers


@pytest.mark.parametrize("path", [KEPT, "/docs", "/", "/v1/tree-forms", "/problems/not-json", "/openapi.json"])
@pytest.mark.parametrize("accepted", ["gzip", "identity", ""])
def test_not_modified_varies_as_the_answer_does(client: Client, path: str, accepted: str) -> None:
    """RFC 9110, section 15.4.5: a 304 has the Vary, ETag and Cache-Control that 200 would have had."""
    got = client.get(path, headers={"accept-encoding": accepted})
    assert got.status_code == 200
    again = client.get(path, headers={"accept-encoding": accepted, "if-none-match": "*"})
    assert again.status_code == 304
    for name in ("vary", "etag", "cache-control"):
        assert again.headers.get(name) == got.headers.get(name), name


@pytest.mark.parametrize("form", ["text/csv", "image/svg+xml", "application/json"])
def test_every_form_is_coded(client: Client, form: str) -> None:
    answer, body = raw(
        client, "POST", SUITABILITIES, json=ASKED | {"limit": 20}, headers={"accept-encoding": "gzip", "accept": form}
    )
    assert answer.headers["content-type"].startswith(form)
    assert answer.headers["content-encoding"] == "gzip"
    assert len(gzip.decompress(body)) > len(body)


@pytest.mark.parametrize("path", [KEPT, "/healthz", "/openapi.json", "/nowhere"])
@pytest.mark.parametrize("coding", ["gzip", ""])
def test_head_is_what_get_would_be(client: Client, path: str, coding: str) -> None:
    """RFC 9110, section 9.3.2."""
    got, _ = raw(client, "GET", path, headers={"accept-encoding": coding})
    head, body = raw(client, "HEAD", path, headers={"accept-encoding": coding})
    assert body == b""
    assert head.status_code == got.status_code
    for name in ("content-type", "content-encoding", "vary", "etag", "cache-control"):
        assert head.headers.get(name) == got.headers.get(name)


def test_a_demanded_tag(client: Client) -> None:
    """RFC 9110, section 13.1.1: If-Match compares strongly."""
    plain = {"accept-encoding": ""}
    tag = client.get(KEPT, headers=plain).headers["etag"]
    for held in (tag, f'"other", {tag}', "*"):
        assert client.get(KEPT, headers=plain | {"if-match": held}).status_code == 200
    for held in ('"other"', f"W/{tag}"):
        assert_problem(client.get(KEPT, headers=plain | {"if-match": held}), "precondition-failed")


@pytest.mark.parametrize(
    ("asked", "at"),
    [
        ("/v1/cultivars/Pink%20Lady", "/v1/cultivars/cripps-pink"),
        ("/v1/cultivars/cripps-pink?evidence=false", "/v1/cultivars/cripps-pink?evidence=false"),
        ("/v1/rootstocks/M.9", "/v1/rootstocks/m-9"),
        ("/v1/words/chill_enough", "/v1/words/chill_enough"),
    ],
)
def test_what_is_asked_by_any_name_says_where_it_is(client: Client, asked: str, at: str) -> None:
    """RFC 9110, section 8.7: an answer found by another name is that of the address in Content-Location."""
    answer = client.get(asked)
    assert answer.headers["content-location"] == at
    assert client.get(at).content == answer.content
    again = client.get(asked, headers={"if-none-match": answer.headers["etag"]})
    assert (again.status_code, again.headers["content-location"]) == (304, at)


def test_a_body_of_two_media_types_is_of_none(client: Client) -> None:
    """RFC 9110, section 8.3: a second Content-Type is an error, and which one counts differs from reader to reader."""
    answer = client.post(
        "/v1/suitabilities",
        content=b"{}",
        headers=[("content-type", "application/json"), ("content-type", "text/plain")],
    )
    assert_problem(answer, "unsupported-media-type")


def test_a_range_is_not_read(client: Client) -> None:
    """RFC 9110, section 14.2: a server may ignore Range."""
    answer = client.get(KEPT, headers={"range": "bytes=0-9"})
    assert answer.status_code == 200
    assert len(answer.content) > 10


@pytest.mark.parametrize("name", ["if-modified-since", "if-unmodified-since"])
def test_dates_of_changes_are_not_read_where_none_is_known(client: Client, name: str) -> None:
    """RFC 9110, sections 13.1.3 and 13.1.4."""
    assert client.get(KEPT, headers={name: "Sat, 29 Oct 1994 19:43:31 GMT"}).status_code == 200


def test_a_cache_may_keep_reference_data_and_nothing_else(client: Client) -> None:
    """RFC 9111, section 5.2.2; RFC 5861."""
    kept = client.get(KEPT).headers["cache-control"]
    assert {"public", "max-age=3600", "stale-while-revalidate=86400"} <= set(re.split(r",\s*", kept))
    assert "cache-control" not in client.post(SUITABILITIES, json=ASKED).headers
    assert client.get("/readyz").headers["cache-control"] == "no-store"


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "TRACE"])
def test_other_methods(client: Client, method: str) -> None:
    """RFC 9110, section 15.5.6: 405 names what is allowed."""
    refused = client.request(method, KEPT)
    assert "It takes GET" in assert_problem(refused, "method-not-allowed")["detail"]
    assert {"GET", "HEAD"} <= set(refused.headers["allow"].split(", "))


def test_options_tell_the_methods(client: Client) -> None:
    answer = client.options(SUITABILITIES)
    assert answer.status_code == 204
    assert "POST" in answer.headers["allow"]


def test_every_kind_of_problem_leads_to_its_meaning(client: Client) -> None:
    """RFC 9457, section 3.1.1: the type is best an address that explains it."""
    for slug in KINDS:
        told = client.get(f"/problems/{slug}").json()
        assert told["meaning"]
        assert told["remedy"]


@pytest.mark.parametrize(
    "broken", [TRACE.upper(), TRACE[:-3], "ff" + TRACE[2:], "00-" + "0" * 32 + "-b7ad6b7169203331-01", "x", ""]
)
def test_traces_are_passed_through_and_broken_ones_are_not(client: Client, broken: str) -> None:
    """W3C Trace Context, sections 3.2 and 3.3."""
    passed = client.get("/healthz", headers={"traceparent": TRACE, "tracestate": "congo=t61rcWkgMzE"})
    assert passed.headers["traceparent"] == TRACE
    assert passed.headers["tracestate"] == "congo=t61rcWkgMzE"
    dropped = client.get("/healthz", headers={"traceparent": broken, "tracestate": "congo=t61rcWkgMzE"})
    assert "traceparent" not in dropped.headers
    assert "tracestate" not in dropped.headers


@pytest.fixture
def told(caplog: pytest.LogCaptureFixture) -> Iterator[pytest.LogCaptureFixture]:
    with caplog.at_level(logging.INFO, logger="api"):
        yield caplog


def test_a_line_for_each_request(client: Client, told: pytest.LogCaptureFixture) -> None:
    answer = client.post(SUITABILITIES, json=ASKED, headers={"traceparent": TRACE})
    lines = [json.loads(JsonLines().format(record)) for record in told.records if record.name == "api.requests"]
    (line,) = (line for line in lines if line["id"] == answer.headers["request-id"])
    assert (line["method"], line["route"], line["status"], line["level"]) == ("POST", SUITABILITIES, 200, "info")
    assert line["places"] == [[44.8, 20.5]]
    assert line["trace"] == TRACE[3:35]
    assert line["ms"] >= line["cost_ms"] > 0
    assert re.fullmatch(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}\.\d{3}\+00:00", line["time"])
    assert "44.81" not in told.text
    assert LOGGING["loggers"]["api"]["level"] == "INFO"


def test_names_and_queries_are_not_logged(client: Client, told: pytest.LogCaptureFixture) -> None:
    client.get("/v1/cultivars/Grandmothers%20secret?evidence=nobody")
    client.get("/nowhere/private")
    lines = [JsonLines().format(record) for record in told.records if record.name != "httpx"]  # that is the caller's
    assert not any("secret" in line or "nobody" in line or "private" in line for line in lines)
    assert json.loads(lines[-1])["route"] == "none"


def test_a_failure_is_logged_with_the_id_that_the_caller_has(
    client: Client, told: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: Any, **__: Any) -> None:
        raise LookupError("a cause that stays inside")

    monkeypatch.setattr("api.advisor.Advisor.conditions", fail)
    failed = client.post(SUITABILITIES, json=ASKED)
    assert failed.status_code == 500
    assert failed.json()["instance"] == "urn:uuid:" + failed.headers["request-id"]
    assert "inside" not in failed.text
    (line,) = (json.loads(JsonLines().format(one)) for one in told.records if one.levelname == "ERROR")
    assert (line["id"], line["method"], line["route"]) == (failed.headers["request-id"], "POST", SUITABILITIES)
    assert "a cause that stays inside" in line["traceback"]


def test_counts_have_few_series(client: Client) -> None:
    for number in range(5):
        client.get(f"/v1/cultivars/no-such-{number}")
        client.get(f"/strange/{number}")
        client.request(f"ODD{number}", "/")
    counted = client.get("/metrics")
    assert counted.headers["content-type"].startswith("text/plain")
    assert "no-such" not in counted.text
    assert "strange" not in counted.text
    assert 'method="other"' in counted.text
    assert 'route="/v1/cultivars/{name}",status="404"' in counted.text
    assert "siting_advisor_computing{" in counted.text


def test_no_caller_is_limited_unless_it_is_set(client: Client) -> None:
    assert "ratelimit" not in client.get(KEPT).headers


def test_a_caller_is_limited_where_it_is_set() -> None:
    """RFC 6585, section 4; draft-ietf-httpapi-ratelimit-headers-11, sections 3 and 4."""
    with TestClient[Any](create_app(Settings(requests_a_minute=3))) as client:
        for left in (2, 1, 0):
            answer = client.get(KEPT)
            assert answer.status_code == 200
            assert answer.headers["ratelimit-policy"] == '"caller";q=3;w=60'
            assert re.fullmatch(rf'"caller";r={left};t=\d+', answer.headers["ratelimit"])
        refused = client.get(KEPT)
        assert_problem(refused, "too-many-requests")
        assert 1 <= int(refused.headers["retry-after"]) <= 60
        assert client.get("/healthz").status_code == client.get("/readyz").status_code == 200
