"""Numbers out of value cells: every spelling of a range, a bound and a date that the evidence uses."""

import pytest

from reference_tables.building.values import Bounds, month_words, months, parse


@pytest.mark.parametrize(
    ("value", "unit", "expected"),
    [
        ("110.6", "day of year", (110.6, 110.6)),
        ("3..4", "", (3, 4)),
        ("800-900", "h<7.2C", (800, 900)),
        ("60-90", "percent", (60, 90)),
        ("25-40", "", (25, 40)),
        ("-25 to -35", "C", (-35, -25)),
        ("-25..-20", "days", (-25, -20)),
        ("<330", "h<7.2C", (None, 330)),
        ("150..", "g", (150, None)),
        (">900", "CU", (900, None)),
        ("below 130..132", "days", (None, 132)),
        ("below 123", "days", (None, 123)),
        ("1 or less", "", (None, 1)),
        ("-36", "C", (-36, -36)),
        ("10-09", "MM-DD", (282, 282)),
        ("02-29", "MM-DD", (59, 59)),
        ("04-25..05-05", "MM-DD..MM-DD", (115, 125)),
        ("12-01..02-28", "MM-DD..MM-DD", (335, 424)),
        ("4b", "zone", (4.5, 4.5)),
        ("3", "zone", (3, 3)),
        ("3a..4b", "zone", (3, 4.5)),
        ("USDA zones 4-8A", "zone", (4, 8)),
        ("resistant", "", (None, None)),
        ("S3 S7", "", (None, None)),
        ("until January at 2 C", "", (None, None)),
    ],
)
def test_parse(value: str, unit: str, expected: Bounds) -> None:
    assert parse(value, unit) == expected


def test_months_in_use_wrap_the_year() -> None:
    assert months("11..01") == (11, 13)
    assert months("12") == (12, 12)


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("mid October", (284, 293)),
        ("mid to late August", (223, 242)),
        ("late August to early September", (233, 253)),
        ("September to October", (244, 303)),
        ("ripens early", (None, None)),
    ],
)
def test_month_words(words: str, expected: Bounds) -> None:
    assert month_words(words) == expected
