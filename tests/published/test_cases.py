"""The published cases are whole: each says whether it was fitted on, and names a source that is known."""

from collections import Counter, defaultdict

import pytest

from domain.tables.loading import load
from reference_tables.building.documents import address
from tests.published.cases import DATA, NO_CASES, SOURCE_TABLES, counted, known_sources, rows

TABLES = sorted(path.name for path in DATA.glob("*.csv") if path.name not in NO_CASES)


@pytest.mark.parametrize("name", TABLES)
def test_every_case_says_whether_it_was_fitted_on(name: str) -> None:
    of_file = {row["file"]: row["fitted_on"] for row in rows("files.csv")}
    assert rows(name)
    assert {row.get("fitted_on", of_file.get(name)) for row in rows(name)} <= {"yes", "no", "input"}


@pytest.mark.parametrize("name", TABLES)
def test_every_case_names_a_known_source(name: str) -> None:
    """Older tables name the row or table of the document behind its id."""
    named = {one.strip().split(" ")[0] for row in rows(name) for one in row["source"].split(";")}
    assert named <= known_sources()


def test_no_source_is_described_twice() -> None:
    """What the reference tables cite is described there: two descriptions of one id drift apart."""
    described = [row["source"] for name in SOURCE_TABLES for row in rows(name)]
    assert sorted(set(described) & load().sources.keys()) == []
    assert sorted(name for name, times in Counter(described).items() if times > 1) == []


def test_no_page_has_two_ids() -> None:
    """What stands twice under two names would be counted as two documents."""
    ids = defaultdict(set)
    for row in (row for name in SOURCE_TABLES for row in rows(name)):
        if "/" in address(row["url"]):
            ids[address(row["url"])].add(row["source"])
    assert [sorted(several) for several in ids.values() if len(several) > 1] == []


def test_most_cases_come_from_outside() -> None:
    """What was fitted on may not take the place of checks."""
    outside, fitted = (sum(pair[kind] for pair in counted().values()) for kind in (0, 1))
    print(f"{outside} cases from outside, {fitted} fitted on")
    assert outside > 2 * fitted
