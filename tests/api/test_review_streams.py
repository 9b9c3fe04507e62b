"""Reviews in bulk: every line as it would be answered alone, in order; a bad line in place; tables of a spreadsheet."""

import asyncio
import csv
import io
import json
from typing import Any

import pytest
from litestar.testing import TestClient

from api import review_lines, review_rows, review_streams
from tests.api.requests import example

Client = TestClient[Any]
REVIEWS = "/v1/planting-list-reviews"
NDJSON, CSV = {"content-type": "application/x-ndjson"}, {"content-type": "text/csv"}
NORTH, SOUTH = {"latitude": 53.2, "longitude": -1.4}, {"latitude": -41.2, "longitude": 173.1}


def planting(site: dict[str, Any], *names: str) -> dict[str, Any]:
    return {"site": site, "trees": [{"cultivar": name} for name in names]}


def streamed(client: Client, lines: list[Any]) -> list[dict[str, Any]]:
    content = b"\n".join(line if isinstance(line, bytes) else json.dumps(line).encode() for line in lines)
    answer = client.post(REVIEWS, content=content, headers=NDJSON)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/x-ndjson"
    return [json.loads(line) for line in answer.text.splitlines()]


def test_each_line_is_answered_as_alone_and_in_order(client: Client) -> None:
    asked = [planting(NORTH, "Discovery"), planting(SOUTH, "Gala", "Fuji"), planting(NORTH, "Charles Ross", "Gala")]
    answers = streamed(client, asked)
    assert answers == [client.post(REVIEWS, json=one).json() for one in asked]


def test_a_bad_line_is_answered_in_its_place(client: Client) -> None:
    bad = planting(NORTH, "Nosuchapple")
    answers = streamed(client, [planting(NORTH, "Discovery"), b"{", bad, {"site": NORTH}, planting(NORTH, "Gala")])
    assert ["verdict" in one for one in answers] == [True, False, False, False, True]
    assert [one["line"] for one in answers[1:4]] == [2, 3, 4]
    assert [one["type"] for one in answers[1:4]] == [
        "/problems/not-json",
        "/problems/invalid-content",
        "/problems/invalid-shape",
    ]
    assert answers[2]["errors"][0]["pointer"] == "#/trees/0/cultivar"


def test_empty_lines_and_a_stream_of_nothing(client: Client) -> None:
    assert len(streamed(client, [planting(NORTH, "Gala"), b"", b"  ", planting(NORTH, "Fuji")])) == 2
    assert streamed(client, [b""]) == []


