"""Records as CSV: two sets of columns, gaps and order forgiven, contradictions named by line and column."""

import datetime as dt
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.common.faults import ContentFault, ContentFaults, collecting
from domain.site_climate.records_csv import MOST_FAULTS, records_of_csv
from domain.site_climate.site import DailyRecords, HourlyRecords


def faults(text: str) -> tuple[ContentFault, ...]:
    with pytest.raises(ContentFaults) as caught:
        records_of_csv(text)
    assert {fault.pointer for fault in caught.value.faults} == {"#/records"}
    return caught.value.faults


def test_days_in_any_order_with_gaps() -> None:
    text = "tmax_c,date,tmin_c\n9,2020-01-04,1\n8.5,2020-01-01,\n7,2020-01-02,-1\n7,2020-01-02,-1\n"
    assert records_of_csv(text) == DailyRecords(
        first_day="2020-01-01", tmin_c=(None, -1.0, None, 1.0), tmax_c=(8.5, 7.0, None, 9.0)
    )


def test_rain() -> None:
    records = records_of_csv("date,tmin_c,tmax_c,rain_mm\n2020-01-01,1,9,0.4\n2020-01-02,1,9,\n")
    assert isinstance(records, DailyRecords)
    assert records.rain_mm == (0.4, None)


def test_hours_begin_at_midnight() -> None:
    records = records_of_csv("\ufefftime,temperature_c\n2020-01-01T02:00,4\n2020-01-01 03:00:00,5\n")
    assert records == HourlyRecords(first_day="2020-01-01", temperature_c=(None, None, 4.0, 5.0))


def test_line_ends_marks_spaces_quotes_and_empty_lines_are_forgiven() -> None:
    plain = "date,tmin_c,tmax_c\n2020-01-01,1,9\n2020-01-02,-2.5,4\n"
    spaced = '\ufeff"date", tmin_c ,tmax_c\r\n\r\n2020-01-01, 1,"9"\r\n2020-01-02,-2.5 ,4'
    assert records_of_csv(spaced) == records_of_csv(plain)


def test_contradictions_are_named_by_line_and_column() -> None:
    found = faults(
        "date,tmin_c,tmax_c\n2020-01-01,1,9\n2020-01-01,2,9\n2020-02-30,1,2\n2020-01-03,x,9\n2020-01-04,1,nan\n"
    )
    assert [(fault.line, fault.column) for fault in found] == [(3, "date"), (4, "date"), (5, "tmin_c"), (6, "tmax_c")]
    assert "told before" in found[0].detail


@pytest.mark.parametrize(
    ("text", "line", "expected"),
    [
        ("", 1, "names none"),
        ("date,tmin_f,tmax_f\n2020-01-01,1,2\n", 1, "'tmin_f'"),
        ("2020-01-01,1,2\n", 1, "must name the columns"),
        ("date,tmin_c,tmax_c\n", 1, "no row"),
        ("date,tmin_c,tmax_c,tmin_c\n2020-01-01,1,2,1\n", 1, "tmin_c is named twice"),
        ("date;tmin_c;tmax_c\n2020-01-01;1,5;2,5\n", 1, "semicolons"),
        ("date\ttmin_c\ttmax_c\n2020-01-01\t1\t2\n", 1, "tabs"),
        ("date,tmin_c,tmax_c\n2020-01-01,1,5,2,5\n", 2, "comma in a number"),
        ("date,tmin_c,tmax_c\n2020-01-01,1\n", 2, "got 2"),
        ('date,tmin_c,tmax_c\n2020-01-01,"1,5",2\n', 2, "such as 3.5"),
        ("date,tmin_c,tmax_c\n2020-01-01,1_0,20\n", 2, "a number"),
        ("date,tmin_c,tmax_c\n2020-01-01,inf,20\n", 2, "a number"),
        ("date,tmin_c,tmax_c\n2020-01-01,1,9999\n", 2, "from -200 to 800"),
        ("date,tmin_c,tmax_c,rain_mm\n2020-01-01,1,9,-1\n", 2, "from 0 to 2000"),
        ("date,tmin_c,tmax_c\n01/02/2020,1,9\n", 2, "YYYY-MM-DD"),
        ("date,tmin_c,tmax_c\n20200102,1,9\n", 2, "YYYY-MM-DD"),
        ('date,tmin_c,tmax_c\n2020-01-01,1,"9\n', 2, "no CSV"),
        ("date,tmin_c,tmax_c\n2020-01-01,1," + "9" * 200_000 + "\n", 2, "no CSV"),
        ("time,temperature_c\n2020-01-01T02:30,1\n", 2, "local standard time"),
        ("time,temperature_c\n2020-01-01T02:00+01:00,1\n", 2, "local standard time"),
        ("time,temperature_c\n2020-01-01T24:00,1\n", 2, "local standard time"),
        ("time,temperature_c\n2020-01-01,1\n", 2, "local standard time"),
    ],
)
def test_what_is_no_record(text: str, line: int, expected: str) -> None:
    (fault,) = faults(text)
    assert fault.line == line
    assert expected in fault.detail


def test_an_hour_told_twice_when_clocks_go_back() -> None:
    (fault,) = faults("time,temperature_c\n2020-10-25T02:00,4\n2020-10-25T02:00,3.5\n")
    assert (fault.line, fault.column) == (3, "time")


def test_reading_stops_after_many_faults() -> None:
    assert len(faults("date,tmin_c,tmax_c\n" + "x,y,z\n" * 1000)) == MOST_FAULTS


def test_too_long() -> None:
    (fault,) = faults("date,tmin_c,tmax_c\n1800-01-01,1,2\n2020-01-01,1,2\n")
    assert "60 years" in fault.detail


@given(
    first=st.dates(dt.date(1800, 1, 1), dt.date(2100, 1, 1)),
    days=st.lists(st.tuples(*[st.none() | st.floats(-60, 60).map(lambda v: round(v, 2))] * 2), min_size=1, max_size=40),
    random=st.randoms(use_true_random=False),
)
@settings(max_examples=100, deadline=None, derandomize=True)
def test_whatever_is_written_is_read_again(
    first: dt.date, days: list[tuple[float | None, ...]], random: Random
) -> None:
    rows = [
        ",".join([(first + dt.timedelta(number)).isoformat(), *("" if v is None else repr(v) for v in day)])
        for number, day in enumerate(days)
    ]
    random.shuffle(rows)
    records = records_of_csv("date,tmin_c,tmax_c\n" + "\n".join(rows))
    assert isinstance(records, DailyRecords)
    assert records.first_day == first.isoformat()
    assert list(zip(records.tmin_c, records.tmax_c, strict=True)) == days


@given(text=st.text(alphabet='date,tmin_cx\n\r"0123456789-:T \x00\ufeff;.', max_size=80))
@settings(max_examples=300, deadline=None, derandomize=True)
def test_any_text_is_read_or_refused(text: str) -> None:
    found: list[ContentFault] = []
    for head in ("", "date,tmin_c,tmax_c\n", "time,temperature_c\n"):
        with collecting(found):
            records_of_csv(head + text)
    assert all(fault.pointer == "#/records" for fault in found)
