"""What breaks callers between two contracts is found; every break since the last release is meant and has a reason."""

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest

from api.contract import COMMITTED
from api.contract_changes import RELEASED, breaks, known_breaks, without_words

Document = dict[str, Any]


@pytest.fixture(scope="module")
def contract() -> Document:
    found: Document = json.loads(COMMITTED.read_bytes())
    return found


def test_every_break_since_the_release_is_meant(contract: Document) -> None:
    found = breaks(json.loads(RELEASED.read_bytes()), contract)
    known = known_breaks()
    assert set(known) <= set(found), "a break that is told is none any more"
    assert [line for line in found if not known.get(line)] == [], "tell it in openapi/breaks.csv with its reason"


def test_the_same_contract_breaks_nothing(contract: Document) -> None:
    assert breaks(contract, contract) == []
    assert breaks(without_words(contract), contract) == []


def schema(contract: Document, name: str) -> Document:
    found: Document = contract["components"]["schemas"][name]
    return found


def post(contract: Document, path: str) -> Document:
    found: Document = contract["paths"][path]["post"]
    return found


# what is used at several addresses is told at the first of them
CASES: dict[str, tuple[Callable[[Document], object], str]] = {
    "an address": (lambda c: c["paths"].pop("/v1/sources"), "GET /v1/sources: gone"),
    "an operation id": (
        lambda c: post(c, "/v1/suitabilities").update(operationId="judge"),
        "POST /v1/suitabilities: its operationId rankSuitabilities is gone",
    ),
    "a form of a body": (
        lambda c: post(c, "/v1/suitabilities")["requestBody"]["content"].pop("multipart/form-data"),
        "POST /v1/suitabilities asks: multipart/form-data is gone",
    ),
    "a field of an answer": (
        lambda c: schema(c, "Suitability")["properties"].pop("verdict"),
        "POST /v1/suitabilities answers.suitabilities[].verdict: gone",
    ),
    "a field that may be left out": (
        lambda c: schema(c, "Suitability")["required"].remove("verdict"),
        "POST /v1/suitabilities answers.suitabilities[].verdict: may be left out",
    ),
    "null in an answer": (
        lambda c: schema(c, "Suitability")["properties"].update(
            verdict={"anyOf": [{"$ref": "#/components/schemas/SuitabilityVerdict"}, {"type": "null"}]}
        ),
        "POST /v1/suitabilities answers.suitabilities[].verdict: may be null",
    ),
    "another type": (
        lambda c: schema(c, "Suitability")["properties"].update(words={"type": "integer"}),
        "POST /v1/suitabilities answers.suitabilities[].words: string is gone",
    ),
    "a field of a request": (
        lambda c: schema(c, "Site")["properties"].pop("latitude"),
        "asks.site.latitude: gone",
    ),
    "a field that must be given": (
        lambda c: schema(c, "Site").update(required=["latitude"]),
        "asks.site.latitude: must be given",
    ),
    "a word that was taken": (
        lambda c: schema(c, "FruitUse")["enum"].remove("cider"),
        ": the word cider is gone",
    ),
    "a narrower bound": (
        lambda c: schema(c, "SuitabilityRequest")["properties"]["cultivars"]["anyOf"][0].update(maxItems=5),
        "POST /v1/suitabilities asks.cultivars: maxItems 5",
    ),
    "a parameter": (
        lambda c: c["paths"]["/v1/words"]["get"]["parameters"].pop(0),
        "GET /v1/words: parameter cursor is gone",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_each_kind_of_break_is_found(contract: Document, case: str) -> None:
    change, told = CASES[case]
    changed = copy.deepcopy(contract)
    change(changed)
    assert any(line.endswith(told) for line in breaks(contract, changed))


def test_what_only_adds_breaks_nothing(contract: Document) -> None:
    changed = copy.deepcopy(contract)
    schema(changed, "Suitability")["properties"]["more"] = {"type": "string"}
    schema(changed, "SuitabilityVerdict")["enum"].append("perhaps")
    schema(changed, "Site")["properties"]["more"] = {"type": "string"}
    schema(changed, "FruitUse")["enum"].append("vinegar")
    post(changed, "/v1/suitabilities")["responses"]["200"]["content"]["text/html"] = {"schema": {"type": "string"}}
    assert breaks(contract, changed) == []
