"""Bodies made of genes, for each computation: what a caller can turn up, and how far the contract lets it go.

A gene is a name with the values it may take; a body is made of one value of each. The first bodies of an address are
the dear ones found by hand; the search changes them gene by gene.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from domain.fruit.signs import SIGNS
from tests.worst_bodies.grounds import ADVISED, DRAWN, GROUND, PLACES, SITE, Body, Genes, ground, site

JSON, CSV, MAP, PICTURE, CALENDAR = (
    "application/json",
    "text/csv",
    "application/geo+json",
    "image/svg+xml",
    "text/calendar",
)
COMPLAINTS = ["no_bloom", "bloom_but_no_fruit", "small_fruit", "spotted", "dieback", "leaves_drop"]


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


RARE: Body = {"red_flesh": True, "told_near_by": ["recommended", "traditional"], "raised_before": 1900}
WISHES: dict[str, Body] = {
    "none": {},
    "many": {
        "uses": ["dessert", "cooking", "cider", "drying", "juice"],
        "flavours": ["sweet", "balanced", "sharp"],
        "aromas": ["honey"],
        "skins": ["red", "yellow"],
        "keeps_weeks": 8,
        "raised_since": 1800,
        "origins": ["United Kingdom", "France", "United States"],
        "first_ripe": "08-01",
        "last_ripe": "10-31",
    },
    "rare": RARE,
}
NEARBY = [{"cultivar": None, "kind": "crab_apple", "distance_m": 5.0 * n} for n in range(60)]


def planting_list(genes: Genes) -> Body:
    """A planting list."""
    room = ground(genes) if genes["ground"] != "count" else {"tree_count": genes["trees"]}
    wanted: Body = {"most_trees": genes["trees"], "no_spray": genes["no_spray"]} | WISHES[genes["wishes"]]
    wanted |= (
        {"no_pruning": True, "no_ladder": True, "forms": ["bush", "espalier"], "persons": 4} if genes["easy"] else {}
    )
    if genes["uses_wanted"]:
        wanted["uses"] = ["dessert", "cooking", "cider", "drying", "juice"][: genes["uses_wanted"]]
    if genes["must"]:
        wanted["must_include"] = ADVISED[:: len(ADVISED) // 40][: min(genes["must"], genes["trees"])]
    if genes["height"]:
        wanted["keep_height_m"] = genes["height"]
    made: Body = {
        "site": site(genes),
        "space": room | {"stand": genes["stand"], "soil": genes["soil"]},
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
    if genes["placed"] and genes["ground"] != "count":
        made["established"] = [*made.get("established", [])[1:], _placed(genes)]
        made["site"] = made["site"] | TODAY
    if genes["without"]:
        made["without"] = ["pollination_partners", "training"]
    if genes["nearby"]:
        made |= {"nearby_pollen": NEARBY, "excluded": ADVISED[1::3]}
    if genes["available"]:
        made["available"] = ADVISED[: genes["available"]]
    if genes["stock"]:
        made.pop("available", None)
        sold = [(name, rootstock) for rootstock in ("M.9", "M.26", "MM.106") for name in ADVISED]
        made["stock"] = [
            {"cultivar": name, "rootstock": rootstock, "tree_form": "bush", "count": 3}
            for name, rootstock in sold[: genes["stock"]]
        ]
    return made


TODAY: Body = {"as_of": "2026-11-29"}
STANDING: Body = {
    "kind": "apple",
    "label": "old one",
    "height_m": 5,
    "spread_m": 4,
    "year_planted": 2000,
    "rootstock": "MM.106",
    "tree_form": "bush",
}
"""What may be told of a tree that stands, beside its cultivar and its place."""


def _placed(genes: Genes) -> Body:
    """A tree that stands amid the ground."""
    latitude, longitude = PLACES["Belgrade"]
    half = float(genes["size"]) / 2
    at: Body = {"at": [longitude, latitude]} if genes["ground"] in DRAWN else {"at_m": [half, half]}
    return STANDING | {"cultivar": None, **at}


def _anywhere(number: int) -> Body:
    """Both ways of telling a place, where no ground is told."""
    latitude, longitude = PLACES["Belgrade"]
    return {"at": [longitude, latitude], "at_m": [number, 0]}


def layout(genes: Genes) -> Body:
    """A layout."""
    made = ground(genes) | {"spread_m": genes["spread"], "arrangement": genes["arrangement"]}
    if genes["edge"]:
        made["edge_set_back_m"] = genes["edge"]
    if genes["bearing"] is not None:
        made["row_bearing_deg"] = genes["bearing"]
    if genes["steep"]:
        made["slope"] = {"steepness_deg": genes["steep"], "faces_deg": 200.0}
    if genes["tree_count"]:
        made["tree_count"] = genes["tree_count"]
    if genes["ground"] not in DRAWN:
        made["latitude"] = 50
    if genes["apart"]:
        made |= {"height_m": 2.5, "spacing_in_row_m": genes["apart"], "row_spacing_m": genes["apart"] + 1}
    if genes["arrangement"] == "fence":
        made |= {"depth_m": 0.4} | _fence(genes)
    return made


def _fence(genes: Genes) -> Body:
    """A fence across the ground."""
    size = float(genes["size"])
    if genes["ground"] not in DRAWN:
        return {"fence_m": [[0, 0], [size, size]]}
    latitude, longitude = PLACES["Belgrade"]
    reach = size / 250_000
    ends = [[longitude - reach, latitude], [longitude + reach, latitude]]
    return {"fence": {"type": "LineString", "coordinates": ends}}


def suitability(genes: Genes) -> Body:
    """All cultivars at a site."""
    made: Body = {"site": site(genes), "evidence": genes["evidence"], "no_spray": genes["no_spray"]}
    made["weights"] = weights(genes, of_list=False) if genes["weights"] != "none" else {"quality": 3.3}
    if genes["warmer"]:
        made["warmer_by_c"] = min(genes["warmer"], 5 - genes["warming"])
    if genes["names"]:
        made["cultivars"] = [f"{name}x" if genes["odd"] else name for name in ADVISED[: genes["names"]]]
        made["unknown_names"] = "report" if genes["odd"] else "refuse"
    if genes["limit"]:
        made["limit"] = genes["limit"]
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
            "signs": list(SIGNS)[: genes["signs"]],
            **_told_of_tree(genes, n),
        }
        for n in range(genes["trees"])
    ]
    around: Body = {"nearby_pollen": NEARBY, "available": ADVISED[:500]} if genes["around"] else {}
    return (
        around
        | _drawn(genes)
        | {
            "site": site(genes),
            "trees": trees,
            "as_of": "2026-11-29",
            "room_for_trees": genes["room"],
            "changes_at_most": genes["changes"],
            "neighbourhood": genes["neighbourhood"],
            "wanted": {"uses": ["dessert", "cooking", "cider"]},
        }
    )


def _told_of_tree(genes: Genes, number: int) -> Body:
    """All that may be told of a tree beside its name, and its place."""
    made: Body = {}
    if genes["sized"]:
        made |= {
            "kind": "apple", "rootstock": "MM.106", "tree_form": "bush", "sun_hours": 5, "pruning": "hard",
            "feeding": "much", "height_m": 4.5, "spread_m": 4, "state": "standing",
            "seen": [{"event": "last_crop", "date": f"{2020 + number % 6}-09-20"}] * 20,
        }  # fmt: skip
    if genes["places"] == "rectangle":
        made |= {"at_m": [4.0 * (number % 20), 5.0 * (number // 20)], "count": 1}
    elif genes["places"] == "star":
        latitude, longitude = PLACES[genes["place"]]
        made |= {"at": [longitude + number % 20 * 2e-6, latitude + number // 20 * 2e-6], "count": 1}
    return made


def _drawn(genes: Genes) -> Body:
    """The ground of a planting whose trees have places."""
    if genes["places"] == "rectangle":
        return {"space": ground({**genes, "ground": "rectangle", "size": 100})}
    if genes["places"] == "star" and genes["place"] == "Belgrade":
        return {"space": ground({**genes, "ground": "star", "size": 120, "inner": 0.97})}
    return {}


def calendar(genes: Genes) -> Body:
    """Calendars of many cultivars, trees and years."""
    made: Body = {"site": site(genes), "cultivars": ADVISED[: genes["names"]], "years": genes["years"]}
    if genes["trees"]:
        made["trees"] = [
            STANDING
            | _anywhere(n)
            | {
                "cultivar": ADVISED[n % genes["names"]],
                "tree_form": "espalier",
                "year_planted": 1990 + n % 35,
                "count": 2,
            }
            for n in range(genes["trees"])
        ]
        made["site"] = made["site"] | TODAY
    return made | ({"on": "2026-08-15"} if genes["on"] else {})


def pairs(genes: Genes) -> Body:
    """Pairs of many cultivars."""
    made: Body = {"cultivars": ADVISED[:: genes["stride"]][: genes["names"]]}
    return made | ({"site": site(genes)} if genes["at_site"] else {})


def trunk(genes: Genes) -> Body:
    """Several cultivars on one trunk."""
    made: Body = {"cultivars": genes["count"], "wanted": WISHES[genes["wishes"]]}
    if genes["available"]:
        made["available"] = ADVISED[:: genes["stride"]][: genes["available"]]
    if genes["trunk"]:
        made["trunk"] = STANDING | _anywhere(0) | {"cultivar": ADVISED[0], "age_years": 26, "count": 2}
        made |= {"aim": genes["aim"]} | ({"must_include": ADVISED[1:4]} if genes["aim"] == "several_cultivars" else {})
    return made | ({"site": site(genes) | TODAY} if genes["at_site"] else {})


def stock(genes: Genes) -> Body:
    """A stock for many gardens."""
    made: Body = {
        "sites": [{"id": str(n), "site": site(genes, n), "weight": 1 + n % 7} for n in range(genes["sites"])],
        "kinds_at_most": genes["kinds"],
        "offered_to_each": genes["offered"],
        "must_stock": ADVISED[:3] if genes["must"] and genes["kinds"] > 3 else [],
        "weights": weights(genes, of_list=False) if genes["weights"] != "none" else {"quality": 3.3},
    }
    if genes["available"]:
        made["available"] = ADVISED[: genes["available"]]
    return made


def names(genes: Genes) -> Body:
    """The spellings of a stock."""
    made = (SPELT[genes["spelt"]](name) for name in (ADVISED * 3)[: genes["names"]])
    return {"names": [(name * 60)[: genes["length"]] + str(n) for n, name in enumerate(made)]}


SPELT: dict[str, Callable[[str], str]] = {
    "backwards": lambda name: name[::-1],
    "plain": lambda name: name,
    "two letters exchanged": lambda name: f"{name[:1]}{name[2:3]}{name[1:2]}{name[3:]}",
    "umlauts": lambda name: "".join("äöüß"[ord(letter) % 4] for letter in name),
    "one letter of many": lambda _: "\N{ARABIC LIGATURE SALLALLAHOU ALAYHE WASALLAM}",
    "marks apart": lambda name: "".join(f"{letter}\N{COMBINING ACUTE ACCENT}" for letter in name),
}
"""Ways to spell a name, by how much work each may be to fold and to compare."""


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
