"""Sites and grounds made of genes, for the bodies of every address."""

import functools
import itertools
import math
import random
from collections.abc import Mapping
from typing import Any

from domain.tables.loading import load

Genes = Mapping[str, Any]
Body = dict[str, Any]

ADVISED = [one.name for one in load().cultivars if one.status == "advised"]
MONTHS = range(12)

PLACES: dict[str, tuple[float, float]] = {
    "Belgrade": (44.8, 20.5),
    "warm": (-28.4, 28.3),
    "tropics": (10.3, -84.0),
    "cold": (60.5, 24.9),
    "coast": (51.3, 0.5),
    "pole": (-78.0, 106.0),
}
"""Belgrade and the warm place are those of the first findings."""


SITE: dict[str, list[Any]] = {
    "place": [*PLACES],
    "new": [True, False],
    "told": ["pin", "figures", "normals", "daily", "hourly"],
    "observed": [0, 3, 40, 200],
    "warming": [0, 2.5],
    "stripped": [False, True],
    "soil_told": [False, True],
}


_NEW_SITES = itertools.count(1)
"""Of the sites that are asked as new ones."""


def site(genes: Genes, number: int = 0) -> Body:
    """A site; a new one lies a little beside the last."""
    latitude, longitude = PLACES[genes["place"]]
    made: Body = {"latitude": latitude, "longitude": longitude, "warming_c": genes["warming"]}
    if genes["new"]:
        made["longitude"] = round(longitude + (next(_NEW_SITES) % 4000) * 0.0013, 5)
    if number:
        made["latitude"] = latitude + number * 0.11
    if genes["told"] == "figures":
        made |= {
            "winter_chill": {"measure": "hours_below_7_2c", "mean": 1150},
            "last_spring_frost": {"median": "04-20", "later_one_year_in_ten": "05-04"},
            "first_autumn_frost": {"median": "10-20", "earlier_one_year_in_ten": "10-06"},
            "rain_days_in_growing_season": 62,
            "elevation_m": 120,
            "winter_minimum": {"hardiness_zone": "7a"},
            "coldest_month_mean_c": 1.5,
            "warmest_month_mean_c": 25.5,
            "bloom_here": "04-24",
        }
    elif genes["told"] == "normals":
        low = [round(3 - 11 * math.cos(2 * math.pi * (month - 0.5) / 12), 1) for month in MONTHS]
        made["monthly_normals"] = {"tmin_c": low, "tmax_c": [one + 9 for one in low]}
    elif genes["told"] in {"daily", "hourly"}:
        made |= _records(genes["told"])
    if genes["observed"]:
        made["observed_dates"] = [
            {
                "cultivar": ADVISED[n * 3 % len(ADVISED)],
                "event": "full_bloom" if n % 2 else "first_ripe",
                "date": f"{2000 + n % 24}-{'04-25' if n % 2 else '09-10'}",
            }
            for n in range(genes["observed"])
        ]
        made["as_of"] = "2026-11-29"
    if genes["soil_told"]:
        made["ground"] = {
            "drainage": "poor", "ph": 7.9, "sun_hours": 4,
            "old_orchard": True, "irrigated": False, "lie": "frost_pocket",
        }  # fmt: skip
    if genes["stripped"]:
        made["leaf_stripping"] = ["03-01", "09-01"]
    return made


@functools.cache
def _records(kind: str) -> Body:
    rng = random.Random(3)
    days = 365 * 60
    mean, spell = [], 0.0
    for day in range(days):
        spell = 0.7 * spell + rng.gauss(0, 2)
        mean.append(10 - 11 * math.cos(2 * math.pi * day / 365.25) + spell)
    if kind == "daily":
        return {
            "daily_records": {
                "first_day": "1965-01-01",
                "tmin_c": [round(one - 5, 1) for one in mean],
                "tmax_c": [round(one + 5, 1) for one in mean],
            }
        }
    hours = [round(one - 4 * math.cos(2 * math.pi * hour / 24), 1) for one in mean for hour in range(24)]
    return {"hourly_records": {"first_day": "1965-01-01", "temperature_c": hours}}


def star(corners: int, radius_m: float, inner: float = 0.35) -> Body:
    """A drawn star: every other corner at a part of the radius."""
    latitude, longitude = PLACES["Belgrade"]
    ring = []
    for n in range(corners):
        reach = radius_m * (1 if n % 2 else inner)
        angle = 2 * math.pi * n / corners
        east = reach * math.cos(angle) / (111_320 * math.cos(math.radians(latitude)))
        ring.append([longitude + east, latitude + reach * math.sin(angle) / 110_570])
    return {"type": "Polygon", "coordinates": [[*ring, ring[0]]]}


