"""Calendars as iCalendar, read back by an independent library, and as a table, read by the csv of the language."""

import csv
import datetime as dt
import io
import json
from typing import Any

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st
from litestar.testing import TestClient

from api.answer_forms import chosen
from api.calendar_forms import COLUMNS
from api.icalendar import Entry, days, document, escaped, folded

Client = TestClient[Any]
CALENDARS = "/v1/season-calendars"
KENT = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40}
SOUTH = {"latitude": -41.2, "longitude": 173.1, "elevation_m": 20}
HIGHLAND = {"latitude": -1.1, "longitude": 36.6, "elevation_m": 2200}
ASKED = {"site": KENT, "cultivars": ["Discovery", "Cox's Orange Pippin"]}
CALENDAR, TABLE = "text/calendar", "text/csv"


def got(client: Client, accept: str, **asked: Any) -> Any:
    answer = client.post(CALENDARS, json=ASKED | asked, headers={"accept": accept})
    assert answer.status_code == 200, answer.text
    assert "Accept" in answer.headers["vary"].split(", ")
    assert answer.headers["content-type"].split(";")[0] == accept.split(",", maxsplit=1)[0]
    return answer


def read(client: Client, **asked: Any) -> icalendar.Calendar:
    found = icalendar.Calendar.from_ical(got(client, CALENDAR, **asked).content)
    assert isinstance(found, icalendar.Calendar)
    return found


def events(calendar: icalendar.Calendar) -> list[Any]:
    return list(calendar.walk("VEVENT"))


def day_after(day: str, year: int) -> dt.date:
    return dt.date(year, int(day[:2]), int(day[3:])) + dt.timedelta(days=1)


@pytest.mark.parametrize("site", [KENT, SOUTH])
def test_every_job_and_event_of_the_json_stands_in_the_calendar(client: Client, site: dict[str, float]) -> None:
    answered = client.post(CALENDARS, json=ASKED | {"site": site}).json()
    calendar = read(client, site=site)
    assert (str(calendar["version"]), str(calendar["calscale"])) == ("2.0", "GREGORIAN")
    found = events(calendar)
    told = {(f"{one.start:%m-%d}", f"{one.end - dt.timedelta(days=1):%m-%d}") for one in found}
    assert {(job["from"], job["to"]) for job in answered["work"]} <= told
    assert {(one["day"]["median"],) * 2 for one in answered["site_events"]} <= told
    assert len(found) == len(answered["work"]) + len(answered["site_events"]) + len(answered["calendars"])
    for one in found:
        assert one.start < one.end  # the end is the day after the last
        assert (one.end - one.start).days < 366
        assert str(one["rrule"]["freq"][0]) == "YEARLY"
        assert not isinstance(one.start, dt.datetime)
        assert one["summary"]
        assert one["description"]
    assert not calendar.errors
    assert all(not one.errors for one in found)


def test_a_window_over_the_new_year_ends_in_the_next(client: Client) -> None:
    wrapping = [job for job in client.post(CALENDARS, json=ASKED).json()["work"] if job["to"] < job["from"]]
    assert wrapping
    ends = {(f"{one.start:%m-%d}", one.end) for one in events(read(client))}
    for job in wrapping:
        assert (job["from"], day_after(job["to"], 2002)) in ends


def test_identifiers_are_unique_and_stay_with_what_they_are(client: Client) -> None:
    first, later = read(client), read(client, on="2026-08-15")
    uids = [str(one["uid"]) for one in first.walk() if "uid" in one]
    assert len(uids) == len(set(uids))
    assert uids == [str(one["uid"]) for one in later.walk() if "uid" in one]
    assert {one.start.year for one in events(later)} == {2026}
    other = read(client, site=SOUTH)
    assert not set(uids) & {str(one["uid"]) for one in other.walk() if "uid" in one}
    assert got(client, CALENDAR).content == got(client, CALENDAR).content


