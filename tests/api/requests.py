"""The example requests, and requests with one thing changed."""

import copy
import json
from pathlib import Path
from typing import Any

EXAMPLES = Path(__file__).parents[2] / "examples"

EXAMPLE_OF = {
    "/v1/site-climates": "hollin-lane-site-climates",
    "/v1/suitabilities": "hollin-lane-suitabilities",
    "/v1/pollination-pairs": "bramley-and-company-pollination-pairs",
    "/v1/planting-lists": "hollin-lane-planting-lists",
    "/v1/season-calendars": "hollin-lane-season-calendars",
    "/v1/plot-layouts": "hollin-lane-plot-layouts",
    "/v1/multi-cultivar-trees": "old-james-grieve-multi-cultivar-trees",
    "/v1/planting-list-reviews": "thornby-allotment-planting-list-reviews",
    "/v1/stock-orders": "lowmoor-nursery-stock-orders",
    "/v1/cultivar-names": "orchard-club-cultivar-names",
}
WITH_SITE = (
    "/v1/site-climates",
    "/v1/suitabilities",
    "/v1/planting-lists",
    "/v1/season-calendars",
    "/v1/planting-list-reviews",
)
COMPUTATIONS = tuple(EXAMPLE_OF)


def example(address: str) -> dict[str, Any]:
    """The example request of a computation."""
    found: dict[str, Any] = json.loads((EXAMPLES / "requests" / f"{EXAMPLE_OF[address]}.json").read_bytes())
    return found


def changed(body: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    """A copy of a body with one value set; `path` is a JSON pointer without its #, its objects made if missing."""
    made = copy.deepcopy(body)
    *parents, last = path.strip("/").split("/")
    part: Any = made
    for name in parents:
        part = part[int(name)] if isinstance(part, list) else part.setdefault(name, {})
    part[int(last) if isinstance(part, list) else last] = value
    return made


SQUARE = [[-2.05, 53.75], [-2.0497, 53.75], [-2.0497, 53.7502], [-2.05, 53.7502], [-2.05, 53.75]]
"""The closed ring of a small plot."""


def drawn(*rings: list[list[float]], **members: Any) -> dict[str, Any]:
    """A polygon of GeoJSON with these rings."""
    return {"type": "Polygon", "coordinates": list(rings)} | members


def pointers(problem: dict[str, Any]) -> list[str]:
    """Where each fault of a refusal lies in the body."""
    return [fault["pointer"] for fault in problem["errors"]]


SITES: dict[str, dict[str, Any]] = {
    "hollin lane": example("/v1/planting-lists")["site"],
    "subtropics": {
        "latitude": 29.6,
        "longitude": -82.3,
        "winter_chill": {"measure": "hours_below_7_2c", "mean": 300},
        "last_spring_frost": {"median": "03-05"},
    },
    "frost-free and almost without chill": {
        "latitude": 21.3,
        "longitude": -157.9,
        "winter_chill": {"measure": "chill_portions", "mean": 0},
        "last_spring_frost": {"frost_free": True},
        "first_autumn_frost": {"frost_free": True},
    },
    "prairie": {"latitude": 52.1, "longitude": -106.7, "winter_minimum": {"hardiness_zone": "3a"}},
    "hot dry valley": {"latitude": 38.0, "longitude": 23.7, "warmest_month_mean_c": 28.9, "coldest_month_mean_c": 9.5},
    "southern hill": {
        "latitude": -37.8,
        "longitude": 145.4,
        "elevation_m": 400,
        "last_spring_frost": {"median": "10-10"},
        "first_autumn_frost": {"median": "05-05"},
    },
    "no place": {"winter_chill": {"measure": "hours_0_to_7_2c", "mean": 1100}, "bloom_here": "04-24"},
    "figures that disagree": {
        "latitude": 50.1,
        "longitude": 8.7,
        "winter_minimum": {"hardiness_zone": "11a"},
        "coldest_month_mean_c": -9,
        "winter_chill": {"measure": "utah_units", "mean": 200},
    },
}
"""Sites of all kinds that must be answered; dates wrap the year in the south."""


DRAWN = {name: example("/v1/plot-layouts")[name] for name in ("plot", "no_planting_areas")}
GROUNDS: dict[str, list[dict[str, Any]]] = {
    "/v1/plot-layouts": [
        DRAWN | {"arrangement": "rows"},
        DRAWN | {"arrangement": "free"},
        {"rectangle_m": [9, 12], "arrangement": "pots"},
        {"rectangle_m": [6, 9], "fence_m": [[0, 0], [6, 0]], "arrangement": "fence"},
    ],
    "/v1/planting-lists": [
        {"space": {"tree_count": 5}},
        {"space": {"tree_count": 1, "stand": "pots"}},
        {"space": {"rectangle_m": [6, 9], "bearing_deg": 30}},
        {"space": DRAWN, "established": [{"cultivar": "James Grieve", "at": [-2.0498181, 53.7500449]}]},
    ],
}
"""Ground that must be answered: members of the bodies of an address."""

TOLD_OF_GROUND = (
    "plot", "no_planting_areas", "rectangle_m", "areas_m", "fence", "fence_m", "arrangement", "spacing_in_row_m",
    "row_spacing_m", "space", "established",
)  # fmt: skip
"""Members of a body that tell of its ground, or hang on it."""
