"""How the body of each computation is made of genes. A gene is a name with one of the values that it may take."""

from collections.abc import Callable

from domain.fruit.signs import SIGNS
from tests.worst_bodies.grounds import ADVISED, DRAWN, PLACES, Body, Genes, ground, site

COMPLAINTS = ["no_bloom", "bloom_but_no_fruit", "small_fruit", "spotted", "dieback", "leaves_drop"]


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