@pytest.mark.parametrize("on", ["9999-12-31", "0999-05-05", "2200-01-01", "13-01", "1899-12-31", "2026-08-15\n"])
def test_a_day_of_no_usual_year_is_refused(client: Client, on: str) -> None:
    refused = client.post(CALENDARS, json=ASKED | {"on": on}, headers={"accept": CALENDAR})
    assert refused.status_code == 422, refused.text
    assert [fault["pointer"] for fault in refused.json()["errors"]] == ["#/on"]


@pytest.mark.parametrize("on", ["1900-01-01", "2199-12-31"])
def test_the_first_and_the_last_day_are_written(client: Client, on: str) -> None:
    assert {one.start.year for one in events(read(client, on=on))} == {int(on[:4])}


def test_a_year_is_written_with_four_digits() -> None:
    """RFC 5545, section 3.3.4, refers to ISO 8601: four digits of the year."""
    entry = Entry(key=("a",), first="05-05", last="05-06", summary="x", description="y", categories=("a",))
    assert "DTSTART;VALUE=DATE:09990505\r\nDTEND;VALUE=DATE:09990507\r\n" in document("p", "n", 999, [entry])


def test_not_sure_is_said_in_words(client: Client) -> None:
    texts = [str(one["description"]) for one in events(read(client))]
    assert sum("between " in text.lower() for text in texts) > 0.6 * len(texts)


def test_cautions_go_with_the_work_that_they_are_of(client: Client) -> None:
    told = {str(one["summary"]): str(one["description"]) for one in events(read(client))}
    assert "power lines" in next(words for title, words in told.items() if title.startswith("Prune in winter"))
    assert "plant-health" in told["Graft"]
    notes = read(client).walk("VJOURNAL")
    assert any("no sprays" in str(one["description"]) for one in notes)


def test_lines_are_folded_and_ended_as_the_standard_asks(client: Client) -> None:
    content = got(client, CALENDAR).content
    assert content.endswith(b"END:VCALENDAR\r\n")
    lines = content.split(b"\r\n")
    assert all(len(line) <= 75 for line in lines)
    assert not any(b"\n" in line or b"\r" in line for line in lines)


def test_a_place_without_winter_has_its_own_calendar(client: Client) -> None:
    stripped = HIGHLAND | {"leaf_stripping": ["02-01", "08-01"]}
    calendar = read(client, site=stripped, cultivars=["Anna"])
    titles = {str(one["summary"]) for one in events(calendar)}
    assert {"Anna in bloom", "Pick: Anna", "Strip leaves: Anna"} <= titles
    assert not any("winter" in title for title in titles)
    untold = read(client, site=HIGHLAND, cultivars=["Anna"])  # nothing has a day: what is said stands in notes
    assert events(untold) == []
    assert untold.walk("VJOURNAL")


def test_the_table_is_the_json_row_by_row(client: Client) -> None:
    answered = client.post(CALENDARS, json=ASKED).json()
    content = got(client, TABLE).content
    assert content.count(b"\n") == content.count(b"\r\n")
    rows = list(csv.DictReader(io.StringIO(content.decode("utf-8"), newline="")))
    assert tuple(rows[0]) == COLUMNS
    jobs = [(row["code"], row["from"], row["to"], row["words"]) for row in rows if row["kind"] == "job"]
    assert jobs == [(job["job"], job["from"], job["to"], job["words"]) for job in answered["work"]]
    stages = [(row["id"], row["code"], row["from"]) for row in rows if row["kind"] == "stage"]
    told = [(c["id"], e["event"], e["day"]["median"]) for c in answered["calendars"] for e in c["events"] if e["day"]]
    assert stages == told


