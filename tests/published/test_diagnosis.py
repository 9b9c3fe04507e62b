"""What lies behind a complaint, against published answers of experts to growers' questions (data/diagnoses.csv).

The expert's decisive cause, or one of those named first where none was called decisive, stands among our first two.
The odds were written down by someone who had read these very cases, so they hold what was reached and check nothing
from outside. Ages are those told; site and cultivar as far as told.
"""

from collections import Counter
from typing import Any

import pytest
from litestar.testing import TestClient

from tests.published.cases import Case, cases

LEAST_SHARE = 0.75
AS_OF = "2026-08-01"


def question(case: Case) -> dict[str, Any]:
    """The request that tells what the grower told."""
    tree: dict[str, Any] = {
        "cultivar": case["cultivar"] or None,
        "kind": case["kind"],
        "complaints": [case["complaint"]],
    }
    if case["age_years"]:
        tree["year_planted"] = int(AS_OF[:4]) - int(case["age_years"])
    for told in ("pruning", "feeding"):
        if case[told]:
            tree[told] = case[told]
    if case["sun_hours"]:
        tree["sun_hours"] = float(case["sun_hours"])
    return {
        "site": {"latitude": float(case["latitude"]), "longitude": float(case["longitude"])},
        "trees": [tree],
        "as_of": AS_OF,
        "unknown_names": "report",
        "neighbourhood": "settled" if case["others"] else "unknown",
    }


@pytest.mark.fitted_on
def test_the_experts_cause_is_among_our_first_two(client: TestClient[Any]) -> None:
    found, asked = Counter[str](), Counter[str]()
    for case in cases("diagnoses.csv"):
        if case["can_be_said"] == "no":
            continue
        answer = client.post("/v1/planting-list-reviews", json=question(case))
        assert answer.status_code == 200, answer.text
        first_two = [cause["cause"] for cause in answer.json()["trees"][0]["likely_causes"][:2]]
        asked[case["complaint"]] += 1
        found[case["complaint"]] += bool(set(case["expert"].split(";")) & set(first_two))
    print({complaint: f"{found[complaint]} of {asked[complaint]}" for complaint in asked})
    assert sum(found.values()) >= LEAST_SHARE * sum(asked.values())
    assert all(found[complaint] for complaint, many in asked.items() if many >= 3)
