"""Bodies made of genes, for each computation: what a caller can turn up, and how far the contract lets it go.

A gene is a name with the values it may take; a body is made of one value of each. The first bodies of an address are
the dear ones found by hand; the search changes them gene by gene.
"""

import itertools
import math
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from domain.tables.loading import load

Genes = Mapping[str, Any]
Body = dict[str, Any]

ADVISED = [one.name for one in load().cultivars if one.status == "advised"]
MONTHS = range(12)
COMPLAINTS = ["no_bloom", "bloom_but_no_fruit", "small_fruit", "spotted", "dieback", "leaves_drop"]

PLACES: dict[str, tuple[float, float]] = {
    "Belgrade": (44.8, 20.5),
    "warm": (-28.4, 28.3),
    "tropics": (10.3, -84.0),
    "cold": (60.5, 24.9),
    "coast": (51.3, 0.5),
    "pole": (-78.0, 106.0),
}
"""Belgrade and the warm place are those of the first findings."""


@dataclass(frozen=True)
class Address:
    """An address, its genes with their values, how a body is made of them, and the dear ones known."""

    path: str
    genes: dict[str, list[Any]]
    body: Callable[[Genes], Body]
    known: tuple[Body, ...] = ()
    """Genes, as far as they differ from the first value of each."""


def first(address: Address, changed: Genes) -> dict[str, Any]:
    """The genes of a known body."""
    return {name: values[0] for name, values in address.genes.items()} | dict(changed)


