"""The examples are real: asked again they get the answers that are kept, and equal requests get equal bytes."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from litestar.testing import TestClient

from api.application import create_app
from api.resources import OPERATIONS
from examples import demo
from examples.replay import with_extracts
from tests.api.requests import COMPUTATIONS, EXAMPLES, SITES, example

Client = TestClient[Any]

PROJECT = Path(__file__).parents[2]
README = (PROJECT / "README.md").read_text(encoding="utf-8")


def alike(kept: Any, now: Any, place: str = "") -> list[str]:
    """Where two answers differ by more than what another processor's arithmetic may move."""
    if isinstance(kept, dict) and isinstance(now, dict) and kept.keys() == now.keys():
        return [found for key in kept if key != "versions" for found in alike(kept[key], now[key], f"{place}/{key}")]
    if isinstance(kept, list) and isinstance(now, list) and len(kept) == len(now):
        return [found for n, (k, m) in enumerate(zip(kept, now, strict=True)) for found in alike(k, m, f"{place}/{n}")]
    if isinstance(kept, int | float) and isinstance(now, int | float) and type(kept) is not bool:
        return [] if abs(kept - now) <= 1e-3 + 1e-3 * abs(kept) else [f"{place}: {kept} is now {now}"]
    return [] if kept == now else [f"{place}: {kept!r} is now {now!r}"]


ASKED = {one.name: (one, told.body is not None) for told in OPERATIONS.values() for one in told.examples}


@pytest.mark.parametrize("name", sorted(ASKED))
def test_an_example_gets_the_answer_that_is_kept(client: Client, name: str) -> None:
    """Where this fails after a change that is meant: python -m examples.replay, then python -m api.contract."""
    asked, has_body = ASKED[name]
    kept = json.loads((EXAMPLES / "answers" / f"{asked.name}.json").read_bytes())
    if not has_body:
        answer = client.get(asked.address)
    else:
        answer = client.post(
            asked.address, json=json.loads((EXAMPLES / "requests" / f"{asked.name}.json").read_bytes())
        )
    assert answer.status_code == 200
    assert alike(kept, answer.json()) == []


def test_every_example_is_used() -> None:
    named = set(ASKED)
    assert {path.stem for path in (EXAMPLES / "answers").glob("*.json")} == named
    assert {path.stem for path in (EXAMPLES / "requests").glob("*.json")} <= named


@pytest.fixture(scope="module")
def other() -> Iterator[Client]:
    """Another application, which remembers nothing of what the first was asked."""
    another: Any = create_app()
    with TestClient(another, raise_server_exceptions=False) as made:
        yield made


@pytest.mark.parametrize("address", COMPUTATIONS)
def test_equal_requests_get_equal_bytes(client: Client, other: Client, address: str) -> None:
    """From one application twice, and from another one."""
    first = client.post(address, json=example(address)).content
    assert client.post(address, json=example(address)).content == first
    assert other.post(address, json=example(address)).content == first


@pytest.mark.parametrize("name", sorted(SITES))
@pytest.mark.parametrize("address", ["/v1/site-climates", "/v1/suitabilities"])
def test_sites_of_all_kinds_are_answered(client: Client, address: str, name: str) -> None:
    answer = client.post(address, json={"site": SITES[name]})
    assert answer.status_code == 200, answer.text
    if address == "/v1/suitabilities":
        judged = [(one["verdict"], one["rank_value"]) for one in answer.json()["suitabilities"]]
        order = ["plant", "worth_trying", "not_here", "not_known"]
        assert judged == sorted(judged, key=lambda one: (order.index(one[0]), -(one[1] or 0.0)))
        assert all((rank is None) == (verdict == "not_known") for verdict, rank in judged)


@pytest.mark.parametrize("name", sorted(SITES))
def test_one_tree_can_be_had_anywhere(client: Client, name: str) -> None:
    answer = client.post("/v1/planting-lists", json={"site": SITES[name], "space": {"tree_count": 1}, "lists": 1})
    assert answer.status_code == 200, answer.text
    body = answer.json()
    assert body["planting_lists"] or body["limits"]
    assert all(len(planting_list["trees"]) == 1 for planting_list in body["planting_lists"])


def test_nothing_available_is_an_answer(client: Client) -> None:
    body = {**example("/v1/planting-lists"), "available": [], "wanted": {}}
    answer = client.post("/v1/planting-lists", json=body)
    assert answer.status_code == 200, answer.text
    assert answer.json()["limits"]


def test_the_demonstration_prints_a_ranked_list(capsys: pytest.CaptureFixture[str]) -> None:
    demo.main()
    printed = capsys.readouterr().out
    assert "List 1" in printed
    assert "Bramley's Seedling" in printed
    assert printed.count("pollen from") >= 4


def test_readme_opens_with_the_two_commands_that_ci_runs() -> None:
    blocks = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    run = (PROJECT / ".ci" / "run").read_text(encoding="utf-8")
    first = [line.removeprefix(".venv/bin/") for line in blocks[0].splitlines()]
    assert first[-1] == "python -m examples.demo"
    (second,) = (line.removeprefix(".venv/bin/") for line in blocks[1].splitlines())
    assert f"step {first[-1]}\n" in run
    assert run.rstrip().endswith(f"step {second}")


def test_readme_shows_the_first_request_and_its_answer_as_they_are_kept() -> None:
    assert with_extracts(README) == README
    assert README.count('"verdict"') >= 3


@pytest.mark.parametrize("name", re.findall(r"@(examples/\S+\.json)", README))
def test_requests_of_the_readme_exist(name: str) -> None:
    assert (PROJECT / name).exists()
