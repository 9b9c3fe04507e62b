"""Records as a CSV file beside a request: the answer of the same records in JSON, and a problem for any other form."""

import json
from typing import Any

import httpx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from litestar.testing import TestClient

from api.application import create_app
from api.problems import KINDS
from api.record_files import takes_file
from api.resources import OPERATIONS
from api.settings import KIB, Settings
from domain.site_climate.records_csv import records_of_csv
from domain.site_climate.site import DailyRecords
from tests.api.requests import COMPUTATIONS, EXAMPLES, WITH_SITE, changed, example
from tests.api.test_problems import assert_problem

Client = TestClient[Any]

CLIMATES = "/v1/site-climates"
CSV = (EXAMPLES / "records" / "hollin-lane-days.csv").read_text()
BOUNDARY = "between-the-parts"
Part = tuple[str, str, bytes]
"""Name, content type (none if empty) and content."""

ASKING_OF_A_SITE = sorted(
    {
        operation.examples[0].address
        for operation in OPERATIONS.values()
        if operation.body and takes_file(operation.body)
    }
)


def request_part(body: Any) -> Part:
    return "request", "application/json", json.dumps(body).encode()


def records_part(text: str | bytes = CSV) -> Part:
    return "records", "text/csv", text.encode() if isinstance(text, str) else text


def form(*parts: Part, boundary: str = BOUNDARY) -> bytes:
    made = b""
    for name, kind, content in parts:
        typed = f"Content-Type: {kind}\r\n" if kind else ""
        head = f'--{boundary}\r\nContent-Disposition: form-data; name="{name}"; filename="f"\r\n{typed}\r\n'
        made += head.encode() + content + b"\r\n"
    return made + f"--{boundary}--\r\n".encode()


def post(client: Client, content: bytes, address: str = CLIMATES, boundary: str = BOUNDARY) -> httpx.Response:
    headers = {"content-type": f"multipart/form-data; boundary={boundary}"}
    answer: httpx.Response = client.post(address, content=content, headers=headers)
    return answer


def with_json_records(body: dict[str, Any]) -> dict[str, Any]:
    records = records_of_csv(CSV)
    assert isinstance(records, DailyRecords)
    told = {"first_day": records.first_day, "tmin_c": records.tmin_c, "tmax_c": records.tmax_c}
    return changed(body, "/site/daily_records", told)


def test_every_address_that_takes_a_site_takes_a_file() -> None:
    assert set(WITH_SITE) <= set(ASKING_OF_A_SITE)


@pytest.mark.parametrize("address", WITH_SITE)
def test_a_file_gets_the_answer_of_the_same_records_in_json(client: Client, address: str) -> None:
    answer = post(client, form(request_part(example(address)), records_part()), address)
    assert answer.status_code == 200, answer.text
    assert answer.content == client.post(address, json=with_json_records(example(address))).content


def test_the_order_of_parts_line_ends_and_the_library_do_not_matter(client: Client) -> None:
    asked = request_part(example(CLIMATES))
    plain = post(client, form(asked, records_part()))
    assert post(client, form(records_part("\ufeff" + CSV.replace("\n", "\r\n")), asked)).content == plain.content
    quoted = post(client, form(asked, records_part(), boundary="a b'c"), boundary='"a b\'c"')
    assert quoted.content == plain.content
    sent = client.post(
        CLIMATES, files={"request": ("r.json", asked[2], "application/json"), "records": ("r.csv", CSV, "text/csv")}
    )
    assert sent.content == plain.content


def test_the_gap_in_the_file_is_told(client: Client) -> None:
    body = post(client, form(request_part(example(CLIMATES)), records_part())).json()
    assert body["basis"] == "records"
    assert any("3 missing days" in warning["words"] for warning in body["warnings"])


