"""Bad input is refused with the field named and what was expected said; nothing of it is a failure of the service."""

import gzip
import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from litestar.testing import TestClient

from tests.api.requests import COMPUTATIONS, SQUARE, WITH_SITE, changed, drawn, example, pointers
from tests.api.test_problems import assert_problem

Client = TestClient[Any]

SUITABILITIES = "/v1/suitabilities"
LISTS = "/v1/planting-lists"
PAIRS = "/v1/pollination-pairs"
LAYOUTS = "/v1/plot-layouts"
JSON = {"content-type": "application/json"}


@pytest.mark.parametrize("address", WITH_SITE)
@pytest.mark.parametrize(
    ("path", "value", "slug", "expected"),
    [
        ("/site/latitude", 120, "invalid-shape", "at most 90"),
        ("/site/latitude", "53.7", "invalid-shape", "a number"),
        ("/site/latitude", True, "invalid-shape", "a number"),
        ("/site/longitude", -200, "invalid-shape", "at least -180"),
        ("/site/warmest_month_mean_c", "9", "invalid-shape", "a number"),
        ("/site/latitud", 53.7, "invalid-shape", "No such field"),
        ("/site/winter_chill", {"measure": "hours", "mean": 900}, "invalid-shape", "hours_below_7_2c"),
        ("/site/winter_chill", {"measure": "chill_portions"}, "invalid-shape", "missing"),
        ("/site/last_spring_frost/median", "2024-05-06", "invalid-shape", "a date MM-DD"),
        ("/site/last_spring_frost/median", "02-30", "invalid-content", "No year has a 02-30"),
        ("/site/last_spring_frost/median", "04-31", "invalid-content", "No year has a 04-31"),
        ("/site/winter_chill", {"measure": "hours_below_7_2c", "mean": 60000}, "invalid-content", "8,760"),
        ("/site/winter_minimum", {"hardiness_zone": "14c"}, "invalid-content", "zone"),
        ("/site/winter_minimum", {"hardiness_zone": "Zone 7b"}, "invalid-content", "they run from 1a to 13b"),
        ("/site/monthly_normals", {"tmin_c": [1.0], "tmax_c": [2.0]}, "invalid-shape", "at least 12"),
        (
            "/site/observed_dates",
            [{"cultivar": "Gala", "event": "full_bloom", "date": "2999-04-20"}],
            "invalid-shape",
            "a date YYYY-MM-DD from 1900 to 2199",
        ),
        (
            "/site/observed_dates",
            [{"cultivar": "Golden Delishus", "event": "full_bloom", "date": "2019-04-20"}],
            "invalid-content",
            "No cultivar is known",
        ),
        (
            "/site/observed_dates",
            [{"cultivar": "Gala", "event": "bud_burst", "date": "2019-04-20"}],
            "invalid-shape",
            "full_bloom",
        ),
        ("/site", {}, "invalid-content", "place"),
        ("/site", None, "invalid-shape", "an object"),
        ("/site", [], "invalid-shape", "an object"),
    ],
)
def test_bad_sites(*, client: Client, address: str, path: str, value: Any, slug: str, expected: str) -> None:
    answer = client.post(address, json=changed(example(address), path, value))
    body = assert_problem(answer, slug)
    assert any(pointer.startswith(f"#{path}") for pointer in pointers(body)), body
    assert any(expected in fault["detail"] for fault in body["errors"]), body