SITE: dict[str, list[Any]] = {
    "place": [*PLACES],
    "new": [True, False],
    "told": ["pin", "figures", "normals", "daily", "hourly"],
    "observed": [0, 3, 40, 200],
    "warming": [0, 2.5],
    "stripped": [False, True],
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
    if genes["stripped"]:
        made["leaf_stripping"] = ["03-01", "09-01"]
    return made


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
    return [
        {"corners_m": jagged(rng.uniform(0, sides[0]), rng.uniform(0, sides[1]), each, sides[0] / 40), "kind": kind}
        for _ in range(count)
    ]


GROUND: dict[str, list[Any]] = {
    "ground": ["star", "rectangle", "count"],
    "corners": [1900, 1990, 400, 40, 8],
    "size": [12, 6, 20, 40, 120, 400],
    "inner": [0.35, 0.05, 0.8, 0.97],
    "areas": [0, 1, 15, 100],
    "area_corners": [1900, 500, 30],
    "kind": ["other", "house", "wall", "tree"],
}
KINDS = {"other": "other", "house": "house", "wall": "fence", "tree": "existing_tree"}


def ground(genes: Genes) -> Body:
    """A space of a list, or the ground of a layout, but for its trees."""
    size = float(genes["size"])
    if genes["ground"] == "star":
        return {"plot": star(genes["corners"], size, genes["inner"])}
    sides = (size, size * 1.3)
    return {
        "rectangle_m": list(sides),
        "areas_m": areas(genes["areas"], genes["area_corners"], sides, KINDS[genes["kind"]]),
    }


NONE_COUNTS = dict.fromkeys(("crop", "sound_fruit", "quality", "tree_survival", "proven_in_like_climates"), 0)


def weights(genes: Genes, of_list: bool) -> Body:
    """Weights of a list, or of a single tree."""
    more: Body = {
        "as usual": {},
        "none": NONE_COUNTS | {"picking_season": 0, "uses": 0},
        "season": NONE_COUNTS | {"picking_season": 10, "uses": 0},
        "uses": NONE_COUNTS | {"picking_season": 0, "uses": 10},
        "crop": NONE_COUNTS | {"crop": 10, "picking_season": 5, "uses": 5},
    }[genes["weights"]]
    return {name: value for name, value in more.items() if of_list or name not in {"picking_season", "uses"}}


WEIGHTS = {"weights": ["as usual", "none", "season", "uses", "crop"]}


def planting_list(genes: Genes) -> Body:
    """A planting list."""
    room = ground(genes) if genes["ground"] != "count" else {"tree_count": genes["trees"]}
    wanted: Body = {"most_trees": genes["trees"], "no_spray": genes["no_spray"]}
    if genes["uses_wanted"]:
        wanted["uses"] = ["dessert", "cooking", "cider", "drying", "juice"][: genes["uses_wanted"]]
    if genes["must"]:
        wanted["must_include"] = ADVISED[:: len(ADVISED) // 40][: min(genes["must"], genes["trees"])]
    if genes["height"]:
        wanted["keep_height_m"] = genes["height"]
    made: Body = {
        "site": site(genes),
        "space": room | {"stand": genes["stand"]},
        "wanted": wanted,
        "lists": genes["lists"],
        "neighbourhood": genes["neighbourhood"],
        "weights": weights(genes, of_list=True),
    }
    if genes["warmer"]:
        made["warmer_by_c"] = min(genes["warmer"], 5 - genes["warming"])
    if genes["established"]:
        made["established"] = [
            {"cultivar": ADVISED[n * 7 % len(ADVISED)], "count": 500} for n in range(genes["established"])
        ]
    if genes["available"]:
        made["available"] = ADVISED[: genes["available"]]
    return made


def layout(genes: Genes) -> Body:
    """A layout."""
    made = ground(genes) | {"spread_m": genes["spread"], "arrangement": genes["arrangement"]}
    if genes["edge"]:
        made["edge_set_back_m"] = genes["edge"]
    if genes["bearing"] is not None:
        made["row_bearing_deg"] = genes["bearing"]
    if genes["tree_count"]:
        made["tree_count"] = genes["tree_count"]
    if genes["ground"] == "rectangle":
        made["latitude"] = 50
    return made


def suitability(genes: Genes) -> Body:
    """All cultivars at a site."""
    made: Body = {"site": site(genes), "evidence": genes["evidence"], "no_spray": genes["no_spray"]}
    made["weights"] = weights(genes, of_list=False) if genes["weights"] != "none" else {"quality": 3.3}
    if genes["warmer"]:
        made["warmer_by_c"] = min(genes["warmer"], 5 - genes["warming"])
    if genes["names"]:
        made["cultivars"] = [f"{name}x" if genes["odd"] else name for name in ADVISED[: genes["names"]]]
        made["unknown_names"] = "report" if genes["odd"] else "refuse"
    return made


def review(genes: Genes) -> Body:
    """A planting judged."""
    trees = [
        {
            "cultivar": None if genes["nameless"] and n % 2 else ADVISED[n * genes["stride"] % len(ADVISED)],
            "label": f"tree {n}",
            "count": genes["alike"],
            "year_planted": 1990 + n % 30,
            "complaints": COMPLAINTS[: genes["complaints"]],
        }
        for n in range(genes["trees"])
    ]
    return {
        "site": site(genes),
        "trees": trees,
        "as_of": "2026-11-29",
        "room_for_trees": genes["room"],
        "changes_at_most": genes["changes"],
        "neighbourhood": genes["neighbourhood"],
        "wanted": {"uses": ["dessert", "cooking", "cider"]},
    }


def calendar(genes: Genes) -> Body:
    """Calendars of many cultivars and years."""
    made: Body = {"site": site(genes), "cultivars": ADVISED[: genes["names"]], "years": genes["years"]}
    return made | ({"on": "2026-08-15"} if genes["on"] else {})


def pairs(genes: Genes) -> Body:
    """Pairs of many cultivars."""
    made: Body = {"cultivars": ADVISED[:: genes["stride"]][: genes["names"]]}
    return made | ({"site": site(genes)} if genes["at_site"] else {})


def trunk(genes: Genes) -> Body:
    """Several cultivars on one trunk."""
    made: Body = {"cultivars": genes["count"]}
    if genes["available"]:
        made["available"] = ADVISED[:: genes["stride"]][: genes["available"]]
    return made | ({"site": site(genes)} if genes["at_site"] else {})


def stock(genes: Genes) -> Body:
    """A stock for many gardens."""
    made: Body = {
        "sites": [{"id": str(n), "site": site(genes, n), "weight": 1 + n % 7} for n in range(genes["sites"])],
        "kinds_at_most": genes["kinds"],
        "offered_to_each": genes["offered"],
        "weights": weights(genes, of_list=False) if genes["weights"] != "none" else {"quality": 3.3},
    }
    if genes["available"]:
        made["available"] = ADVISED[: genes["available"]]
    return made


def names(genes: Genes) -> Body:
    """The spellings of a stock."""
    made = ["".join(reversed(name)) if genes["odd"] else name for name in (ADVISED * 3)[: genes["names"]]]
    return {"names": [(name * 9)[: genes["length"]] + str(n) for n, name in enumerate(made)]}


ADDRESSES = (
    Address(
        "/v1/planting-lists",
        SITE
        | GROUND
        | WEIGHTS
        | {
            "trees": [12, 5, 1, 40, 400],
            "lists": [5, 3, 1],
            "stand": ["ground", "pots", "fence"],
            "uses_wanted": [0, 2, 5],
            "must": [0, 3, 40],
            "height": [None, 2.0],
            "no_spray": [False, True],
            "warmer": [None, 1, 5],
            "neighbourhood": ["unknown", "isolated", "settled"],
            "established": [0, 1, 60],
            "available": [None, 60, 500],
        },
        planting_list,
        (
            {"ground": "count", "trees": 40},
            {"ground": "count", "trees": 40, "weights": "none"},
            {"ground": "count", "trees": 40, "weights": "season"},
            {"ground": "count", "trees": 400, "weights": "none"},
            {"ground": "count", "place": "warm"},
            {"ground": "rectangle", "size": 20, "areas": 100, "area_corners": 1900},
            {"ground": "rectangle", "size": 20, "areas": 100, "area_corners": 1900, "trees": 40},
            {"established": 60},
            {"ground": "rectangle", "size": 120, "areas": 100, "trees": 40, "warmer": 1, "established": 1},
            {"ground": "star", "corners": 1900, "size": 12},
            {"ground": "star", "corners": 1990, "size": 12, "weights": "none", "warmer": 1},
        ),
    ),
    Address(
        "/v1/plot-layouts",
        {name: values for name, values in GROUND.items() if name != "ground"}
        | {
            "ground": ["star", "rectangle"],
            "spread": [3.0, 0.2, 1.0, 8.0],
            "arrangement": ["rows", "free", "pots"],
            "edge": [0, 1.5],
            "bearing": [None, 17.0],
            "tree_count": [None, 12, 1000],
        },
        layout,
        (
            {"arrangement": "free", "size": 40, "spread": 1.0},
            {"arrangement": "free", "ground": "rectangle", "size": 40, "areas": 100, "spread": 1.0},
        ),
    ),
    Address(
        "/v1/suitabilities",
        SITE
        | WEIGHTS
        | {
            "evidence": [True, False],
            "no_spray": [False, True],
            "warmer": [None, 5],
            "names": [None, 500],
            "odd": [False, True],
        },
        suitability,
        ({"told": "hourly", "observed": 200, "warmer": 5}, {"told": "figures", "warmer": 5}),
    ),
    Address("/v1/site-climates", SITE, lambda genes: {"site": site(genes)}, ({"told": "hourly", "observed": 200},)),
    Address(
        "/v1/season-calendars",
        SITE | {"names": [30, 5], "years": [60, 0], "on": [True, False]},
        calendar,
        ({"told": "hourly", "observed": 40},),
    ),
    Address(
        "/v1/pollination-pairs",
        SITE | {"names": [60, 20], "stride": [1, 7], "at_site": [True, False]},
        pairs,
        ({"told": "figures"},),
    ),
    Address(
        "/v1/multi-cultivar-trees",
        SITE | {"count": [12, 4], "available": [None, 300, 40], "stride": [1, 2], "at_site": [True, False]},
        trunk,
        ({"told": "figures"},),
    ),
    Address(
        "/v1/planting-list-reviews",
        SITE
        | {
            "trees": [300, 60, 12],
            "alike": [1, 500],
            "stride": [1, 7, 0],
            "nameless": [False, True],
            "complaints": [6, 2, 0],
            "room": [100, 0],
            "changes": [20, 5, 0],
            "neighbourhood": ["isolated", "unknown"],
        },
        review,
        ({"told": "figures"}, {"trees": 60}),
    ),
    Address(
        "/v1/stock-orders",
        SITE
        | WEIGHTS
        | {"sites": [40, 10, 2], "kinds": [12, 60, 1], "offered": [3, 6, 1], "available": [None, 60, 500]},
        stock,
        ({"new": False}, {"weights": "crop"}, {"place": "warm", "weights": "none", "kinds": 1}),
    ),
    Address("/v1/cultivar-names", {"names": [2000, 500], "odd": [True, False], "length": [80, 12]}, names),
)
