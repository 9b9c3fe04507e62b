"""How well a ranking agrees with lists of recommended and expressly not recommended cultivars.

The measure is the chance that a recommended cultivar stands above another one (area under the ROC curve), ties counting
half. Two questions: recommended above expressly advised against in the same list; recommended here above what other
regions recommend but this list does not name.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import msgspec


def pairs_won(better: Sequence[float], worse: Sequence[float]) -> float:
    """Number of (better, worse) pairs in which the better stands above, ties as half."""
    return sum(1.0 if b > w else 0.5 if b == w else 0.0 for b in better for w in worse)


@dataclass
class Agreement:
    """Pairs won and tried, list by list."""

    won: dict[str, float] = field(default_factory=dict)
    tried: dict[str, int] = field(default_factory=dict)

    def add(self, list_id: str, better: Sequence[float], worse: Sequence[float]) -> None:
        """Count one list, if it has pairs at all."""
        if better and worse:
            self.won[list_id] = pairs_won(better, worse)
            self.tried[list_id] = len(better) * len(worse)

    @property
    def pooled(self) -> float:
        """Share of all pairs won."""
        return sum(self.won.values()) / sum(self.tried.values())

    @property
    def mean_over_lists(self) -> float:
        """Mean of the lists' shares."""
        return sum(self.won[k] / self.tried[k] for k in self.won) / len(self.won)

    @property
    def pairs(self) -> int:
        """Pairs tried."""
        return sum(self.tried.values())


Ranking = Callable[[str, str], float | None]
"""(list id, cultivar) -> value to rank by, None where it gives none."""


class Entry(msgspec.Struct, frozen=True):
    """One cultivar of a published list: recommended, trial or not_recommended."""

    cultivar: str
    verdict: str
    reason: str
    basis: str


class RecommendedList(msgspec.Struct, frozen=True):
    """A list with its region and the site that is asked for it; which figures of the site are our judgement."""

    list_id: str
    region: str
    grade: str
    site: dict[str, Any]
    judged_figures: tuple[str, ...]
    sources: tuple[dict[str, str], ...]
    cultivars: tuple[Entry, ...]


def recommended_lists() -> tuple[RecommendedList, ...]:
    """The lists in data/recommended_lists.json."""
    path = Path(__file__).with_name("data") / "recommended_lists.json"
    return msgspec.json.decode(path.read_bytes(), type=tuple[RecommendedList, ...])


def against_advised_against(lists: Sequence[RecommendedList], value: Ranking, reason: str = "") -> Agreement:
    """Recommended against not recommended of the same list; only those with `reason` in the published reason."""
    agreement = Agreement()
    for row in lists:
        by: dict[str, list[float]] = {"recommended": [], "not_recommended": []}
        for entry in row.cultivars:
            ranked = value(row.list_id, entry.cultivar)
            counted = entry.verdict == "recommended" or re.search(reason, entry.reason)
            if entry.verdict in by and ranked is not None and counted:
                by[entry.verdict].append(ranked)
        agreement.add(row.list_id, by["recommended"], by["not_recommended"])
    return agreement


def against_other_regions(
    lists: Sequence[RecommendedList], value: Ranking, resolve: Callable[[str], str | None]
) -> Agreement:
    """Recommended here against those that other lists recommend and this one does not name."""
    agreement = Agreement()
    for row in lists:
        named = {resolve(entry.cultivar) for entry in row.cultivars}
        here = {resolve(e.cultivar): e.cultivar for e in row.cultivars if e.verdict == "recommended"}
        elsewhere = {
            resolve(e.cultivar): e.cultivar
            for other in lists
            for e in other.cultivars
            if other is not row and e.verdict == "recommended" and resolve(e.cultivar) not in named
        }
        better = [v for name in here.values() if (v := value(row.list_id, name)) is not None]
        worse = [v for name in elsewhere.values() if (v := value(row.list_id, name)) is not None]
        agreement.add(row.list_id, better, worse)
    return agreement
