"""Asking what holds in a warmer climate too: bounds, and what the answer tells of it."""

from typing import Any

import pytest
from litestar.testing import TestClient

from api import advisor
from domain.site_climate.site import Site
from domain.site_climate.site_years import FoundClimate, found_climate
from tests.api.requests import changed, example, pointers
from tests.api.test_problems import assert_problem

Client = TestClient[Any]


@pytest.mark.parametrize("address", ["/v1/suitabilities", "/v1/planting-lists"])
@pytest.mark.parametrize(
    ("site_c", "by_c", "slug", "expected"),
    [
        (0, 0, "invalid-shape", "more than 0"),
        (0, 6, "invalid-shape", "at most 5"),
        (3, 3, "invalid-content", "expected at most 5"),
        (0, "2", "invalid-shape", "a number"),
    ],
)
def test_a_climate_can_be_asked_for_only_so_much_warmer(
    *, client: Client, address: str, site_c: float, by_c: Any, slug: str, expected: str
) -> None:
    asked = changed(changed(example(address), "/warmer_by_c", by_c), "/site/warming_c", site_c)
    body = assert_problem(client.post(address, json=asked), slug)
    assert pointers(body) == ["#/warmer_by_c"]
    assert any(expected in fault["detail"] for fault in body["errors"]), body


def test_now_and_warmer_share_one_climate(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a place makes of its climate does not turn on warmth, however the site as it is was told."""
    found: list[Site] = []

    def counted(site: Site) -> FoundClimate:
        found.append(site)
        return found_climate(site)

    monkeypatch.setattr(advisor, "found_climate", counted)
    new: dict[str, Any] = {"latitude": 44.4567, "longitude": -76.1234, "elevation_m": 90}
    asked = {"site": new, "cultivars": ["Gala"]}
    assert client.post("/v1/suitabilities", json=asked | {"warmer_by_c": 2}).status_code == 200
    for warming_c in (0, 0.0, 1.5):
        assert (
            client.post("/v1/suitabilities", json=asked | {"site": new | {"warming_c": warming_c}}).status_code == 200
        )
    assert len(found) == 1


def test_the_warmer_judgement_stands_beside_todays(client: Client) -> None:
    asked = changed(example("/v1/suitabilities"), "/warmer_by_c", 2)
    answer = client.post("/v1/suitabilities", json=asked).json()
    plain = client.post("/v1/suitabilities", json=example("/v1/suitabilities")).json()
    assert answer["assumptions"][0]["field"] == "warmer_by_c"
    by_id = {one["id"]: one for one in plain["suitabilities"]}
    for one in answer["suitabilities"]:
        assert one["if_warmer"]["warmer_by_c"] == 2
        assert one["rank_value"] <= by_id[one["id"]]["rank_value"]
        assert by_id[one["id"]]["if_warmer"] is None