@pytest.mark.parametrize(
    ("address", "path", "value", "slug", "pointer", "expected"),
    [
        (SUITABILITIES, "/cultivars", [], "invalid-shape", "#/cultivars", "at least 1 item"),
        (SUITABILITIES, "/cultivars", ["Golden Delishus"], "invalid-content", "#/cultivars/0", "No cultivar"),
        (SUITABILITIES, "/cultivars", "Fuji", "invalid-shape", "#/cultivars", "a list"),
        (SUITABILITIES, "/cultivars", [""], "invalid-shape", "#/cultivars/0", "at least 1 character"),
        (SUITABILITIES, "/cultivars", [9], "invalid-shape", "#/cultivars/0", "text"),
        (SUITABILITIES, "/weights", {"crop": -1}, "invalid-shape", "#/weights/crop", "at least 0"),
        (SUITABILITIES, "/weights", {"beauty": 1}, "invalid-shape", "#/weights/beauty", "No such field"),
        (SUITABILITIES, "/evidence", "yes", "invalid-shape", "#/evidence", "true or false"),
        (PAIRS, "/cultivars", [], "invalid-shape", "#/cultivars", "at least 1 item"),
        (PAIRS, "/cultivars", ["Fuji", "fuji"], "invalid-content", "#/cultivars/1", "once"),
        (PAIRS, "/cultivars", ["Fuji"] * 1000, "invalid-shape", "#/cultivars", "at most"),
        (LISTS, "/space", {}, "invalid-content", "#/space", "tree_count"),
        (LISTS, "/space", {"tree_count": 0}, "invalid-shape", "#/space/tree_count", "at least 1"),
        (LISTS, "/space", {"tree_count": 2.5}, "invalid-shape", "#/space/tree_count", "a whole number"),
        (LISTS, "/space", {"tree_count": 3, "rectangle_m": [6, 9]}, "invalid-content", "#/space", "exactly one"),
        (LISTS, "/space", {"rectangle_m": [6]}, "invalid-shape", "#/space/rectangle_m", "at least 2 items"),
        (LISTS, "/wanted/must_include", ["Nosuchapple"], "invalid-content", "#/wanted/must_include/0", "No cultivar"),
        (LISTS, "/excluded", ["Nosuchapple"], "invalid-content", "#/excluded/0", "No cultivar"),
        (LISTS, "/available", ["Nosuchapple"], "invalid-content", "#/available/0", "No cultivar"),
        (LISTS, "/established", [{"cultivar": "Nosuch"}], "invalid-content", "#/established/0/cultivar", "No cultivar"),
        (LISTS, "/neighbourhood", "busy", "invalid-shape", "#/neighbourhood", "settled"),
        (LISTS, "/lists", 99, "invalid-shape", "#/lists", "at most"),
    ],
)
def test_bad_wishes(
    *, client: Client, address: str, path: str, value: Any, slug: str, pointer: str, expected: str
) -> None:
    body = assert_problem(client.post(address, json=changed(example(address), path, value)), slug)
    assert pointer in pointers(body)
    assert any(expected in fault["detail"] for fault in body["errors"]), body


@pytest.mark.parametrize(
    ("address", "slug", "nearest"),
    [
        ("/v1/rootstocks/MM.160", "unknown-rootstock", "MM.106"),
        ("/v1/rootstocks/Geneva%2042", "unknown-rootstock", "G.41"),
        ("/v1/tree-forms/espaliere", "unknown-tree-form", "espalier"),
    ],
)
def test_unknown_names_in_an_address_come_with_the_nearest(
    client: Client, address: str, slug: str, nearest: str
) -> None:
    body = assert_problem(client.get(address), slug)
    assert nearest in body["errors"][0]["nearest"]


def test_unknown_names_come_with_the_nearest(client: Client) -> None:
    body = assert_problem(client.post(PAIRS, json={"cultivars": ["Golden Delishus"]}), "invalid-content")
    assert body["errors"][0]["nearest"][0] == "Golden Delicious"


def test_all_faults_of_shape_at_once(client: Client) -> None:
    body = example(LISTS)
    for path, value in [
        ("/site/latitude", 120),
        ("/site/last_spring_frost/median", 7),
        ("/site/winter_minimum/zone", "7a"),
        ("/space/tree_count", "five"),
        ("/established/0", {}),
        ("/colour", "red"),
    ]:
        body = changed(body, path, value)
    told = assert_problem(client.post(LISTS, json=body), "invalid-shape")
    assert pointers(told) == [
        "#/colour",
        "#/established/0/cultivar",
        "#/site/last_spring_frost/median",
        "#/site/latitude",
        "#/site/winter_minimum/zone",
        "#/space/tree_count",
    ]


def test_all_faults_of_content_at_once(client: Client) -> None:
    body = changed(example(SUITABILITIES), "/cultivars", ["Nosuchapple", "Fuji", "Fuji"])
    body = changed(body, "/site/last_spring_frost/median", "02-30")
    body = changed(body, "/site/winter_minimum", {"hardiness_zone": "14c"})
    told = assert_problem(client.post(SUITABILITIES, json=body), "invalid-content")
    assert {"#/cultivars/0", "#/site/last_spring_frost/median"} <= set(pointers(told))
    assert any(pointer.startswith("#/site/winter_minimum") for pointer in pointers(told))


