"""The measures of order as a table: `python -m tests.published.results` prints them and keeps them in results.csv.

Columns: date and commit (of the commit measured; a + after it says that files were changed), measure, group (all lists,
a climate group, the worst list, one list), value, low and high (90 % interval by document, blank where too few), n
(lists in a mean, pairs or cultivars of one list). Nothing is pooled over lists. Chance is 0.5 in every measure of
order. Rows of the same commit are replaced. Cultivars are ordered by rank value, which a `not_known` one has none of;
by the order of the answer these are counted too.
"""

import csv
import subprocess
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import msgspec

from domain.orchard_site.conditions import SiteConditions
from domain.tables.cultivars import Cultivar
from domain.tables.loading import Tables, load
from tests.published.measures_of_order import (
    LEAST_PAIRS,
    Found,
    Mean,
    Question,
    Value,
    mean_by_document,
    mean_of_shares,
    shares_in_order,
)
from tests.published.recommended_lists import (
    CLIMATE_GROUPS,
    Answers,
    Lists,
    adopted_without,
    answers,
    list_conditions,
    naive_orders,
)

RESULTS = Path(__file__).with_name("results.csv")
KEPT = (RESULTS.name, "results_long.txt")
"""Files in which results are kept: writing them changes nothing that is measured."""

AGAINST = "recommended above advised against"
ELSEWHERE = "recommended above other regions' choice"
REASONS = {
    "cold": "hardi|tender|season",
    "heat": "warm|sunny|heat",
    "disease": "scab|mildew|blight|susceptible|disease",
}
"""Why a list advises against: a pattern of its published reason."""

CALLED = (("recommended", ("plant", "not_here", "not_known")), ("not_recommended", ("plant", "not_here")))
LEAST_NAMES = 3
"""Lists that name fewer cultivars of a kind do not enter the mean share of their verdicts."""


class Row(msgspec.Struct, frozen=True):
    """One figure; `n` lists for a mean, pairs or cultivars for one list."""

    measure: str
    group: str
    value: float
    low: float | None
    high: float | None
    n: int


@dataclass(frozen=True)
class Judged:
    """Everything the measures need: the lists, the years at their sites, and cultivars adopted without them."""

    tables: Tables
    lists: Lists
    conditions: dict[str, SiteConditions]
    cultivars: tuple[Cultivar, ...]
    published_alone: tuple[Cultivar, ...]

    @cached_property
    def answers(self) -> Answers:
        """What the program answers without the documents of the lists."""
        return answers(self.tables, self.lists, self.conditions, self.cultivars)

    @cached_property
    def answers_of_published_values(self) -> Answers:
        """The same, without imputed and remembered values as well."""
        return answers(self.tables, self.lists, self.conditions, self.published_alone)

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        """Every measure of order and every share of verdicts."""
        return (*_rows_of_order(self), *_rows_of_verdicts(self))


def judge(tables: Tables) -> Judged:
    """Work out the sites of the lists and adopt twice without their documents."""
    lists = Lists(tables)
    urls = lists.all_documents
    return Judged(
        tables,
        lists,
        list_conditions(lists),
        adopted_without(tables, urls),
        adopted_without(tables, urls, published_alone=True),
    )


def _row(measure: str, group: str, mean: Mean | None) -> list[Row]:
    return [] if mean is None else [Row(measure, group, mean.value, mean.low, mean.high, mean.n)]


def _by_group(judged: Judged, measure: str, found: Mapping[str, Found]) -> list[Row]:
    """The mean over all lists, by climate, and over those whose pairs are too few for it; then the worst, then each."""
    rows = _row(measure, "all lists", mean_of_shares(found))
    for climate in CLIMATE_GROUPS:
        here = {name: one for name, one in found.items() if judged.lists.sites[name].climate == climate}
        rows += _row(measure, climate, mean_of_shares(here))
    few = {name: one for name, one in found.items() if one.pairs < LEAST_PAIRS}
    rows += _row(measure, f"lists of under {LEAST_PAIRS} pairs", mean_of_shares(few, least_pairs=1))
    enough = [one for one in found.values() if one.pairs >= LEAST_PAIRS]
    if enough:
        worst = min(enough, key=lambda one: one.share)
        rows.append(Row(measure, "worst list", worst.share, None, None, worst.pairs))
    rows += [Row(measure, name, one.share, None, None, one.pairs) for name, one in sorted(found.items())]
    return rows


