"""Ground as told over HTTP: every field moves something of an answer, and what no ground can be is refused by name."""

from typing import Any

import pytest
from litestar.testing import TestClient

from tests.api.test_problems import assert_problem

Client = TestClient[Any]
ADDRESS = "/v1/suitabilities"
DRY = {"latitude": 41.6, "longitude": 0.6, "elevation_m": 200}
"""A dry inland plain, where unwatered soil tells."""

MOVED: dict[str, dict[str, Any]] = {
    "sun_hours": {"sun_hours": 5},
    "ph, limy": {"ph": 8.0},
    "ph, sour": {"ph": 4.6},
    "drainage": {"drainage": "poor"},
    "old_orchard": {"old_orchard": True},
    "irrigated": {"irrigated": False},
    "soil_depth_m": {"soil_depth_m": 0.3},
    "slope, sunny": {"slope": {"steepness_deg": 12, "faces_deg": 180}},
    "slope, shady": {"slope": {"steepness_deg": 12, "faces_deg": 0}},
    "wind, sheltered": {"wind": "sheltered"},
    "wind, exposed": {"wind": "exposed"},
    "salt_spray": {"salt_spray": True},
    "lie": {"lie": "frost_pocket"},
}


DAMP = {"latitude": 51.2, "longitude": 0.5}
"""A mild one, where bees often stay at home and shelter tells."""


def judged(client: Client, ground: dict[str, Any], site: dict[str, float] = DRY) -> list[tuple[str, float]]:
    request = {
        "site": {**site, "ground": ground},
        "cultivars": ["Gala", "Fuji", "Golden Delicious", "Bramley's Seedling"],
    }
    answer = client.post(ADDRESS, json=request)
    assert answer.status_code == 200
    return [(one["id"], one["rank_value"]) for one in answer.json()["suitabilities"]]


@pytest.mark.parametrize("field", MOVED)
def test_every_field_of_the_ground_moves_what_is_thought_of_a_cultivar(client: Client, field: str) -> None:
    assert any(judged(client, MOVED[field], site) != judged(client, {"drainage": "good"}, site) for site in (DRY, DAMP))


def test_texture_counts_where_nobody_waters(client: Client) -> None:
    sandy, clayey = (judged(client, {"irrigated": False, "texture": texture}) for texture in ("sandy", "clayey"))
    assert dict(sandy)["golden-delicious"] < dict(clayey)["golden-delicious"]


@pytest.mark.parametrize(
    ("ground", "at", "expected"),
    [
        ({"slope": {"steepness_deg": 80, "faces_deg": 180}}, "slope/steepness_deg", "at most 45"),
        ({"slope": {"steepness_deg": 10}}, "slope/faces_deg", "missing"),
        ({"slope": {"steepness_deg": 10, "faces_deg": 400}}, "slope/faces_deg", "at most 360"),
        ({"wind": "breezy"}, "wind", "sheltered"),
        ({"texture": "mud"}, "texture", "clayey"),
        ({"soil_depth_m": -1}, "soil_depth_m", "at least 0"),
        ({"salt_spray": "yes"}, "salt_spray", "true or false"),
    ],
)
def test_what_no_ground_can_be_is_refused(client: Client, ground: dict[str, Any], at: str, expected: str) -> None:
    answer = client.post(ADDRESS, json={"site": {**DRY, "ground": ground}})
    problem = assert_problem(answer, "invalid-shape")
    (fault,) = problem["errors"]
    assert fault["pointer"] == f"#/site/ground/{at}"
    assert expected in fault["detail"]
