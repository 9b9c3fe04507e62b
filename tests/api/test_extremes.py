"""Every field at the ends of what the contract lets it be, alone and two at a time: an answer or a refusal, no failure.

The ends are read from the committed contract, so that a new field is turned here by itself: the least and the most of a
number, both answers to a question, every word of a closed set, a list that is empty.
"""

import itertools
import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from litestar.testing import TestClient

from tests.api.requests import changed, example
from tests.api.test_problems import assert_problem

Client = TestClient[Any]
CONTRACT = json.loads((Path(__file__).parents[2] / "openapi" / "openapi.json").read_bytes())
ADDRESSES = ("/v1/site-climates", "/v1/planting-lists", "/v1/plot-layouts", "/v1/planting-list-reviews")
"""Between them every field of a site, of ground and of wishes; reviews have the trees."""
DEEPEST = 4
FAR = 10**9
"""At the end of a number that has none in the contract: what else bounds it is told by a refusal."""
FEW, FEW_PAIRS, MANY_PAIRS = 24, 12, 150
LEAST_FIELDS = 100
"""Extremes that the four addresses have between them, at the least."""


def of_reference(schema: dict[str, Any]) -> dict[str, Any]:
    if "$ref" not in schema:
        return schema
    found: dict[str, Any] = CONTRACT["components"]["schemas"][schema["$ref"].rsplit("/", 1)[1]]
    return found


def extremes(schema: dict[str, Any], path: str = "", depth: int = 0) -> Iterator[tuple[str, Any]]:
    """Pointers of fields with a value at an end of each."""
    schema = of_reference(schema)
    for one in (*schema.get("anyOf", ()), *schema.get("allOf", ())):
        yield from extremes(one, path, depth)
    if "enum" in schema:
        yield from ((path, word) for word in schema["enum"] if word is not None)
    kind = schema.get("type")
    if kind in {"number", "integer"}:
        step = 1 if kind == "integer" else 1e-6
        above, below = schema.get("exclusiveMinimum"), schema.get("exclusiveMaximum")
        least = schema.get("minimum", -FAR if above is None else above + step)
        most = schema.get("maximum", FAR if below is None else below - step)
        yield from ((path, end) for end in (least, most))
    elif kind == "boolean":
        yield from ((path, answer) for answer in (False, True))
    elif kind == "array" and not schema.get("minItems"):
        yield path, []
    elif kind == "object" and depth < DEEPEST:
        for name, field in schema.get("properties", {}).items():
            yield from extremes(field, f"{path}/{name}", depth + 1)


def extremes_of(address: str) -> list[tuple[str, Any]]:
    content = CONTRACT["paths"][address]["post"]["requestBody"]["content"]
    found = list(extremes(content["application/json"]["schema"]))
    return list({json.dumps(one): one for one in found if one[0]}.values())


def check(client: Client, address: str, turned: tuple[tuple[str, Any], ...]) -> int:
    body = example(address)
    for path, value in turned:
        try:
            body = changed(body, path, value)
        except (TypeError, KeyError, AttributeError):
            return 0  # the first took the place of the second
    answer = client.post(address, json=body)
    assert answer.status_code in {200, 400, 422}, (address, turned)
    if answer.status_code != 200:
        assert assert_problem(answer, answer.json()["type"].removeprefix("/problems/"))["errors"], (address, turned)
    return int(answer.status_code == 200)


def test_the_contract_has_ends_for_many_fields() -> None:
    found = {address: extremes_of(address) for address in ADDRESSES}
    assert sum(len({path for path, _ in ends}) for ends in found.values()) >= LEAST_FIELDS
    paths = {path for path, _ in found["/v1/site-climates"]}
    assert {"/site/latitude", "/site/warmest_month_mean_c", "/site/winter_chill/mean", "/site/ground/ph"} <= paths


@pytest.mark.parametrize("address", ADDRESSES)
def test_a_few_fields_at_their_ends(client: Client, address: str) -> None:
    ends, rng = extremes_of(address), random.Random(address)
    alone = [(one,) for one in rng.sample(ends, min(FEW, len(ends)))]
    pairs = rng.sample(list(itertools.combinations(ends, 2)), FEW_PAIRS)
    assert sum(check(client, address, turned) for turned in (*alone, *pairs)) >= 3


@pytest.mark.long
@pytest.mark.parametrize("address", ADDRESSES)
def test_every_field_at_its_ends_and_many_pairs(client: Client, address: str) -> None:
    ends, rng = extremes_of(address), random.Random(f"long {address}")
    pairs = list(itertools.combinations(ends, 2))
    asked = [*((one,) for one in ends), *rng.sample(pairs, min(MANY_PAIRS, len(pairs)))]
    assert sum(check(client, address, turned) for turned in asked) >= len(ends) // 4