@pytest.mark.parametrize(
    ("accept", "kind"),
    [
        (None, "application/json"),
        ("", "application/json"),
        ("*/*", "application/json"),
        ("text/*", CALENDAR),
        ("text/csv, text/calendar;q=0.9", TABLE),
        ("text/csv;q=0.2, application/json;q=0.1", TABLE),
        ("TEXT/CALENDAR; charset=utf-8", CALENDAR),
        ("text/calendar;q=0, text/*;q=0.5", TABLE),
        ("application/json;q=0, */*", CALENDAR),
        ("application/problem+json", "application/json"),
        ("text/html", None),
        ("application/json;q=0", None),
    ],
)
def test_the_form_with_the_highest_weight_is_chosen(accept: str | None, kind: str | None) -> None:
    """RFC 9110, section 12.5.1: the most specific range decides, of equal weights what is offered first."""
    assert chosen(accept, ("application/json", CALENDAR, TABLE)) == kind


def test_what_no_form_serves_is_refused_with_the_forms_named(client: Client) -> None:
    answer = client.post(CALENDARS, json=ASKED, headers={"accept": "text/html"})
    assert answer.status_code == 406
    assert "Accept" in answer.headers["vary"].split(", ")
    assert all(kind in answer.json()["detail"] for kind in ("application/json", CALENDAR, TABLE))
    refused = client.post(CALENDARS, json=ASKED | {"cultivars": ["Nosuchapple"]}, headers={"accept": CALENDAR})
    assert refused.status_code == 422
    assert refused.headers["content-type"] == "application/problem+json"


@given(st.text(max_size=300))
def test_any_text_comes_back_as_it_was(text: str) -> None:
    kept = "".join(char for char in text.replace("\r\n", "\n").replace("\r", "\n") if char == "\n" or char >= " ")
    kept = kept.replace("\x7f", "").encode("utf-8", "ignore").decode()
    words = text.encode("utf-8", "ignore").decode()
    entry = Entry(key=("a",), first="12-20", last="01-10", summary="x", description=words, categories=("a",))
    made = document("p", "n", 2001, [entry])
    assert all(len(line.encode()) <= 75 for line in made.split("\r\n"))
    (event,) = icalendar.Calendar.from_ical(made).walk("VEVENT")
    assert str(event["description"]) == kept


def test_escapes_and_folds_by_hand() -> None:
    """The examples are of RFC 5545, sections 3.3.11 and 3.1."""
    assert escaped("Project XYZ Final Review\nConference Room - 3B\nCome Prepared.") == (
        r"Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    )
    assert escaped("a;b,c\\d") == r"a\;b\,c\\d"
    long = "é" * 60
    assert folded(long).replace("\r\n ", "") == long
    assert days("12-20", "01-10", 2003) == (dt.date(2003, 12, 20), dt.date(2004, 1, 11))
    assert days("02-28", "02-28", 2003) == (dt.date(2003, 2, 28), dt.date(2003, 3, 1))


def test_a_review_is_a_table_too(client: Client) -> None:
    asked = {"site": KENT, "trees": [{"cultivar": "Discovery", "label": "a, b"}, {"cultivar": "Bramley's Seedling"}]}
    answer = client.post("/v1/planting-list-reviews", json=asked, headers={"accept": TABLE})
    assert answer.status_code == 200
    head, *rows = csv.reader(io.StringIO(answer.text))
    assert head[:3] == ["list", "label", "cultivar"]
    assert rows[0][1:3] == ["a, b", "Discovery"]
    assert all(len(row) == len(head) for row in rows)


@pytest.mark.parametrize(
    ("accept", "kind"), [("text/csv", "text/csv"), ("*/*", "application/x-ndjson"), ("text/html", None)]
)
def test_a_stream_is_told_in_the_form_asked_for(client: Client, accept: str, kind: str | None) -> None:
    line = json.dumps({"site": KENT, "trees": [{"cultivar": "Discovery"}]})
    headers = {"content-type": "application/x-ndjson", "accept": accept}
    answer = client.post("/v1/planting-list-reviews", content=line, headers=headers)
    assert answer.status_code == (200 if kind else 406)
    assert answer.headers["content-type"].split(";")[0] == kind or kind is None