def combs(corners: int, half_m: float) -> Body:
    """Two drawn combs over each other, square to each other, of so many corners together."""
    latitude, longitude = PLACES["Belgrade"]
    teeth = max(corners // 8 - 1, 2)
    step = 2 * half_m / teeth
    places = [
        (-half_m + step * (n + 0.5 * side), half_m * (1 if top else -0.9))
        for n in range(teeth)
        for side, top in ((0, 0), (0, 1), (1, 1), (1, 0))
    ]
    outline = [(-half_m, -half_m), *places[1:], (half_m, -half_m)]
    rings = []
    for turned in (False, True):
        ring = [
            [
                longitude + (y if turned else x) / (111_320 * math.cos(math.radians(latitude))),
                latitude + (x if turned else y) / 110_570,
            ]
            for x, y in outline
        ]
        rings.append([[*ring, ring[0]]])
    return {"type": "MultiPolygon", "coordinates": rings}


def net(count: int, corners_in_all: int, sides: tuple[float, float], kind: str) -> list[Body]:
    """So many lines to and fro across a rectangle, half of them along it."""
    if not count:
        return []
    rng = random.Random(9)
    folds = max(min(corners_in_all // count, 6) - 1, 1)
    found: list[Body] = []
    for number in range(count):
        at = [rng.uniform(0, 1) for _ in range(folds + 1 if number % 8 < 2 else 2)]
        ends = [(here, float(n % 2)) for n, here in enumerate(at)]
        corners = [(y, x) if number % 2 else (x, y) for x, y in ends]
        places = [[round(x * sides[0], 3), round(y * sides[1], 3)] for x, y in corners]
        told: Body = {"corners_m": places, "kind": "path" if kind == "existing_tree" else kind, "line": True}
        found.append(told | ({"set_back_m": 0.3} if kind == "other" else {}))
    return found


def jagged(east: float, north: float, corners: int, reach: float) -> list[list[float]]:
    """A jagged thing about a point of a rectangle, m."""
    found = []
    for n in range(corners):
        angle, out = 2 * math.pi * n / corners, reach * (1 if n % 2 else 0.5)
        found.append([round(east + out * math.cos(angle), 3), round(north + out * math.sin(angle), 3)])
    return found


def areas(count: int, corners_in_all: int, sides: tuple[float, float], kind: str) -> list[Body]:
    """So many jagged things in a rectangle, of so many corners together."""
    if not count:
        return []
    rng = random.Random(7)
    each = max(3, min(500, corners_in_all // count))
    sized = {"height_m": 5, "spread_m": 4} if kind == "existing_tree" else {"height_m": 5, "set_back_m": 0.5}
    return [
        {
            "corners_m": jagged(rng.uniform(0, sides[0]), rng.uniform(0, sides[1]), each, sides[0] / 40),
            "kind": kind,
            "line": kind == "fence",
            **(sized if kind != "other" else {}),
        }
        for _ in range(count)
    ]


def lines_about(count: int, radius_m: float) -> list[Body]:
    """So many drawn lines across a star."""
    latitude, longitude = PLACES["Belgrade"]
    reach = radius_m / 90_000
    rng = random.Random(11)
    return [
        {
            "type": "Feature",
            "geometry": {
                "type": "LineString",
                "coordinates": [
                    [longitude + rng.uniform(-reach, reach), latitude + rng.uniform(-reach, reach)] for _ in range(3)
                ],
            },
            "properties": {"kind": "path"},
        }
        for _ in range(count)
    ]


GROUND: dict[str, list[Any]] = {
    "ground": ["star", "rectangle", "count", "combs", "net"],
    "corners": [1900, 1990, 400, 120, 40, 8],
    "size": [12, 1, 6, 20, 40, 120, 400],
    "inner": [0.35, 0.01, 0.05, 0.8, 0.97],
    "areas": [0, 1, 15, 100, 50],
    "area_corners": [1900, 500, 30],
    "kind": ["other", "house", "wall", "tree"],
    "lines": [0, 1, 3],
    "turned": [0, 33],
}
DRAWN = ("star", "combs")
"""Grounds that are drawn in degrees."""
KINDS = {"other": "other", "house": "house", "wall": "fence", "tree": "existing_tree"}


def ground(genes: Genes) -> Body:
    """A space of a list, or the ground of a layout, but for its trees."""
    size = float(genes["size"])
    if genes["ground"] == "star":
        drawn: Body = {"plot": star(genes["corners"], size, genes["inner"])}
        return drawn | ({"no_planting_areas": lines_about(genes["lines"], size)} if genes["lines"] else {})
    if genes["ground"] == "combs":
        return {"plot": combs(genes["corners"], size)}
    sides = (size, size * 1.3)
    things = net if genes["ground"] == "net" else areas
    return {
        "rectangle_m": list(sides),
        "bearing_deg": genes["turned"],
        "areas_m": things(genes["areas"], genes["area_corners"], sides, KINDS[genes["kind"]]),
    }
