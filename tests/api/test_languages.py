"""Answers in another language: negotiated (RFC 9110, section 12.5.4; RFC 4647, section 3.4, for `de-AT`), and whole.

That no sentence hides in code is proven by saying every one of an answer again in English from its code and values
alone: the bytes are equal.
"""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from litestar.testing import TestClient

from api.languages import in_language, language_of
from domain.tables.words import texts

EXAMPLES = Path(__file__).parents[2] / "examples"
ANSWERS = sorted((EXAMPLES / "answers").glob("*.json"))
ASKED = {
    "/v1/suitabilities": "hollin-lane-suitabilities",
    "/v1/planting-lists": "hollin-lane-planting-lists",
    "/v1/season-calendars": "hollin-lane-season-calendars",
    "/v1/planting-list-reviews": "thornby-allotment-planting-list-reviews",
    "/v1/multi-cultivar-trees": "old-james-grieve-multi-cultivar-trees",
    "/v1/pollination-pairs": "bramley-and-company-pollination-pairs",
    "/v1/site-climates": "hollin-lane-site-climates",
    "/v1/plot-layouts": "hollin-lane-plot-layouts",
    "/v1/stock-orders": "lowmoor-nursery-stock-orders",
}
Client = TestClient[Any]


@pytest.mark.parametrize(
    ("accept", "language"),
    [
        (None, "en"),
        ("", "en"),
        ("de", "de"),
        ("DE-at", "de"),
        ("fr, de;q=0.5", "de"),
        ("en;q=0.4, de;q=0.5", "de"),
        ("en, de", "en"),
        ("*", "en"),
        ("en;q=0, *", "de"),
        ("de;q=0", "en"),
        ("fr", "en"),
        ("den", "en"),
        (";;,=", "en"),
    ],
)
def test_the_language_of_the_greatest_weight_is_taken(accept: str | None, language: str) -> None:
    assert language_of(accept) == language


@pytest.mark.parametrize("path", ANSWERS, ids=lambda path: path.stem)
def test_every_sentence_follows_from_its_code_and_values(path: Path) -> None:
    answered = msgspec.json.encode(msgspec.json.decode(path.read_bytes()))
    assert in_language(answered, "en") == answered


def sentences(node: Any) -> Iterator[tuple[str, str]]:
    """Code and words of every sentence of an answer."""
    if isinstance(node, dict):
        for member in ("words", "why"):
            if isinstance(node.get(member), str) and "code" in node:
                yield node["code"], node[member]
        for each in node.values():
            yield from sentences(each)
    elif isinstance(node, list):
        for each in node:
            yield from sentences(each)


@pytest.mark.parametrize("path", ASKED)
def test_an_answer_in_german_says_in_german_what_the_english_one_says(client: Client, path: str) -> None:
    asked = json.loads((EXAMPLES / "requests" / f"{ASKED[path]}.json").read_bytes())
    english = client.post(path, json=asked)
    german = client.post(path, json=asked, headers={"Accept-Language": "de-CH, en;q=0.3"})
    assert (english.headers["content-language"], german.headers["content-language"]) == ("en", "de")
    for answer in (english, german):
        assert "Accept-Language" in answer.headers["vary"]
    pairs = list(zip(sentences(english.json()), sentences(german.json()), strict=True))
    assert [one[0] for one, _ in pairs] == [other[0] for _, other in pairs]
    assert [code for (code, said), (_, told) in pairs if said == told] == []
    wordless = re.compile(rb'"(words|why|assumed)":("[^"]*"|[^,}]*)')
    assert wordless.sub(b"", english.content) == wordless.sub(b"", german.content)


def test_a_language_that_is_not_had_is_answered_in_english(client: Client) -> None:
    asked = json.loads((EXAMPLES / "requests" / "bramley-and-company-pollination-pairs.json").read_bytes())
    plain = client.post("/v1/pollination-pairs", json=asked)
    told = client.post("/v1/pollination-pairs", json=asked, headers={"Accept-Language": "fr"})
    assert told.headers["content-language"] == "en"
    assert told.content == plain.content


def test_the_words_of_a_language_can_be_fetched(client: Client) -> None:
    one = client.get("/v1/words/chill_enough", params={"language": "de"})
    assert one.json()["text"] == texts("de")["chill_enough"].text != texts()["chill_enough"].text
    refused = client.get("/v1/words", params={"language": "fr"})
    assert refused.status_code == 400
    assert refused.json()["errors"][0]["parameter"] == "language"