def test_at_most_fifty_faults_are_listed(client: Client) -> None:
    body = changed(example(LISTS), "/excluded", [7] * 400)
    told = assert_problem(client.post(LISTS, json=body), "invalid-shape")
    assert len(told["errors"]) == 50
    assert told["detail"].startswith("At least 400 faults")


@pytest.mark.parametrize("address", COMPUTATIONS)
@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b'{"site": {"latitude": NaN}}',
        b'{"site": {"latitude": Infinity}}',
        b'{"site": {"latitude": 1e999}}',
        b'{"site": {"latitude": -}}',
        b"\xff\xfe",
        b'{"cultivars": ["\xff"]}',
        b'{"cultivars": ["\\ud800"]}',
        b"[" * 100_000,
        b'{"site": 1} trailing',
        b"\xef\xbb\xbf{}",
    ],
)
def test_what_is_no_json(client: Client, address: str, content: bytes) -> None:
    assert_problem(client.post(address, content=content, headers=JSON), "not-json")


@pytest.mark.parametrize(
    ("encoding", "told"), [("utf-8-sig", "byte order mark"), ("utf-16", "UTF-16"), ("utf-16-be", "cannot be read")]
)
def test_the_encoding_that_was_meant_is_told(client: Client, encoding: str, told: str) -> None:
    content = json.dumps(example(LISTS)).encode(encoding)
    assert told in assert_problem(client.post(LISTS, content=content, headers=JSON), "not-json")["detail"]


@pytest.mark.parametrize("address", COMPUTATIONS)
def test_a_member_named_twice(client: Client, address: str) -> None:
    text = json.dumps(example(address))
    name = next(iter(example(address)))
    content = text[:-1] + f', "{name}": {json.dumps(example(address)[name])}}}'
    body = assert_problem(client.post(address, content=content.encode(), headers=JSON), "not-json")
    assert name in body["detail"]


@pytest.mark.parametrize("address", COMPUTATIONS)
@pytest.mark.parametrize("document", ["null", "7", '"site"', "[]", "true"])
def test_json_that_is_no_object(client: Client, address: str, document: str) -> None:
    body = assert_problem(client.post(address, content=document, headers=JSON), "invalid-shape")
    assert pointers(body) == ["#"]
    assert "an object" in body["errors"][0]["detail"]


@pytest.mark.parametrize("address", COMPUTATIONS)
@pytest.mark.parametrize(
    "content_type", ["", "text/plain", "application/x-www-form-urlencoded", "application/json; charset=latin-1"]
)
def test_another_content_type(client: Client, address: str, content_type: str) -> None:
    headers = {"content-type": content_type} if content_type else {}
    answer = client.post(address, content=json.dumps(example(address)), headers=headers)
    assert_problem(answer, "unsupported-media-type")
    assert answer.headers["accept-post"].split(", ")[0] == "application/json"


def test_a_compressed_body(client: Client) -> None:
    headers = JSON | {"content-encoding": "gzip"}
    answer = client.post(
        SUITABILITIES, content=gzip.compress(json.dumps(example(SUITABILITIES)).encode()), headers=headers
    )
    assert_problem(answer, "unsupported-media-type")
    assert answer.headers["accept-encoding"] == "identity"


@pytest.mark.parametrize("address", COMPUTATIONS)
@pytest.mark.parametrize("size", [256 * 1024 + 1, 10_000_000])
def test_a_body_beyond_the_bound(client: Client, address: str, size: int) -> None:
    content = b'{"site": "' + b"x" * (size - 12) + b'"}'
    body = assert_problem(client.post(address, content=content, headers=JSON), "body-too-large")
    assert "256 KiB" in body["detail"]


def test_records_have_a_larger_bound(client: Client) -> None:
    address = "/v1/site-climates"
    records = {"first_day": "2012-07-01", "tmin_c": ["x"] * 80_000, "tmax_c": []}
    within = client.post(address, json={"site": {"daily_records": records}})
    assert len(within.request.content) > 256 * 1024
    assert_problem(within, "invalid-shape")
    beyond = {"site": {"daily_records": records | {"note": "x" * 8 * 1024 * 1024}}}
    assert "8192 KiB" in assert_problem(client.post(address, json=beyond), "body-too-large")["detail"]


