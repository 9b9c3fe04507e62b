"""Every caution that is defined is told in some answer: there where what it warns of may be met."""

from typing import Any, get_args

from litestar.testing import TestClient

from domain.common.cautions import CautionCode
from tests.api.requests import SITES, example

Client = TestClient[Any]

DEFINED = set(get_args(CautionCode))
THINGS = (
    "house", "shrinkable_clay", "fence", "path", "boundary", "buried_line", "power_line", "septic_field"
)  # fmt: skip
LISTS = "/v1/planting-lists"


def told(answer: Any) -> set[str]:
    assert answer.status_code == 200, answer.text
    return {caution["code"] for caution in answer.json()["cautions"]}


def test_every_caution_is_told_somewhere(client: Client) -> None:
    mild, warm = SITES["hollin lane"], SITES["frost-free and almost without chill"]
    areas = [{"corners_m": [[2 + n, 2]], "kind": kind} for n, kind in enumerate(THINGS)]
    asked = [
        (LISTS, {"site": mild | {"ground": {"old_orchard": True}}, "space": {"tree_count": 3}}),
        (LISTS, {"site": warm, "space": {"tree_count": 2, "stand": "pots"}}),
        (LISTS, {"site": mild, "space": {"tree_count": 2, "stand": "fence"}}),
        ("/v1/plot-layouts", {"rectangle_m": [60, 60], "spread_m": 3, "areas_m": areas}),
        ("/v1/suitabilities", {"site": mild, "cultivars": ["Bramley's Seedling", "Discovery"]}),
        ("/v1/season-calendars", {"site": mild, "cultivars": ["Discovery"]}),
        ("/v1/multi-cultivar-trees", example("/v1/multi-cultivar-trees")),
    ]
    found = [told(client.post(address, json=body)) for address, body in asked if "suitab" not in address]
    (judged,) = (
        client.post(address, json=body).json()["suitabilities"] for address, body in asked if "suitab" in address
    )
    found.append({caution["code"] for one in judged for caution in one["cautions"]})
    assert set().union(*found) == DEFINED


def test_allergy_is_told_with_every_list_and_rest_breaking_only_where_winters_are_short(client: Client) -> None:
    for name, short in (("hollin lane", False), ("frost-free and almost without chill", True)):
        codes = told(client.post(LISTS, json={"site": SITES[name], "space": {"tree_count": 2}, "lists": 1}))
        assert "allergy" in codes
        assert ("rest_breaking" in codes) == short, name
