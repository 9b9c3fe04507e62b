"""How much chill places have, in portions, and what an hour or a unit counted there is worth.

One portion is 9 hours below 7.2 C in a mild wet winter and 29 in a cold one, so a published "hours needed" only means
something with the winters in which it was found. The rows of ``fruits/apple/reading/chill_regimes.csv`` were computed:
the Dynamic Model, the hours and the positive daily Utah units of `domain.weather.chill` over 1 October to 31 May (1
April to 30 November in the south), forty winters of daily means scattered about the ERA5 monthly means of 2000-2025 at
the place's height (standard deviation 1 to 6 C by region, day-to-day correlation 0.7, one degree from year to year)
with a sinusoid of the day. They agree with measured pairs where there are some: the San Joaquin valley on 11 January
2023 16 to 19 h a portion (part of a winter), Los Lunas, New Mexico, 17 and Farmington 15 Utah units a portion (Djaman
K. et al., Sustainability 13:2524, 2021). Southern California stands for Irvine, Riverside and Santa Barbara, 38 to 48
portions by `domain.site_climate` there.
"""

import functools
from pathlib import Path
from typing import Literal

from domain.adoption.reading import READING, Row, Spread, table
from domain.tables.loading import TableError

UNSTATED = "unstated"
"""The regime of a figure of no place."""


class Regime(Row, frozen=True, kw_only=True):
    """Winters of a region: mean portions of the whole dormant season, and hours and units that make one portion.

    deviation is the standard deviation of what "crops there" or "fails there" says: years, sites within the region,
    care. evergreen: a tree need not fall dormant there, so that cropping says nothing of chill.
    """

    regime: str
    portions: float
    deviation: Spread
    hours_per_portion: Spread
    units_per_portion: Spread
    evergreen: Literal["yes", "no"]


class ChillPlace(Row, frozen=True, kw_only=True):
    """Words of a place and the regime of its winters."""

    place: str
    regime: str


@functools.cache
def regimes(directory: Path = READING) -> dict[str, Regime]:
    """Regimes by name."""
    return {one.regime: one for one in table("chill_regimes", Regime, ("regime",), directory)}


@functools.cache
def chill_places(directory: Path = READING) -> tuple[tuple[str, str], ...]:
    """Words of a place and its regime, in the order in which they are looked for."""
    found = table("chill_places", ChillPlace, ("place",), directory)
    for line, one in enumerate(found, start=2):
        if one.regime not in regimes(directory):
            raise TableError(f"chill_places.csv, line {line}, column regime: unknown {one.regime!r}")
    return tuple((one.place, one.regime) for one in found)


def regime_name(text: str) -> str | None:
    """The regime of the first place that a text names, None if it names none."""
    lower = text.lower()
    return next((regime for words, regime in chill_places() if words in lower), None)
