"""Published cases as data, and whether a figure of the program was fitted on them.

Each table of data/ holds one case a row: what goes in, what was published (`truth` or `low` and `high`), what is
allowed beside it, why, the source's id (case_sources.csv, climate_sources.csv, place_sources.csv or the reference
tables) and `fitted_on`: yes if a figure of the program was set on this very case. Older tables without that column
are described in files.csv, one row a table. A case that was fitted on holds a fit and checks nothing from outside: its
tests carry the marker `fitted_on`, and both kinds are counted apart at the end of a run.
``python -m tests.published.cases`` counts the cases themselves.
"""

import csv
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from domain.tables.loading import load

DATA = Path(__file__).parent / "data"
SOURCE_TABLES = ("case_sources.csv", "climate_sources.csv", "place_sources.csv")
NO_CASES = (
    *SOURCE_TABLES,
    "files.csv",
    "order_bounds.csv",
    "most_asked.csv",
    "looked_for_in_vain.csv",
    "drawn_cultivars.csv",
    "drawn_famous.csv",
    "drawn_further.csv",
    "drawn_more.csv",
    "drawn_values_wrong.csv",
    "rain_of_mountain_towns.csv",
)
"""Tables of data/ that hold no published case."""

Case = dict[str, str]


def rows(name: str) -> list[Case]:
    """The rows of a table of data/."""
    with (DATA / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def cases(name: str) -> list[Case]:
    """The cases of a table. Raises ValueError where a row does not say whether it was fitted on."""
    found = rows(name)
    for line, case in enumerate(found, start=2):
        if case.get("fitted_on") not in ("yes", "no"):
            raise ValueError(f"{name}, line {line}: fitted_on is yes or no")
    return found


def parametrized(
    name: str, label: Callable[[Case], str], when: Callable[[Case], bool] = lambda _: True
) -> pytest.MarkDecorator:
    """A decorator that runs a test for each `case` of a table, those fitted on marked; `label` names the case."""
    return pytest.mark.parametrize(
        "case",
        [
            pytest.param(case, id=label(case), marks=[pytest.mark.fitted_on] if case["fitted_on"] == "yes" else [])
            for case in cases(name)
            if when(case)
        ],
    )


def known_sources() -> frozenset[str]:
    """Every source id that a case may name."""
    own = (row["source"] for name in SOURCE_TABLES for row in rows(name))
    return frozenset(own) | load().sources.keys()


def counted() -> dict[str, tuple[int, int]]:
    """Cases from outside and cases fitted on, by table; inputs are no cases."""
    of_file = {row["file"]: row["fitted_on"] for row in rows("files.csv")}
    found = {}
    for path in sorted(DATA.glob("*.csv")):
        if path.name in NO_CASES or of_file.get(path.name) == "input":
            continue
        table: list[Mapping[str, str]] = [*rows(path.name)]
        fitted = sum(row.get("fitted_on", of_file.get(path.name)) == "yes" for row in table)
        found[path.name] = (len(table) - fitted, fitted)
    return found


def report() -> str:
    """The counts as a table."""
    found = counted()
    lines = [f"{'table':36s}{'outside':>8}{'fitted on':>11}"]
    lines += [f"{name:36s}{outside:>8}{fitted:>11}" for name, (outside, fitted) in found.items()]
    outside, fitted = (sum(pair[kind] for pair in found.values()) for kind in (0, 1))
    return "\n".join([*lines, f"{'all':36s}{outside:>8}{fitted:>11}"])


if __name__ == "__main__":
    sys.stdout.write(report() + "\n")
