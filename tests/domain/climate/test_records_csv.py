"""Records as CSV: two sets of columns, gaps and order forgiven, contradictions named by line."""

import pytest

from domain.climate.records_csv import records_of_csv
from domain.climate.site import DailyRecords, HourlyRecords
from domain.problems import ContentFaults


def faults(text: str) -> list[str]:
    with pytest.raises(ContentFaults) as caught:
        records_of_csv(text)
    return [f"{fault.pointer} {fault.detail}" for fault in caught.value.faults]


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
    records = records_of_csv("\ufefftime,temperature_c\n2020-01-01T02:00,4\n2020-01-01 03:00,5\n")
    assert records == HourlyRecords(first_day="2020-01-01", temperature_c=(None, None, 4.0, 5.0))


def test_contradictions_are_named_by_line() -> None:
    found = faults(
        "date,tmin_c,tmax_c\n2020-01-01,1,9\n2020-01-01,2,9\n2020-02-30,1,2\n2020-01-03,x,9\n2020-01-04,nan,9\n"
    )
    assert [line.split()[2].strip(":") for line in found] == ["3", "4", "5", "6"]
    assert "told before" in found[0]


@pytest.mark.parametrize(
    "text",
    ["", "date,tmin_f,tmax_f\n2020-01-01,1,2\n", "date,tmin_c,tmax_c\n", "time,temperature_c\n2020-01-01T02:30,1\n"],
)
def test_what_is_no_record(text: str) -> None:
    assert faults(text)


def test_too_long() -> None:
    assert "60 years" in faults("date,tmin_c,tmax_c\n1800-01-01,1,2\n2020-01-01,1,2\n")[0]
