"""Growers' questions that experts answered, as the program knows their trees, and odds counted from other documents.

Counted: each question shares one vote among the causes that its expert named, and each cause of a complaint has one
vote more, so that none is impossible. What is told of the tree and known of its site multiplies these odds as it does
those of the tables.
"""

import hashlib
import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import Any

import msgspec

from domain.fruit.complaints import CAUSES_OF
from domain.reviews.cause_facts import TreeFacts
from domain.reviews.causes import likely_causes, told_odds
from domain.reviews.orchard import orchard
from domain.reviews.planting import planting
from domain.reviews.review_request import PlantingListReviewRequest
from domain.reviews.tree_facts import tree_facts
from tests import shared
from tests.published.cases import Case, cases

AS_OF = "2026-08-01"
SETS = ("diagnoses.csv", *(f"diagnoses_{n}.csv" for n in range(2, 12)))
FOLDS = 10


def question(case: Case) -> dict[str, Any]:
    """The request that tells what the grower told."""
    tree: dict[str, Any] = {
        "cultivar": case["cultivar"] or None,
        "kind": case["kind"],
        "complaints": [case["complaint"]],
    }
    if signs := ";".join(filter(None, (case.get("signs"), case.get("signs_later")))):
        tree["signs"] = signs.split(";")
    if case["age_years"]:
        tree["year_planted"] = int(AS_OF[:4]) - int(float(case["age_years"]))
    for told in ("pruning", "feeding"):
        if case[told]:
            tree[told] = case[told]
    if case["sun_hours"]:
        tree["sun_hours"] = float(case["sun_hours"])
    site: dict[str, Any] = {"latitude": float(case["latitude"]), "longitude": float(case["longitude"])}
    if case.get("drainage"):
        site["ground"] = {"drainage": case["drainage"]}
    day = case.get("asked_on")
    return {
        "site": site,
        "trees": [tree],
        "as_of": f"{AS_OF[:4]}-{day}" if day else AS_OF,
        "unknown_names": "report",
        "neighbourhood": "settled" if case["others"] else "unknown",
    }


@cache
def all_cases() -> tuple[Case, ...]:
    """Every question whose cause can be said."""
    return tuple(case for name in SETS for case in cases(name) if case["can_be_said"] != "no")


@cache
def _facts() -> Mapping[str, TreeFacts]:
    found = {}
    for case in all_cases():
        asked = msgspec.convert(question(case), PlantingListReviewRequest)
        names = shared.catalogue().tables.names
        found[case["case"]] = tree_facts(
            orchard(planting(asked, names), shared.catalogue(), shared.conditions(asked.site)), 0
        )
    return found


def facts(case: Case) -> TreeFacts:
    """What is known of the tree of a question."""
    return _facts()[case["case"]]


def experts(case: Case) -> list[str]:
    """The causes that the expert named."""
    return case["expert"].split(";")


def first_two(case: Case) -> list[str]:
    """Our first two."""
    return [one.code for one in likely_causes(case["complaint"], facts(case))[:2]]  # type: ignore[arg-type]  # as told


def fold(case: Case) -> int:
    """One of ten parts of the documents."""
    return int(hashlib.sha256(case["source"].encode()).hexdigest(), 16) % FOLDS


def counted_odds(complaint: str, known: Iterable[Case]) -> dict[str, float]:
    """Cause of a complaint -> votes of the experts of some questions, and one more."""
    votes = {row.cause: 1.0 for row in CAUSES_OF[complaint]}
    for case in known:
        named = experts(case)
        for cause in named if case["complaint"] == complaint else ():
            if cause in votes:
                votes[cause] += 1.0 / len(named)
    return votes


def first_two_by_others(case: Case) -> list[str]:
    """The first two by odds counted in the documents of the other parts alone."""
    odds = counted_odds(case["complaint"], [one for one in all_cases() if fold(one) != fold(case)])
    found = told_odds(case["complaint"], facts(case), odds)  # type: ignore[arg-type]  # as told
    return sorted(found, key=lambda code: (-found[code], code))[:2]


def commonest_two(case: Case) -> list[str]:
    """The two causes of the complaint that most experts of the other parts name, whatever was told of the tree."""
    others = [one for one in all_cases() if fold(one) != fold(case) and one["complaint"] == case["complaint"]]
    sets = [set(experts(one)) for one in others]
    found: list[str] = []
    while len(found) < 2 and sets:
        votes = Counter(cause for one in sets for cause in sorted(one))
        found.append(min(votes, key=lambda cause: (-votes[cause], cause)))
        sets = [one for one in sets if found[-1] not in one]
    return found


def hits(by: Callable[[Case], list[str]], asked: Iterable[Case]) -> dict[str, tuple[int, int]]:
    """Complaint -> questions in which the expert's cause is among the first two, and questions asked."""
    found: dict[str, tuple[int, int]] = {}
    for case in asked:
        hit, many = found.get(case["complaint"], (0, 0))
        found[case["complaint"]] = (hit + bool(set(experts(case)) & set(by(case))), many + 1)
    return found


def share(found: Mapping[str, tuple[int, int]]) -> float:
    """Of all questions together."""
    return math.fsum(hit for hit, _ in found.values()) / math.fsum(many for _, many in found.values())