@pytest.mark.parametrize(
    ("address", "body"),
    [
        (LAYOUTS, {"spread_m": 3, "daily_records": {}, "plot": {"daily_records": "x" * 300 * 1024}}),
        ("/v1/site-climates", {"site": {"latitude": 50, "note": "x" * 300 * 1024}, "daily_records": {}}),
        ("/v1/site-climates", {"site": {"latitude": 50, "daily_records": "x" * 300 * 1024}}),
        ("/v1/suitabilities", {"site": {"latitude": 50}, "cultivars": ["daily_records"] * 20_000}),
        (LISTS, {"site": {"latitude": 50}, "space": {"plot": {"properties": {"hourly_records": "x" * 300 * 1024}}}}),
    ],
)
def test_only_records_where_they_are_read_have_the_larger_bound(
    client: Client, address: str, body: dict[str, Any]
) -> None:
    assert_problem(client.post(address, json=body), "body-too-large")


def test_a_long_body_that_fits_but_holds_no_records_is_refused(client: Client) -> None:
    body = example(LISTS) | {"space": {"plot": {"type": "Feature", "geometry": drawn(SQUARE), "properties": {}}}}
    assert client.post(LISTS, json=body).status_code == 200
    body["space"]["plot"]["properties"]["hourly_records"] = "x" * 300 * 1024
    assert_problem(client.post(LISTS, json=body), "body-too-large")


@pytest.mark.parametrize("address", [address for address in COMPUTATIONS if "site" in example(address)])
def test_names_are_looked_up_before_any_year_is_worked_out(
    client: Client, monkeypatch: pytest.MonkeyPatch, address: str
) -> None:
    def never(*_: object) -> None:
        raise AssertionError("years were worked out")

    monkeypatch.setattr("api.advisor.found_climate", never)
    seen = [{"cultivar": "Nosuchapple", "event": "full_bloom", "date": "2019-04-20"}]
    body = changed(changed(example(address), "/site/observed_dates", seen), "/site/longitude", -2.0123)
    body = changed(body, "/site/apples_bloom_here", "02-30")
    if isinstance(body.get("cultivars"), list):
        body["cultivars"] = ["Nosuchapple"]
    if "available" in body:
        body["available"] = ["Nosuchapple"]
    told = pointers(assert_problem(client.post(address, json=body), "invalid-content"))
    assert {"#/site/observed_dates/0/cultivar", "#/site/apples_bloom_here"} <= set(told)


