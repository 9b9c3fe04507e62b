"""Plantings made up for the checks of reviews in bulk: of advised cultivars, with places, ages and complaints."""

import json
import random
from collections.abc import Iterator, Sequence
from typing import Any

COMPLAINTS = ("bloom_but_no_fruit", "no_bloom", "small_fruit", "spotted")
STOCKS = ("M9", "MM106", "M25")
STEP_DEG = 0.00005
"""About five metres to the north."""


def plantings(
    count: int,
    names: Sequence[str],
    site: dict[str, Any],
    *,
    placed: bool = False,
    told: bool = False,
    seed: int = 1,
) -> list[dict[str, Any]]:
    """Plantings of two to six trees at a site. placed: each tree with its place. told: with age, stock, complaint."""
    drawn = random.Random(seed)
    return [_planting(drawn, names, site, placed, told) for _ in range(count)]


def _planting(
    drawn: random.Random, names: Sequence[str], site: dict[str, Any], placed: bool, told: bool
) -> dict[str, Any]:
    trees = []
    for n in range(drawn.randint(2, 6)):
        tree: dict[str, Any] = {"cultivar": drawn.choice(names)}
        if placed:
            north, east = ((n + 0.4 * drawn.random()) * STEP_DEG, 0.4 * drawn.random() * STEP_DEG)
            tree["at"] = [round(site["longitude"] + east, 7), round(site["latitude"] + north, 7)]
        if told:
            tree |= {
                "complaints": [drawn.choice(COMPLAINTS)],
                "year_planted": drawn.randint(1980, 2024),
                "rootstock": drawn.choice(STOCKS),
            }
        trees.append(tree)
    return {"site": site, "trees": trees} | ({"as_of": "2026-11-29"} if told else {})


def sites(start: int = 0) -> Iterator[dict[str, Any]]:
    """Places on land between the Rhine and the Vistula, never the same twice."""
    n = start
    while True:
        yield {
            "latitude": round(48.0 + (0.618034 * n % 1.0) * 4.0, 4),
            "longitude": round(7.0 + (0.754878 * n % 1.0) * 12.0, 4),
        }
        n += 1


def lines(asked: Sequence[dict[str, Any]]) -> bytes:
    """The plantings as lines of JSON."""
    return b"\n".join(json.dumps(one).encode() for one in asked)
