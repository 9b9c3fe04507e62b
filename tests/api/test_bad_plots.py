"""Plots, trunks and ground that cannot be laid out are refused with the field named, or answered as holding nothing."""

from typing import Any

import pytest
from litestar.testing import TestClient

from tests.api.requests import SQUARE, changed, drawn, example, pointers
from tests.api.test_problems import assert_problem

Client = TestClient[Any]

LISTS = "/v1/planting-lists"
LAYOUTS = "/v1/plot-layouts"
TRUNKS = "/v1/multi-cultivar-trees"

BOWTIE = [[-2.05, 53.75], [-2.0497, 53.7502], [-2.0497, 53.75], [-2.05, 53.7502], [-2.05, 53.75]]


@pytest.mark.parametrize(
    ("path", "value", "slug", "pointer", "expected"),
    [
        ("/plot", drawn(BOWTIE), "invalid-content", "#/plot/coordinates/0", "crosses"),
        ("/plot", drawn([*SQUARE[:-1], [-2.06, 53.75]]), "invalid-content", "#/plot/coordinates/0/4", "closed ring"),
        ("/plot", drawn(SQUARE[:3]), "invalid-shape", "#/plot/coordinates/0", "at least 4"),
        (
            "/plot",
            drawn([[y, x] for x, y in SQUARE]),
            "invalid-content",
            "#/plot/coordinates",
            "longitude, then latitude",
        ),
        (
            "/plot",
            drawn([[53.75, 120.1], [53.76, 120.1], [53.76, 120.2], [53.75, 120.1]]),
            "invalid-content",
            "#/plot/coordinates/0/0",
            "Latitude seems to come first",
        ),
        (
            "/plot",
            drawn([[-2.0, 53.0], [-1.4, 53.0], [-1.4, 53.4], [-2.0, 53.4], [-2.0, 53.0]]),
            "invalid-content",
            "#/plot",
            "km across",
        ),
        ("/plot", drawn(SQUARE[:1] * 5), "invalid-content", "#/plot", "has an area"),
        ("/plot", drawn([[-2.05, 53.75]] * 2001), "invalid-shape", "#/plot/coordinates/0", "2000"),
        ("/plot", drawn(SQUARE, crs={"type": "name"}), "invalid-content", "#/plot/crs", "WGS 84"),
        ("/plot", drawn(SQUARE, colour="red"), "invalid-shape", "#/plot/colour", "No such field"),
        ("/plot", {"type": "Circle", "coordinates": [0, 0]}, "invalid-shape", "#/plot/type", "Polygon"),
        ("/plot", None, "invalid-content", "#", "exactly one"),
        ("/rectangle_m", [9, 12], "invalid-content", "#", "exactly one"),
        ("/spread_m", 0, "invalid-shape", "#/spread_m", "at least 0.2"),
        ("/spread_m", "3", "invalid-shape", "#/spread_m", "a number"),
        ("/height_m", -1, "invalid-shape", "#/height_m", "more than 0"),
        ("/tree_count", 100_000, "invalid-shape", "#/tree_count", "at most 1000"),
        ("/arrangement", "spiral", "invalid-shape", "#/arrangement", "rows"),
        ("/arrangement", "fence", "invalid-content", "#/arrangement", "fence line"),
        ("/spacing_in_row_m", 1.0, "invalid-content", "#/spacing_in_row_m", "at least spread_m"),
        (
            "/no_planting_areas/0/properties/set_back_m",
            -1,
            "invalid-shape",
            "#/no_planting_areas/0/properties/set_back_m",
            "at least 0",
        ),
        (
            "/no_planting_areas/0/properties/kind",
            "volcano",
            "invalid-shape",
            "#/no_planting_areas/0/properties/kind",
            "septic_field",
        ),
        ("/no_planting_areas/0/geometry/coordinates/0", BOWTIE, "invalid-content", "#/no_planting_areas/0", "crosses"),
        (
            "/no_planting_areas/2/geometry/coordinates",
            [53.75, -2.05],
            "invalid-content",
            "#/no_planting_areas/2",
            "20 km",
        ),
    ],
)
def test_bad_plots(*, client: Client, path: str, value: Any, slug: str, pointer: str, expected: str) -> None:
    body = assert_problem(client.post(LAYOUTS, json=changed(example(LAYOUTS), path, value)), slug)
    assert any(found.startswith(pointer) for found in pointers(body)), body
    assert any(expected in fault["detail"] for fault in body["errors"]), body