def test_a_warming_past_the_most_is_told_before_any_year_is_worked_out(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("api.advisor.found_climate", None)
    body = changed(example(SUITABILITIES), "/site/warming_c", 4) | {"warmer_by_c": 2}
    assert pointers(assert_problem(client.post(SUITABILITIES, json=body), "invalid-content")) == ["#/warmer_by_c"]


@pytest.mark.parametrize("address", COMPUTATIONS)
@pytest.mark.parametrize("levels", [90, 260, 400, 520])
def test_any_nesting_is_refused(client: Client, address: str, levels: int) -> None:
    for content in ("[" * levels + "]" * levels, '{"site": ' * levels + "1" + "}" * levels):
        answer = client.post(address, content=f'{{"x": {content}}}', headers=JSON)
        assert answer.status_code in {400, 422}
        assert_problem(answer, answer.json()["type"].removeprefix("/problems/"))


@pytest.mark.parametrize("sides", [[1e-200, 1e-200], [5e-324, 5], [1e-160, 1e-160]])
def test_a_rectangle_without_an_area_is_refused(client: Client, sides: list[float]) -> None:
    body = assert_problem(client.post(LAYOUTS, json={"rectangle_m": sides, "spread_m": 3}), "invalid-content")
    assert pointers(body) == ["#/rectangle_m"]
    told = client.post(LISTS, json=changed(example(LISTS), "/space", {"rectangle_m": sides}))
    assert pointers(assert_problem(told, "invalid-content")) == ["#/space/rectangle_m"]


def test_dates_seen_are_judged_by_the_day_that_the_request_names(client: Client) -> None:
    seen = [{"cultivar": "Gala", "event": "full_bloom", "date": "2150-04-28"}]
    body = changed(example(SUITABILITIES), "/site/observed_dates", seen)
    assert client.post(SUITABILITIES, json=body).status_code == 200, "the program knows no clock"
    told = assert_problem(
        client.post(SUITABILITIES, json=changed(body, "/site/as_of", "2025-06-01")), "invalid-content"
    )
    assert pointers(told) == ["#/site/observed_dates/0/date"]
    answer = client.post(SUITABILITIES, json=changed(body, "/site/as_of", "2150-04-28"))
    assert answer.content == client.post(SUITABILITIES, json=body).content
    odd = assert_problem(client.post(SUITABILITIES, json=changed(body, "/site/as_of", "2150-02-30")), "invalid-content")
    assert "#/site/as_of" in pointers(odd)


def test_a_fault_of_the_decoder_is_told_in_our_words(client: Client) -> None:
    series = [1.0] * 700
    for last, expected in (("x", "Expected a number or null; got text."), (900, "Expected at most 800.0.")):
        records = {"first_day": "2012-07-01", "tmin_c": [*series, last], "tmax_c": series}
        body = assert_problem(
            client.post("/v1/site-climates", json={"site": {"daily_records": records}}), "invalid-shape"
        )
        assert body["errors"] == [{"pointer": "#/site/daily_records/tmin_c/700", "detail": expected}]
        assert body["detail"] == expected
    records = {"first_day": "2012-07-01", "tmin_c": [1] * (60 * 366 + 1), "tmax_c": []}
    body = assert_problem(client.post("/v1/site-climates", json={"site": {"daily_records": records}}), "invalid-shape")
    assert body["errors"] == [{"pointer": "#/site/daily_records/tmin_c", "detail": "Expected at most 21960 items."}]


def test_a_whole_number_may_be_written_with_a_point(client: Client) -> None:
    body = json.dumps(example(LISTS)).replace('"tree_count": 5', '"tree_count": 5.0')
    answer = client.post(LISTS, content=body, headers=JSON)
    assert answer.status_code == 200
    assert answer.content == client.post(LISTS, json=example(LISTS)).content


@pytest.mark.parametrize("address", COMPUTATIONS)
def test_query_parameters_are_refused(client: Client, address: str) -> None:
    assert_problem(client.post(f"{address}?evidence=true", json=example(address)), "invalid-parameters")


ANY_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=12), inner, max_size=4),
    max_leaves=12,
)


def places(body: Any, path: str = "") -> list[str]:
    """The pointer of every value in a body."""
    inner = body.items() if isinstance(body, dict) else enumerate(body) if isinstance(body, list) else ()
    return [path] * bool(path) + [place for name, value in inner for place in places(value, f"{path}/{name}")]


def answered_or_refused(client: Client, data: st.DataObject, address: str) -> None:
    """Whatever JSON stands wherever in a request: an answer, or a problem that leads to faults; never a failure."""
    body = example(address)
    for path in data.draw(st.lists(st.sampled_from(places(body)), min_size=1, max_size=3)):
        try:
            body = changed(body, path, data.draw(ANY_JSON))
        except (KeyError, IndexError, TypeError, AttributeError, ValueError):
            continue  # an earlier change has taken this place away
    answer = client.post(address, json=body)
    assert answer.status_code in {200, 400, 422}
    if answer.status_code != 200:
        told = assert_problem(answer, answer.json()["type"].removeprefix("/problems/"))
        assert told["status"] == 400 or told["errors"]


@given(data=st.data(), address=st.sampled_from(COMPUTATIONS))
@settings(max_examples=50, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_value_anywhere_is_answered_or_refused(client: Client, data: st.DataObject, address: str) -> None:
    answered_or_refused(client, data, address)


@pytest.mark.long
@given(data=st.data(), address=st.sampled_from(COMPUTATIONS))
@settings(
    max_examples=300, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_many_values_anywhere_are_answered_or_refused(client: Client, data: st.DataObject, address: str) -> None:
    answered_or_refused(client, data, address)


@given(content=st.binary(max_size=200), address=st.sampled_from(COMPUTATIONS))
@settings(
    max_examples=200, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_bytes_are_refused(client: Client, content: bytes, address: str) -> None:
    answer = client.post(address, content=content, headers=JSON)
    assert answer.status_code in {400, 422}
    assert_problem(answer, answer.json()["type"].removeprefix("/problems/"))