@pytest.mark.parametrize(
    ("text", "line", "column"),
    [
        (CSV.replace(",", ";"), 1, None),
        (CSV.split("\n", 1)[1], 1, None),
        ("", 1, None),
        (CSV.encode("utf-16"), 1, None),
        (b"date,tmin_c,tmax_c\n2021-07-01,1,9\n\xff", 3, None),
        ("date,tmin_c,tmax_c\n2021-07-01,1,9\n2021-07-02,1,9,5,5\n", 3, None),
        ("date,tmin_c,tmax_c\n2021-07-01,1,9\n2021-07-32,1,9\n", 3, "date"),
        ("date,tmin_c,tmax_c\n2021-07-01,1,9\n2021-07-02,1,warm\n", 3, "tmax_c"),
        ("date,tmin_c,tmax_c\n2021-07-01,1,9\n2021-07-01,2,9\n", 3, "date"),
    ],
)
def test_faults_in_the_file_have_line_and_column(
    *, client: Client, text: str | bytes, line: int, column: str | None
) -> None:
    body = assert_problem(post(client, form(request_part(example(CLIMATES)), records_part(text))), "invalid-content")
    (fault,) = body["errors"]
    assert (fault["pointer"], fault["line"], fault.get("column")) == ("#/records", line, column)


def test_what_the_records_say_is_judged_as_in_the_request(client: Client) -> None:
    rows = [line.split(",") for line in CSV.splitlines()]
    hot = "\n".join(
        [
            ",".join(rows[0]),
            *(f"{d},{float(low) * 1.8 + 32:.1f},{float(high) * 3 + 40:.1f}" for d, low, high in rows[1:]),
        ]
    )
    turned = CSV.replace("tmin_c,tmax_c", "tmax_c,tmin_c")
    for text, expected in ((hot, "Fahrenheit"), (turned, "exchanged"), (CSV[: CSV.index("2022-06")], "365 days")):
        body = assert_problem(
            post(client, form(request_part(example(CLIMATES)), records_part(text))), "invalid-content"
        )
        assert expected in body["errors"][0]["detail"]
        assert body["errors"][0]["pointer"].startswith("#/site/daily_records")


def test_records_given_twice(client: Client) -> None:
    body = with_json_records(example(CLIMATES))
    told = assert_problem(post(client, form(request_part(body), records_part())), "invalid-content")
    assert told["errors"][0]["pointer"] == "#/site/daily_records"


def test_records_without_a_site(client: Client) -> None:
    body = {"cultivars": ["Fuji", "Gala"]}
    told = assert_problem(
        post(client, form(request_part(body), records_part()), "/v1/pollination-pairs"), "invalid-content"
    )
    assert told["errors"][0]["pointer"] == "#/site"
    placed = body | {"site": {"latitude": 53.75}}
    assert post(client, form(request_part(placed), records_part()), "/v1/pollination-pairs").status_code == 200


def test_faults_of_the_request_are_told_as_ever(client: Client) -> None:
    body = changed(example(CLIMATES), "/site/latitude", 120)
    told = assert_problem(post(client, form(request_part(body), records_part())), "invalid-shape")
    assert told["errors"][0]["pointer"] == "#/site/latitude"
    assert_problem(post(client, form(("request", "application/json", b"{"), records_part())), "not-json")


