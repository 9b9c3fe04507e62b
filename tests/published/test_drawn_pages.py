"""The pages of sixty, of sixty famous ones and of twice thirty more: fixed draws, and every value that was wrong at the
first reading with its right value.
"""

from collections import Counter

import pytest

from domain.tables.cultivars import Estimate, Finding
from domain.tables.loading import load
from reference_tables.building.published import Row, read_table
from tests.published import drawn_pages, most_asked

WRONG = read_table(drawn_pages.DATA / "drawn_values_wrong.csv")
READ_AT_FIRST = 1085
"""Values on the pages when they were first read, one by one."""
FAMOUS_READ_AT_FIRST = 1275
"""Values on the pages of the famous when they were first read, page by page beside what texts say."""
FURTHER_READ_AT_FIRST = 619
"""Values on the pages of the thirty further famous ones, read at once by what a nursery knows."""
MORE_READ_AT_FIRST = 606
"""Values on the pages of the last thirty, read at once by what a nursery knows."""


def test_sixty_of_ten_countries_are_drawn_and_printed() -> None:
    rows = drawn_pages.committed()
    tables = load()
    assert Counter(row["country"] for row in rows) == Counter(dict.fromkeys({r["country"] for r in rows}, 6))
    assert (len(rows), len({row["country"] for row in rows})) == (60, 10)
    for row in rows:
        printed = list(drawn_pages.page(tables.by_id[row["cultivar_id"]], tables))
        assert printed[0].startswith(f"== {row['name']}")
        assert any(
            "ripening_offset_days" in line or "bloom_offset_days" in line or "hardiness" in line for line in printed
        )


def adopted(row: Row) -> Estimate | Finding | None:
    cultivar = load().by_id[row["cultivar_id"]]
    return cultivar.numbers.get(row["trait"]) or cultivar.findings.get(row["trait"])


def is_right(row: Row) -> bool:
    """Whether the adopted value is one of `right`, or lies in its range; `unknown` where none is adopted."""
    found = adopted(row)
    if ".." in row["right"]:
        least, most = (float(end) for end in row["right"].split(".."))
        return found is not None and least <= float(found.value) <= most
    return ("unknown" if found is None else str(found.value)) in row["right"].split(";")


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(row, id=f"{row['cultivar_id']}-{row['trait']}", marks=[] if row["state"] == "mended" else [
            pytest.mark.xfail(strict=True, reason=f"not mended: {row['cause']}")  # the causes stand with the cases
        ])
        for row in WRONG
    ],
)  # fmt: skip
def test_what_was_wrong_is_right(row: Row) -> None:
    assert is_right(row), (adopted(row), row["right"], row["source"])


@pytest.mark.parametrize(
    ("rows", "read_at_first", "still_wrong"),
    [
        (drawn_pages.committed(), READ_AT_FIRST, 3),
        (drawn_pages.committed_famous(), FAMOUS_READ_AT_FIRST, 1),
        (drawn_pages.committed_further(), FURTHER_READ_AT_FIRST, 0),
        (drawn_pages.committed_more(), MORE_READ_AT_FIRST, 1),
    ],
    ids=["drawn", "famous", "further", "more"],
)
def test_of_the_drawn_values_few_are_known_to_be_wrong(rows: list[Row], read_at_first: int, still_wrong: int) -> None:
    """Counted by one reader, trait by trait; what the reader took for right is no proof that it is."""
    drawn = {row["cultivar_id"] for row in rows}
    wrong = [row for row in WRONG if row["cultivar_id"] in drawn]
    still = [row for row in wrong if not is_right(row)]
    print(f"wrong at first {len(wrong)} of {read_at_first}, still {len(still)}")
    assert wrong
    assert len(still) <= still_wrong


def test_every_wrong_value_is_of_a_drawn_page_and_no_page_is_drawn_twice() -> None:
    drawn = (
        drawn_pages.committed(),
        drawn_pages.committed_famous(),
        drawn_pages.committed_further(),
        drawn_pages.committed_more(),
    )
    assert [len(rows) for rows in drawn] == [60, 60, 30, 30]
    every = {row["cultivar_id"] for rows in drawn for row in rows}
    assert len(every) == sum(len(rows) for rows in drawn)
    assert {row["cultivar_id"] for row in WRONG} <= every


def test_the_famous_are_those_that_the_rule_draws() -> None:
    drawn = drawn_pages.draw_famous(drawn_pages.committed(), most_asked.committed())
    assert drawn == drawn_pages.committed_famous()


def test_the_further_are_those_that_the_rule_draws() -> None:
    before = drawn_pages.committed() + drawn_pages.committed_famous()
    assert drawn_pages.draw_further(before, most_asked.committed()) == drawn_pages.committed_further()


def test_the_last_are_those_that_the_rule_draws() -> None:
    before = drawn_pages.committed() + drawn_pages.committed_famous() + drawn_pages.committed_further()
    assert drawn_pages.draw_more(before, most_asked.committed()) == drawn_pages.committed_more()
