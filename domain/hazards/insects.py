"""Insects of the fruit at a site: which of them live in the region, and how hard they press.

Codling moth is counted by its broods (domain/hazards/codling_moth.py). Of the others the texts tell the range and not
how much fruit they take; that, the pressure, is from memory.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from domain.common.map_regions import Box, codling_moth_established, within
from domain.hazards.codling_moth import CodlingMothYears

Basis = Literal["computed", "published range", "from-memory"]

PRESSURE_A_BROOD, HIGHEST_PRESSURE = 0.2, 0.75
"""Share of the fruit that each brood of codling moth takes unless hindered; common practice, no source."""


@dataclass(frozen=True)
class FruitInsect:
    """One insect: the share of unprotected fruit it takes (0 to 1), and what its presence rests on."""

    insect: str
    pressure: float
    basis: Basis


@dataclass(frozen=True)
class _Range:
    insect: str
    pressure: float
    basis: Basis
    boxes: tuple[Box, ...]
    without: tuple[Box, ...] = ()


RANGES = (
    # Alston D. G., Stark A. V., Plum curculio biology and distribution in Utah, Utah State University, 2000: native
    # east of the Rocky Mountains, and a small population about Brigham City.
    _Range("plum_curculio", 0.5, "published range", ((25.0, 52.0, -103.0, -55.0), (41.2, 41.9, -112.4, -111.8))),
    # Apple maggot in Oregon: a possible new threat to the Northwest apple industry, abstract: the apple race is spread
    # from the northeast to North Dakota and along the Appalachians to northern Georgia.
    _Range("apple_maggot", 0.45, "published range", ((37.0, 51.0, -100.0, -60.0), (34.0, 37.0, -86.0, -75.0))),
    # Oregon and western Washington (same abstract; the line along the Cascades is from memory); few traps catch any
    # near the orchards of central Washington
    # (Yee W. L. et al., Journal of Insect Science 12:124, 2012).
    _Range("apple_maggot", 0.25, "published range", ((42.0, 49.5, -125.0, -121.4),)),
    _Range("apple_maggot", 0.05, "published range", ((44.0, 49.0, -121.4, -117.0),)),
    # Nearly all of Europe, not Ireland nor the Mediterranean (Fauna Europaea, as the page of plant parasites of Europe
    # restates); southeastern Canada to New England, New York and south to Virginia (Michigan State University).
    _Range(
        "apple_sawfly",
        0.2,
        "published range",
        ((43.5, 62.0, -6.0, 45.0), (37.0, 47.5, -80.0, -60.0), (48.3, 50.8, -126.0, -123.2)),
        without=((51.0, 55.5, -11.0, -5.4),),
    ),
)
"""Where each insect lives; of several rows of one insect the first that holds the place counts."""

FRUIT_FLY_WINTER_C, FRUIT_FLY_SPAN_C = 7.5, 8.0
"""Mean of the coldest month from which fruit flies persist, and how much warmer it takes for full pressure; from
memory. Around Girona they came in numbers after 2000 and are caught in apples (Journal of Applied Entomology, 2008)."""

FRUIT_FLIES: tuple[Box, ...] = (
    (-35.5, 38.0, -20.0, 60.0),
    (30.0, 45.0, -10.0, 40.0),
    (-39.0, -10.0, 141.0, 154.0),
    (-36.0, -13.0, 112.0, 129.0),
    (-35.0, 12.0, -65.0, -34.0),
    (5.0, 33.0, 67.0, 122.0),
)
"""Africa, the Mediterranean, eastern Australia (Queensland fruit fly: the Northern Territory, Queensland, New South
Wales, Victoria) and the west (Mediterranean fruit fly; both from Vinehealth Australia), South America east of the Andes
and southern Asia (from memory)."""


def fruit_insects(
    moth: CodlingMothYears, winter_mean_c: float, latitude: float | None, longitude: float | None
) -> tuple[FruitInsect, ...]:
    """The insects to reckon with at a site, worst first; without a place only codling moth."""
    found: dict[str, FruitInsect] = {}
    if codling_moth_established(latitude, longitude):
        broods = float(moth.generations.mean())
        pressure = float(np.clip(PRESSURE_A_BROOD * broods, 0.0, HIGHEST_PRESSURE))
        found["codling_moth"] = FruitInsect("codling_moth", pressure, "computed")
    if latitude is not None and longitude is not None:
        for row in RANGES:
            inside = any(within(latitude, longitude, box) for box in row.boxes)
            outside = any(within(latitude, longitude, box) for box in row.without)
            if inside and not outside:
                found.setdefault(row.insect, FruitInsect(row.insect, row.pressure, row.basis))
        mild = winter_mean_c > FRUIT_FLY_WINTER_C
        if mild and any(within(latitude, longitude, box) for box in FRUIT_FLIES):
            pressure = float(np.clip((winter_mean_c - FRUIT_FLY_WINTER_C) / FRUIT_FLY_SPAN_C, 0.1, 0.7))
            found["fruit_flies"] = FruitInsect("fruit_flies", pressure, "from-memory")
    return tuple(sorted(found.values(), key=lambda item: (-item.pressure, item.insect)))
