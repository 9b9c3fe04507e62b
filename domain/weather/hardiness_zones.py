"""Hardiness zones: names of bands of the mean yearly minimum temperature.

Source: United States Department of Agriculture, Plant Hardiness Zone Map, 2023, table of half zones: 13 zones of 10 F
from -60 F, each in a colder half a and a warmer half b, of the mean of the lowest temperatures of the years.

Canada's zones weigh more than cold (length of the frost-free season, rain, snow, wind) and are not a function of the
minimum. Zones of the Canadian scheme run roughly one number milder than the American at the same minimum: a place in
Canadian zone n has about the winters of American zone n - 1 (common practice, no source): a wide spread goes with it.
"""

import re
from dataclasses import dataclass
from typing import Literal

import msgspec

from domain.tables.parameters import figures


class ZoneFigures(msgspec.Struct, frozen=True):
    """How the zones of Canada compare."""

    canadian_zones_milder: int
    canadian_spread_c: float


FIGURES = figures("weather", "hardiness_zones", ZoneFigures)


Scheme = Literal["usda", "canada"]

COLDEST_F = -60.0
HALF_ZONE_F = 5.0
HALF_ZONES = 26
_NAME = re.compile(r"(1[0-3]|[1-9])([ab]?)")


@dataclass(frozen=True)
class ZoneRange:
    """Mean yearly minima, C, that a zone stands for, and the standard deviation to give to its middle."""

    lower_c: float
    upper_c: float
    spread_c: float

    @property
    def middle_c(self) -> float:
        """Middle of the range, C."""
        return (self.lower_c + self.upper_c) / 2


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


def zone_of(mean_annual_minimum_c: float) -> str:
    """The USDA half zone, "1a" to "13b", of a mean yearly minimum; the end zones take what lies beyond them."""
    # A limit given in C to a tenth (-17.8 for 0 F) must fall into the zone that begins there, hence the rounding.
    fahrenheit = round((mean_annual_minimum_c * 1.8 + 32) * 5) / 5
    half = int(min(max((fahrenheit - COLDEST_F) // HALF_ZONE_F, 0), HALF_ZONES - 1))
    return f"{half // 2 + 1}{'ab'[half % 2]}"


def zone_range(zone: str, scheme: Scheme = "usda") -> ZoneRange:
    """Range of the mean yearly minimum, C, of a zone ("7") or half zone ("7a"); ValueError if there is no such zone."""
    match = _NAME.fullmatch(zone)
    if match is None or (scheme == "canada" and int(match[1]) > 9):
        raise ValueError(f"no {scheme} hardiness zone {zone!r}")
    number, half = int(match[1]), match[2]
    first = COLDEST_F + 2 * HALF_ZONE_F * (number - 1 - FIGURES.canadian_zones_milder * (scheme == "canada"))
    lower = first + (HALF_ZONE_F if half == "b" else 0)
    upper = first + (HALF_ZONE_F if half == "a" else 2 * HALF_ZONE_F)
    # A uniform distribution over the band; the Canadian scheme adds about one zone of disagreement.
    spread = (upper - lower) / 1.8 / 12**0.5
    return ZoneRange(
        _celsius(lower),
        _celsius(upper),
        (spread**2 + (FIGURES.canadian_spread_c if scheme == "canada" else 0.0) ** 2) ** 0.5,
    )