def test_a_stream_of_too_many_lines_is_answered_up_to_there(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(review_lines, "MOST_LINES", 3)
    monkeypatch.setattr(review_streams, "MOST_LINES", 3)
    answers = streamed(client, [planting(NORTH, "Gala")] * 6)
    assert ["verdict" in one for one in answers] == [True, True, True, False]
    assert answers[3]["type"] == "/problems/too-many-lines"


def test_a_line_that_is_too_long_loses_nothing_else(client: Client) -> None:
    long = planting(NORTH, "Gala") | {"wanted": {"uses": ["x" * review_lines.LINE_BYTES]}}
    answers = streamed(client, [planting(NORTH, "Fuji"), long, planting(NORTH, "Gala")])
    assert ["verdict" in one for one in answers] == [True, False, True]
    assert answers[1]["type"] == "/problems/too-many-lines"


def test_more_places_than_one_stream_may_ask_of(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(review_lines, "MOST_SITES", 1)
    answers = streamed(client, [planting(NORTH, "Fuji"), planting(SOUTH, "Fuji"), planting(NORTH, "Gala")])
    assert ["verdict" in one for one in answers] == [True, False, True]


def test_more_lines_than_are_worked_on_together_keep_their_order(client: Client) -> None:
    names = ["Gala", "Fuji", "Discovery"]
    asked = [planting(NORTH, names[n % 3]) for n in range(review_lines.TOGETHER + 5)]
    answers = streamed(client, asked)
    assert [one["trees"][0]["cultivar"] for one in answers] == [names[n % 3] for n in range(len(asked))]


def table(client: Client, content: bytes) -> list[list[str]]:
    answer = client.post(REVIEWS, content=content, headers=CSV)
    assert answer.status_code == 200, answer.text
    return list(csv.reader(io.StringIO(answer.text)))


PLAIN = (
    "list,latitude,longitude,elevation_m,cultivar,label,year_planted,as_of,complaints\r\n"
    "Hill plot,53.2,-1.4,120.5,Bramley's Seedling,shed,1998,2026-11-29,bloom_but_no_fruit\r\n"
    "Hill plot,,,,Discovery,gate,,,\r\n"
    "Bay,-41.2,173.1,,Gala,,,,\r\n"
)


def test_a_table_is_answered_by_a_table(client: Client) -> None:
    head, *rows = table(client, PLAIN.encode())
    assert head[:4] == ["list", "label", "cultivar", "judgement"]
    trees = [row for row in rows if row[2]]
    assert [(row[0], row[1], row[2]) for row in trees] == [
        ("Hill plot", "shed", "Bramley's Seedling"),
        ("Hill plot", "gate", "Discovery"),
        ("Bay", "", "Gala"),
    ]
    assert trees[0][7]


def test_a_table_as_a_spreadsheet_writes_it(client: Client) -> None:
    written = PLAIN.replace(",", ";").replace("53.2", "53,2").replace("-1.4", "-1,4").replace("120.5", "120,5")
    written = written.replace("-41.2", "-41,2").replace("173.1", "173,1")
    assert table(client, b"\xef\xbb\xbf" + written.encode()) == table(client, PLAIN.encode())


def as_an_office_program_writes(rows: list[list[str]], *, quoted: bool) -> bytes:
    """By the writer of the standard library, with what sheets have at their edges: an empty column, empty rows."""
    written = io.StringIO()
    writer = csv.writer(
        written, delimiter=";", quoting=csv.QUOTE_ALL if quoted else csv.QUOTE_MINIMAL, lineterminator="\r\n"
    )
    writer.writerows([*row, ""] for row in rows)
    writer.writerows([[""] * (len(rows[0]) + 1)] * 3)
    return b"\xef\xbb\xbf" + written.getvalue().encode()


@pytest.mark.parametrize("quoted", [False, True], ids=["as needed", "all cells"])
def test_a_table_with_what_cells_hold(client: Client, quoted: bool) -> None:
    """Semicolons, quotation marks and line breaks within cells, decimal commas, empty rows within and at the end."""
    rows = list(csv.reader(io.StringIO(PLAIN)))
    plain = [[cell.replace("shed", 'by; the "old"\nshed') for cell in row] for row in rows]
    commas = [
        [cell.replace(".", ",") if cell[:-1].strip("-0123456789") == "." else cell for cell in row] for row in plain
    ]
    assert commas[1][1:4] == ["53,2", "-1,4", "120,5"]
    commas.insert(2, [""] * len(commas[0]))  # an empty row within a list
    told = table(client, as_an_office_program_writes(commas, quoted=quoted))
    assert [row[1] for row in told[1:] if row[2]] == ['by; the "old"\nshed', "gate", ""]
    usual = table(client, PLAIN.encode())
    assert [row[:1] + row[2:8] for row in told] == [row[:1] + row[2:8] for row in usual]


def test_a_bad_row_is_told_in_its_place(client: Client) -> None:
    rows = table(client, PLAIN.replace("Discovery", "Nosuchapple").encode())
    assert [row[0] for row in rows if row[3] == "problem"] == ["Hill plot"]
    assert "Bay" in [row[0] for row in rows if row[3] != "problem"]


def test_another_encoding_is_told_and_not_guessed(client: Client) -> None:
    answer = client.post(REVIEWS, content=PLAIN.replace("shed", "Gärtner").encode("latin-1"), headers=CSV)
    told = answer.text
    assert "UTF-8" in told


@pytest.mark.parametrize(
    ("head", "pointer"),
    [
        ("list,latitude,longitude,apple", "#/apple"),
        ("list,latitude,cultivar", "#/longitude"),
        ("list,list,latitude,longitude,cultivar", "#/list"),
    ],
)
def test_wrong_columns_are_told(client: Client, head: str, pointer: str) -> None:
    answer = client.post(REVIEWS, content=f"{head}\n".encode(), headers=CSV)
    assert answer.status_code == 422
    assert pointer in [fault["pointer"] for fault in answer.json()["errors"]]


def test_a_caller_who_leaves_ends_the_work(app: Any) -> None:
    """The channel says that the caller has gone after the first answer: no more is sent."""
    body = b"\n".join(json.dumps(planting(NORTH, "Gala")).encode() for _ in range(40))
    sent: list[dict[str, Any]] = []
    pending = [{"type": "http.request", "body": body, "more_body": False}]
    left = asyncio.Event()

    async def receive() -> dict[str, Any]:
        if pending:
            return pending.pop()
        await left.wait()
        return {"type": "http.disconnect"}

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)
        if sum(bool(one.get("body")) for one in sent) == 1:
            left.set()
            await asyncio.sleep(0.01)

    scope = {
        "type": "http",
        "method": "POST",
        "path": REVIEWS,
        "headers": [(b"content-type", b"application/x-ndjson")],
        "query_string": b"",
    }
    asyncio.run(app(scope, receive, send))
    assert sum(bool(one.get("body")) for one in sent) < 5


def test_one_review_is_still_one(client: Client) -> None:
    assert client.post(REVIEWS, json=example(REVIEWS)).json()["verdict"]


def test_a_stream_cut_in_the_middle_answers_what_came_whole(client: Client) -> None:
    whole = json.dumps(planting(NORTH, "Discovery")).encode()
    answer = client.post(REVIEWS, content=whole + b"\n" + whole + b"\n" + whole[:40], headers=NDJSON)
    found = [json.loads(line) for line in answer.text.splitlines()]
    assert ["verdict" in one for one in found] == [True, True, False]
    assert (found[2]["line"], found[2]["type"]) == (3, "/problems/not-json")


def test_a_table_cut_inside_a_quotation_mark_answers_what_came_whole(client: Client) -> None:
    rows = table(client, PLAIN.encode() + b'Third,53.2,-1.4,,"Gala' + b"x" * 140_000)
    assert {"Hill plot", "Bay"} <= {row[0] for row in rows}
    assert rows[-1][3] == "problem"
    assert "cut off" in rows[-1][9]


def test_a_row_of_too_many_cells_is_told_and_not_cut(client: Client) -> None:
    """Decimal commas between commas: 53,2 would become 53 and all that follows would slip."""
    rows = table(client, PLAIN.replace("53.2", "53,2", 1).encode())
    assert [(row[0], row[3]) for row in rows if row[3] == "problem"] == [("Hill plot", "problem")]
    assert "Bay" in [row[0] for row in rows if row[3] != "problem"]


@pytest.mark.parametrize(
    ("column", "cell", "pointer"),
    [
        ("year_planted", "2031", "#/trees/0/year_planted"),
        ("full_bloom", "2026-02-30", "#/trees/0/seen/0/date"),
        ("x_m", "4", "#/trees/0/at_m/1"),
        ("pruning", "sideways", "#/trees/0/pruning"),
        ("elevation_m", "nan", "#/site/elevation_m"),
        ("elevation_m", "inf", "#/site/elevation_m"),
        ("elevation_m", "1_0", "#/site/elevation_m"),
        ("elevation_m", "1e999", "#/site/elevation_m"),
        ("year_planted", "9" * 300, "#/trees/0/year_planted"),
        ("year_planted", "٢٠٢٠", "#/trees/0/year_planted"),
    ],
)
def test_a_bad_cell_is_told_by_its_field_in_its_place(client: Client, column: str, cell: str, pointer: str) -> None:
    told = f"list,latitude,longitude,cultivar,as_of,{column}\r\nA,53.2,-1.4,Gala,2026-11-29,{cell}\r\n"
    told += "B,53.2,-1.4,Gala,,\r\n"
    _, *rows = table(client, told.encode())
    bad = [row for row in rows if row[3] == "problem"]
    assert [row[0] for row in bad] == ["A"]
    assert pointer in bad[0][9]
    assert rows[-1][0] == "B"


def test_a_table_of_a_head_alone_is_answered_by_a_head(client: Client) -> None:
    answer = client.post(REVIEWS, content=PLAIN.splitlines(keepends=True)[0].encode(), headers=CSV)
    assert answer.text == ",".join(review_rows.COLUMNS) + "\r\n"


@pytest.mark.parametrize(("sent", "accept"), [(NDJSON, "text/csv"), (NDJSON, "*/*"), (CSV, "*/*"), (CSV, "text/html")])
def test_a_stream_says_that_it_varies_and_how_it_is_written(client: Client, sent: dict[str, str], accept: str) -> None:
    """RFC 9110, section 12.5.5; RFC 4180, section 3 (charset)."""
    content = json.dumps(planting(NORTH, "Gala")) if sent == NDJSON else PLAIN
    answer = client.post(REVIEWS, content=content.encode(), headers=sent | {"accept": accept})
    assert "Accept" in answer.headers["vary"]
    told = "text/csv" in (accept, sent["content-type"] if accept == "*/*" else "")
    assert (answer.headers["content-type"] == "text/csv; charset=utf-8") == told


def test_words_of_a_table_are_no_formulas(client: Client) -> None:
    """What a spreadsheet would reckon is set off by an apostrophe, as in every table."""
    rows = table(client, PLAIN.replace("Hill plot", "=1+1").replace("shed", "@shed").encode())
    assert {"'=1+1", "Bay"} <= {row[0] for row in rows}
    assert "'@shed" in {row[1] for row in rows}


def test_a_quotation_mark_in_a_cell_is_told_and_not_guessed(client: Client) -> None:
    """RFC 4180, section 2: what follows the closing mark is a comma or the end of the line."""
    rows = table(client, PLAIN.replace("Gala", '"Gala"s').encode())
    assert {"Hill plot"} <= {row[0] for row in rows}
    assert (rows[-1][3], "quotation mark" in rows[-1][9]) == ("problem", True)
    refused = client.post(REVIEWS, content=b'list,"latitude"x,longitude,cultivar\r\n', headers=CSV)
    assert refused.status_code == 422


def test_what_a_table_tells_of_a_tree_is_what_json_tells(client: Client) -> None:
    head = (
        "list,latitude,longitude,as_of,cultivar,rootstock,tree_form,pruning,feeding,sun_hours,height_m,spread_m,x_m,y_m"
    )
    head += ",last_crop,complaints"
    row = "A,53.2,-1.4,2026-11-29,Gala,M.9,espalier,hard,much,5,2.5,3,0,0,2025-09-20,no_bloom"
    _, told, *_ = table(client, f"{head}\r\n{row}\r\n".encode())
    tree = {
        "cultivar": "Gala", "rootstock": "M.9", "tree_form": "espalier", "pruning": "hard", "feeding": "much",
        "sun_hours": 5, "height_m": 2.5, "spread_m": 3, "at_m": [0, 0], "complaints": ["no_bloom"],
        "seen": [{"event": "last_crop", "date": "2025-09-20"}],
    }  # fmt: skip
    asked = {"site": NORTH, "as_of": "2026-11-29", "trees": [tree]}
    cause = client.post(REVIEWS, json=asked).json()["trees"][0]["likely_causes"][0]
    assert (told[7], told[8]) == (cause["cause"], str(cause["probability"]))