def _rows_of_order(judged: Judged) -> Iterable[Row]:
    lists, ours = judged.lists, judged.answers.rank_value
    naive = naive_orders(lists, judged.conditions, judged.cultivars)

    def where_named_elsewhere(list_id: str, cultivar_id: str) -> float | None:
        return None if lists.popularity(list_id, cultivar_id) is None else ours(list_id, cultivar_id)

    for measure, questions in ((AGAINST, lists.above_advised_against()), (ELSEWHERE, lists.above_other_regions())):
        yield from _by_group(judged, measure, shares_in_order(questions, ours))
        by_place = shares_in_order(questions, judged.answers.standing)
        yield from _by_group(judged, f"{measure}, by the order of the answer", by_place)
        matched = f"{measure}, matched for fame"
        yield from _by_group(judged, matched, shares_in_order(questions, ours, lists.fame))
        yield from _whole(f"{matched}: fame itself", questions, lists.fame, lists.fame)
        for name, value in naive.items():
            yield from _whole(f"{measure}: {name}", questions, value)
        yield from _whole(f"{measure}, of cultivars that other lists name", questions, where_named_elsewhere)
        alone = judged.answers_of_published_values.rank_value
        yield from _whole(f"{measure}, published values alone", questions, alone)
    for reason, pattern in REASONS.items():
        found = shares_in_order(lists.above_advised_against(pattern), ours)
        yield from _by_group(judged, f"{AGAINST} for {reason}", found)


def _whole(measure: str, questions: list[Question], value: Value, fame: Value | None = None) -> list[Row]:
    return _row(measure, "all lists", mean_of_shares(shares_in_order(questions, value, fame)))


def _rows_of_verdicts(judged: Judged) -> Iterable[Row]:
    lists = judged.lists
    documents = {list_id: lists.documents(list_id) for list_id in lists.entries}
    for kind, verdicts in CALLED:
        named = {list_id: lists.named(list_id, kind) for list_id in lists.entries}
        named = {list_id: names for list_id, names in named.items() if len(names) >= LEAST_NAMES}
        for verdict in verdicts:
            measure = f"share of {kind.replace('_', ' ')} called {verdict}"
            shares = {
                list_id: sum(judged.answers.verdict(list_id, name) == verdict for name in names) / len(names)
                for list_id, names in named.items()
            }
            yield from _row(measure, "all lists", mean_by_document(shares, documents))
            for climate in CLIMATE_GROUPS:
                here = {name: share for name, share in shares.items() if lists.sites[name].climate == climate}
                yield from _row(measure, climate, mean_by_document(here, documents))
            for list_id, share in sorted(shares.items()):
                yield Row(measure, list_id, share, None, None, len(named[list_id]))


def _git(*words: str) -> str:
    return subprocess.run(
        ("git", *words), cwd=RESULTS.parent, check=True, capture_output=True, text=True
    ).stdout.strip()


def commit() -> tuple[str, str]:
    """Date and short id of the commit that is measured; a + after the id says that files were changed since."""
    date, commit_id = _git("show", "-s", "--format=%cs %h", "HEAD").split()
    changed = [line for line in _git("status", "--porcelain").splitlines() if not line.endswith(KEPT)]
    return date, commit_id + ("+" if changed else "")


def keep(rows: Iterable[Row]) -> None:
    """Put the rows of this commit at the end of results.csv, in place of those it has there."""
    date, commit_id = commit()
    kept: list[list[str]] = []
    if RESULTS.exists():
        with RESULTS.open(encoding="utf-8", newline="") as lines:
            kept = [row for row in list(csv.reader(lines))[1:] if row[1] != commit_id]
    with RESULTS.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("date", "commit", "measure", "group", "value", "low", "high", "n"))
        writer.writerows(kept)
        for row in rows:
            ends = ("" if end is None else f"{end:.3f}" for end in (row.low, row.high))
            writer.writerow((date, commit_id, row.measure, row.group, f"{row.value:.3f}", *ends, row.n))


def as_text(rows: Iterable[Row]) -> str:
    """The rows as lines to read."""
    lines, last = [], ""
    for row in rows:
        if row.measure != last:
            lines.append(row.measure)
            last = row.measure
        interval = f"{row.low:.2f} to {row.high:.2f}" if row.low is not None and row.high is not None else ""
        lines.append(f"    {row.group:24s} {row.value:.2f}  {interval:13s} n {row.n}")
    return "\n".join(lines)


if __name__ == "__main__":
    found = judge(load()).rows
    sys.stdout.write(as_text(found) + "\n")
    keep(found)