@pytest.mark.parametrize(
    ("parts", "pointers"),
    [
        ([("note", "text/plain", b"hello")], ["#/note", "#/records", "#/request"]),
        ([], ["#/records", "#/request"]),
        ([request_part({})], ["#/records"]),
        ([records_part()], ["#/request"]),
        ([request_part({}), records_part(), records_part()], ["#/records"]),
        ([request_part({}), request_part({}), records_part()], ["#/request"]),
        ([request_part({}), records_part(), ("note", "text/plain", b"hello")], ["#/note"]),
    ],
)
def test_parts_that_are_missing_twice_or_unknown(*, client: Client, parts: list[Part], pointers: list[str]) -> None:
    body = assert_problem(post(client, form(*parts)), "invalid-shape")
    assert sorted(fault["pointer"] for fault in body["errors"]) == pointers


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("request", ""),
        ("request", "text/plain"),
        ("request", "application/json; charset=latin-1"),
        ("records", ""),
        ("records", "application/json"),
        ("records", "text/csv; charset=windows-1252"),
    ],
)
def test_parts_of_another_type(client: Client, name: str, kind: str) -> None:
    parts = [(n, kind if n == name else k, c) for n, k, c in (request_part(example(CLIMATES)), records_part())]
    assert name in assert_problem(post(client, form(*parts)), "unsupported-media-type")["detail"]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"no form at all",
        json.dumps(example(CLIMATES)).encode(),
        form(request_part({}), records_part())[:-30],
        form(request_part({}), records_part(), boundary="another"),
        b"--between-the-parts\r\n\r\n\r\n--between-the-parts--",
        b"--between-the-parts\r\nContent-Disposition: attachment\r\n\r\nx\r\n--between-the-parts--",
        b"--between-the-parts\r\nno header\r\n\r\nx\r\n--between-the-parts--",
        b"--between-the-parts\r\n" * 100_000,
    ],
)
def test_what_is_no_form(client: Client, content: bytes) -> None:
    assert_problem(post(client, content), "not-a-form")


def test_what_stands_after_the_end_of_a_form_is_not_read(client: Client) -> None:
    asked = form(request_part(example(CLIMATES)), records_part())
    assert post(client, asked + b"\r\nmore").content == post(client, asked).content
    told = assert_problem(post(client, b"--between-the-parts" * 100_000), "invalid-shape")
    assert sorted(fault["pointer"] for fault in told["errors"]) == ["#/records", "#/request"]


@pytest.mark.parametrize("boundary", ["", '""', "x" * 71])
def test_boundaries_that_none_can_have(client: Client, boundary: str) -> None:
    content = form(request_part(example(CLIMATES)), records_part())
    assert_problem(post(client, content, boundary=boundary), "not-a-form")


@pytest.mark.parametrize("address", COMPUTATIONS)
def test_where_no_site_is_asked_of_no_form_is_taken(client: Client, address: str) -> None:
    answer = post(client, form(request_part({}), records_part()), address)
    taken = answer.status_code != 415
    assert taken == (address in ASKING_OF_A_SITE)
    if not taken:
        assert_problem(answer, "unsupported-media-type")
        assert answer.headers["accept-post"] == "application/json"


def test_bounds_of_the_parts() -> None:
    app: Any = create_app(Settings(body_bound_bytes=4 * KIB, records_body_bound_bytes=24 * KIB))
    with TestClient(app) as small:
        asked = example(CLIMATES)
        assert post(small, form(request_part(asked), records_part())).status_code == 200
        long = ("request", "application/json", json.dumps(asked).encode() + b" " * 4 * KIB)
        assert "4 KiB in the part request" in _too_large(post(small, form(long, records_part())))
        assert "24 KiB in the part records" in _too_large(
            post(small, form(request_part(asked), records_part(CSV + "\n" * (28 * KIB - len(CSV)))))
        )
        assert "24 KiB with" in _too_large(post(small, form(request_part(asked), records_part(CSV + "\n" * 64 * KIB))))


def _too_large(answer: httpx.Response) -> str:
    detail: str = assert_problem(answer, "body-too-large")["detail"]
    return detail


@given(
    content=st.one_of(
        st.binary(max_size=200),
        st.lists(
            st.tuples(
                st.sampled_from(["request", "records", "other", "", '"', "\u00e9"]),
                st.sampled_from(["", "application/json", "text/csv", "text/csv; charset", ";;"]),
                st.binary(max_size=60) | st.sampled_from([b"{}", b"--between-the-parts", b"\r\n--between-the-parts--"]),
            ),
            max_size=4,
        ).map(lambda parts: form(*parts)),
    )
)
@settings(
    max_examples=200, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_form_is_refused_or_answered(client: Client, content: bytes) -> None:
    answer = post(client, content)
    assert answer.status_code in {400, 415, 422}
    assert assert_problem(answer, answer.json()["type"].removeprefix("/problems/"))["title"] in {
        kind.title for kind in KINDS.values()
    }
