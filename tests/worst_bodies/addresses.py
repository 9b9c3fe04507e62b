"""The addresses that compute, each with its genes: what a caller can turn up, and how far the contract lets it go.

The first bodies of an address are the dear ones found by hand; the search changes them gene by gene.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from tests.worst_bodies.bodies import (
    SPELT,
    WEIGHTS,
    WISHES,
    calendar,
    layout,
    names,
    pairs,
    planting_list,
    review,
    stock,
    suitability,
    trunk,
)
from tests.worst_bodies.grounds import GROUND, SITE, Body, Genes, site

JSON, CSV, MAP, PICTURE, CALENDAR = (
    "application/json",
    "text/csv",
    "application/geo+json",
    "image/svg+xml",
    "text/calendar",
)


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
            "stock": [None, 60, 2000],
            "wishes": [*WISHES],
            "easy": [False, True],
            "soil": ["average", "poor"],
            "placed": [False, True],
            "nearby": [False, True],
            "without": [False, True],
            "form": [JSON, CSV, MAP, PICTURE],
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
            {"ground": "star", "corners": 1990, "size": 12, "inner": 0.8, "trees": 40, "warmer": 1},
            {"ground": "star", "corners": 1990, "size": 1, "inner": 0.01},
            {"ground": "combs", "corners": 120, "size": 40, "trees": 40, "warmer": 1},
            {"ground": "net", "size": 120, "areas": 50, "area_corners": 30, "trees": 40, "warmer": 1},
            {"ground": "net", "size": 20, "areas": 50, "area_corners": 30, "kind": "wall", "trees": 40, "warmer": 1},
            {"ground": "net", "size": 40, "areas": 50, "area_corners": 30, "kind": "wall", "trees": 40, "warmer": 1},
            {"ground": "net", "size": 120, "areas": 50, "area_corners": 30, "kind": "wall", "trees": 40, "warmer": 1},
            {"ground": "count", "trees": 40, "wishes": "many"},
            {"ground": "count", "trees": 400, "stock": 2000},
            {"ground": "rectangle", "size": 40, "areas": 100, "trees": 400, "form": PICTURE},
        ),
    ),
    Address(
        "/v1/plot-layouts",
        {name: values for name, values in GROUND.items() if name != "ground"}
        | {
            "ground": ["star", "rectangle", "combs", "net"],
            "spread": [3.0, 0.2, 1.0, 8.0],
            "arrangement": ["rows", "free", "pots", "fence"],
            "apart": [None, 3.0],
            "form": [JSON, MAP, PICTURE],
            "edge": [0, 1.5],
            "bearing": [None, 17.0],
            "steep": [None, 9.0],
            "tree_count": [None, 12, 1000],
        },
        layout,
        (
            {"arrangement": "free", "size": 40, "spread": 1.0},
            {"arrangement": "free", "ground": "rectangle", "size": 40, "areas": 100, "spread": 1.0},
            {"ground": "rectangle", "size": 40, "spread": 0.2, "tree_count": 1000, "form": PICTURE},
            {"ground": "rectangle", "size": 20, "arrangement": "fence", "edge": 0},
            {"inner": 0.05, "spread": 8.0, "tree_count": 12},
            {"inner": 0.8, "size": 120, "spread": 8.0, "tree_count": 12},
            {"inner": 0.01, "size": 1, "spread": 0.2},
            {"ground": "combs", "size": 40, "spread": 1.0, "corners": 120, "tree_count": 12},
            {"ground": "combs", "size": 400, "spread": 8.0, "corners": 120, "arrangement": "free"},
            {"ground": "net", "size": 120, "areas": 50, "area_corners": 30, "spread": 8.0},
            {"ground": "net", "size": 40, "areas": 50, "area_corners": 30, "spread": 1.0, "arrangement": "free"},
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
            "limit": [None, 20],
            "form": [JSON, CSV, PICTURE],
        },
        suitability,
        ({"told": "hourly", "observed": 200, "warmer": 5}, {"told": "figures", "warmer": 5}),
    ),
    Address("/v1/site-climates", SITE, lambda genes: {"site": site(genes)}, ({"told": "hourly", "observed": 200},)),
    Address(
        "/v1/season-calendars",
        SITE
        | {
            "names": [30, 5],
            "years": [60, 0],
            "on": [True, False],
            "trees": [0, 300],
            "form": [JSON, CALENDAR, CSV, PICTURE],
        },
        calendar,
        ({"told": "hourly", "observed": 40}, {"trees": 300}),
    ),
    Address(
        "/v1/pollination-pairs",
        SITE | {"names": [60, 20], "stride": [1, 7], "at_site": [True, False]},
        pairs,
        ({"told": "figures"},),
    ),
    Address(
        "/v1/multi-cultivar-trees",
        SITE
        | {
            "count": [12, 4],
            "available": [None, 300, 40],
            "stride": [1, 2],
            "at_site": [True, False],
            "wishes": [*WISHES],
            "trunk": [False, True],
            "aim": ["several_cultivars", "pollen_for_the_trunk"],
        },
        trunk,
        ({"told": "figures"}, {"trunk": True}, {"trunk": True, "aim": "pollen_for_the_trunk"}, {"wishes": "many"}),
    ),
    Address(
        "/v1/planting-list-reviews",
        SITE
        | {name: values for name, values in GROUND.items() if name not in {"ground", "size", "inner"}}
        | {
            "trees": [300, 60, 12],
            "sized": [False, True],
            "places": [None, "rectangle", "star"],
            "around": [False, True],
            "form": [JSON, CSV],
            "alike": [1, 500],
            "stride": [1, 7, 0],
            "nameless": [False, True],
            "complaints": [6, 2, 0],
            "signs": [8, 0],
            "room": [100, 0],
            "changes": [20, 5, 0],
            "neighbourhood": ["isolated", "unknown"],
        },
        review,
        (
            {"told": "figures"},
            {"trees": 60},
            {"places": "rectangle", "sized": True, "areas": 100},
            {"places": "star", "new": False, "corners": 1900, "around": True},
        ),
    ),
    Address(
        "/v1/stock-orders",
        SITE
        | WEIGHTS
        | {
            "sites": [40, 10, 2],
            "kinds": [12, 60, 1],
            "offered": [3, 6, 1],
            "available": [None, 60, 500],
            "must": [False, True],
        },
        stock,
        ({"new": False}, {"weights": "crop"}, {"place": "warm", "weights": "none", "kinds": 1}),
    ),
    Address("/v1/cultivar-names", {"names": [2000, 500], "spelt": [*SPELT], "length": [80, 12, 40, 115]}, names),
)