@pytest.mark.parametrize(
    ("space", "pointer", "expected"),
    [
        ({"plot": drawn(BOWTIE)}, "#/space/plot/coordinates/0", "crosses"),
        ({"plot": drawn([[y, x] for x, y in SQUARE])}, "#/space/plot", "longitude, then latitude"),
        ({"plot": drawn(SQUARE), "areas_m": [{"corners_m": [[0, 0]]}]}, "#/space/areas_m", "rectangle_m"),
        ({"rectangle_m": [6, 9], "no_planting_areas": [drawn(SQUARE)]}, "#/space/no_planting_areas", "areas_m"),
        ({"rectangle_m": [6, 9], "stand": "fence"}, "#/space/stand", "tree_count"),
        (
            {"plot": drawn(SQUARE), "no_planting_areas": [drawn(BOWTIE)]},
            "#/space/no_planting_areas/0/coordinates/0",
            "crosses",
        ),
        (
            {"rectangle_m": [6, 9], "areas_m": [{"corners_m": [[0, 0], [2, 2], [2, 0], [0, 2]]}]},
            "#/space/areas_m/0",
            "crosses",
        ),
    ],
)
def test_bad_ground_of_a_list(*, client: Client, space: dict[str, Any], pointer: str, expected: str) -> None:
    body = assert_problem(client.post(LISTS, json=changed(example(LISTS), "/space", space)), "invalid-content")
    assert any(found.startswith(pointer) for found in pointers(body)), body
    assert any(expected in fault["detail"] for fault in body["errors"]), body


def test_a_plot_far_from_its_site_is_told(client: Client) -> None:
    body = changed(example(LISTS), "/space", {"plot": drawn(SQUARE)})
    codes = [warning["code"] for warning in client.post(LISTS, json=body).json()["warnings"]]
    assert "plot_far_from_site" not in codes
    far = client.post(LISTS, json=changed(body, "/site/latitude", 57.0)).json()
    assert any("km from the site" in warning["words"] for warning in far["warnings"])


def test_a_mistyped_rootstock_comes_with_the_nearest(client: Client) -> None:
    body = assert_problem(
        client.post(LISTS, json=changed(example(LISTS), "/available", ["Discovery", "MM.160"])), "invalid-content"
    )
    assert body["errors"][0]["pointer"] == "#/available/1"
    assert "MM.106" in body["errors"][0]["nearest"]


def test_ground_that_holds_no_tree_is_an_answer_that_says_so(client: Client) -> None:
    body = changed(example(LISTS), "/space", {"plot": drawn(SQUARE), "no_planting_areas": [drawn(SQUARE)]})
    told = client.post(LISTS, json=body).json()
    assert told["planting_lists"] == []
    assert told["limits"][0]["limit"] == "space"


def test_a_spread_larger_than_the_plot_is_an_honest_empty_layout(client: Client) -> None:
    told = client.post(LAYOUTS, json={"rectangle_m": [3, 4], "spread_m": 6}).json()
    assert (told["count"], told["trees"]) == (0, [])
    assert "No tree fits" in told["limits"][0]["words"]


def test_areas_that_cover_all_leave_an_honest_empty_layout(client: Client) -> None:
    body = example(LAYOUTS)
    told = client.post(LAYOUTS, json={**body, "no_planting_areas": [body["plot"]]}).json()
    assert (told["count"], told["features"]) == (0, [])
    assert "cover the whole plot" in told["limits"][0]["words"]


def test_more_trees_than_one_layout_holds_are_refused_with_the_bound(client: Client) -> None:
    body = assert_problem(client.post(LAYOUTS, json={"rectangle_m": [2000, 2000], "spread_m": 2}), "invalid-content")
    assert pointers(body) == ["#/rectangle_m"]
    assert "at most 1500" in body["errors"][0]["detail"]


@pytest.mark.parametrize(
    ("path", "value", "slug", "pointer", "expected"),
    [
        ("/trunk/cultivar", "James Greive", "invalid-content", "#/trunk/cultivar", "No cultivar"),
        ("/trunk/rootstock", "MM.160", "invalid-content", "#/trunk/rootstock", "No rootstock"),
        ("/trunk/age_years", -3, "invalid-shape", "#/trunk/age_years", "at least 0"),
        ("/cultivars", 1, "invalid-content", "#/cultivars", "raise cultivars"),
        ("/cultivars", 13, "invalid-shape", "#/cultivars", "at most 12"),
        ("/must_include", ["James Grieve"], "invalid-content", "#/must_include/0", "named twice"),
        ("/available", [], "invalid-shape", "#/available", "at least 1"),
        ("/aim", "beauty", "invalid-shape", "#/aim", "pollen_for_the_trunk"),
        ("/site/latitude", 120, "invalid-shape", "#/site/latitude", "at most 90"),
        ("/site", None, "invalid-content", "#/available", "or a site"),
    ],
)
def test_bad_trunks(*, client: Client, path: str, value: Any, slug: str, pointer: str, expected: str) -> None:
    body = assert_problem(client.post(TRUNKS, json=changed(example(TRUNKS), path, value)), slug)
    assert pointer in pointers(body)
    assert any(expected in fault["detail"] for fault in body["errors"]), body


def test_a_lone_tree_without_its_name_asks_for_it(client: Client) -> None:
    body = {"aim": "pollen_for_the_trunk", "available": ["Fuji"]}
    assert pointers(assert_problem(client.post(TRUNKS, json=body), "invalid-content")) == ["#/trunk/cultivar"]


def test_columnar_scions_alone_are_refused(client: Client) -> None:
    columnar = client.get("/v1/cultivars?growth_form=columnar&page_limit=2").json()["items"]
    body = {"available": [one["name"] for one in columnar]}
    assert pointers(assert_problem(client.post(TRUNKS, json=body), "invalid-content")) == ["#/available"]
