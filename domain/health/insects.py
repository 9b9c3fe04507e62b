"""Insects of the fruit: which live in the region, and how many broods of codling moth the summer brings.

Regions are rough outlines from general knowledge (source `from-memory`): plum curculio and apple maggot belong to
eastern and central North America, apple sawfly to Europe, fruit flies of the genera Ceratitis and Bactrocera to
warm-winter coasts. Codling moth follows degree days above 10 C: about 590 (C) from first moth to the next brood's
first moths (Michigan State University: 1,060 F degree days).
"""

from dataclasses import dataclass

import numpy as np

CODLING_MOTH_BROOD_DD10_C = 590.0
"""Degree days above 10 C for one brood of codling moth."""

CODLING_MOTH_FIRST_FLIGHT_DD10_C = 110.0


@dataclass(frozen=True)
class FruitInsect:
    """One insect: pressure 0 to 1, and the share of its attack that early or late ripening fruit escapes."""

    insect: str
    pressure: float
    basis: str


def codling_moth_broods(degree_days_10c: float) -> float:
    """Broods a year from the mean yearly degree days above 10 C; 0 where too few for one."""
    return max(0.0, (degree_days_10c - CODLING_MOTH_FIRST_FLIGHT_DD10_C) / CODLING_MOTH_BROOD_DD10_C)


Box = tuple[float, float, float, float]
"""South, north, west and east bounds in degrees."""


def _within(latitude: float, longitude: float, box: Box) -> bool:
    south, north, west, east = box
    return south <= latitude <= north and west <= longitude <= east


def junipers_native(latitude: float | None, longitude: float | None) -> bool | None:
    """Whether red cedar, host of cedar-apple rust, grows wild there (from memory); None without a place."""
    if latitude is None or longitude is None:
        return None
    return _within(latitude, longitude, (27.0, 49.0, -100.0, -60.0))


FREE_OF_FIRE_BLIGHT: tuple[Box, ...] = (
    (-56.0, 12.0, -82.0, -34.0),
    (-45.0, -9.0, 112.0, 155.0),
    (-36.0, 18.0, -20.0, 52.0),
    (24.0, 46.0, 129.5, 150.0),
    (5.0, 37.0, 67.0, 100.0),
)
"""South America, Australia, Africa south of the Sahara, Japan, the Indian subcontinent (from memory)."""


def fire_blight_established(latitude: float | None, longitude: float | None) -> bool:
    """Whether fire blight is established in the region; without a place it is reckoned with."""
    if latitude is None or longitude is None:
        return True
    return not any(_within(latitude, longitude, box) for box in FREE_OF_FIRE_BLIGHT)


def fruit_insects(
    degree_days_10c: float, winter_mean_c: float, latitude: float | None, longitude: float | None
) -> tuple[FruitInsect, ...]:
    """The insects to reckon with at a site, worst first."""
    broods = codling_moth_broods(degree_days_10c)
    found = [FruitInsect("codling_moth", float(np.clip(0.22 * broods, 0.0, 0.75)), "computed")]
    if latitude is not None and longitude is not None:
        if _within(latitude, longitude, (25.0, 52.0, -103.0, -55.0)):
            found.append(FruitInsect("plum_curculio", 0.5, "from-memory"))
            if latitude >= 33.0:
                found.append(FruitInsect("apple_maggot", 0.45, "from-memory"))
        elif _within(latitude, longitude, (41.0, 52.0, -125.0, -117.0)):
            found.append(FruitInsect("apple_maggot", 0.25, "from-memory"))
        if _within(latitude, longitude, (42.0, 66.0, -11.0, 45.0)):
            found.append(FruitInsect("apple_sawfly", 0.2, "from-memory"))
        americas_north = _within(latitude, longitude, (15.0, 75.0, -170.0, -50.0))
        new_zealand = _within(latitude, longitude, (-48.0, -34.0, 165.0, 180.0))
        if winter_mean_c > 8.0 and abs(latitude) < 45.0 and not americas_north and not new_zealand:
            found.append(
                FruitInsect("fruit_flies", float(np.clip((winter_mean_c - 8.0) / 8.0, 0.1, 0.7)), "from-memory")
            )
    return tuple(sorted(found, key=lambda item: (-item.pressure, item.insect)))
