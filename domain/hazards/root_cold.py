"""How cold the ground gets where roots are, and the chance of a winter in which it kills those of a rootstock.

Roots never harden as wood does, and are saved by the ground and by snow: half of those of M.26 and P.2 die at -12 to
-14 C, of G.935 at -16 to -19 C (Moran R. E. et al., Cold temperature tolerance of apple rootstock trunk and root
tissues, HortScience 46, 2011, abstract), those of dwarfing stocks at -8 to -10 C of the soil and of Antonovka seedlings
at -14 C (Which frosts threaten fruit trees, bb.lv 2026). So the ground is followed, not the air.

The ground a hand's breadth down follows the air of the last days at about two thirds of its frost where it is bare, at
less under snow. Snow is counted from the wet days of the weather; where rain is not known the ground is taken as bare.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from domain.tree_year.curves import Floats
from domain.weather.weather_generator import DailyWeather

FIRST_DAY, LAST_DAY = 92, 320
"""Season days between which the ground can freeze: October to the middle of May in the north."""

GROUND_DAYS = 4.0
BARE_GROUND_SHARE = 0.65
"""Days over which the ground 10 cm down follows the air, and the share of the air's frost that reaches it where bare:
common practice, no source. The share is set by hand so that tender roots die about one bare winter in ten in the
Okanagan (Quamme 1990, as cited by others) and those of M.26 rarely where M.9 dies in central Minnesota."""

SNOW_A_DAY_CM, SNOW_SETTLES, SNOW_MELTS_CM = 4.0, 0.03, 1.5
"""Snow of a wet day below freezing, the share by which it settles a day, and melt for each degree of mean above
freezing: common practice, no source."""

SNOW_INSULATES_CM = 30.0
"""Depth of snow that keeps out all but 1/e of the frost: under 15 inches the surface stayed at 18 F or warmer in a
winter of -34 F (Plutko E., North American Fruit Explorers' list, 29 February 2008)."""

ROOT_SLOPE_C = 1.2
"""Logistic scale of root kill about its half; from memory of the width of such curves."""

ROOT_HARDINESS_C: Mapping[str, float] = {"very_hardy": -17.0, "hardy": -13.5, "moderate": -12.0, "tender": -9.5}
"""Ground temperature that kills half of the roots, by the adopted hardiness of a rootstock: very hardy as G.935, hardy
as M.26, P.2 and Antonovka, moderate as G.11, tender as the dwarfing stocks of the Baltic."""


def ground_minimum_c(weather: DailyWeather, *, snow_lies: bool = True) -> Floats:
    """Lowest temperature (seasons,) of the ground about 10 cm down in each season's first winter, C.

    snow_lies=False: kept free of snow, by wind or by hand.
    """
    days = slice(FIRST_DAY, LAST_DAY)
    air = np.ascontiguousarray((weather.tmin_c[:, days] + weather.tmax_c[:, days]).T) * np.float32(0.5)
    falls = np.zeros_like(air)
    if snow_lies and weather.wet is not None:
        falls = np.where(weather.wet[:, days].T & (air < 0.0), np.float32(SNOW_A_DAY_CM), np.float32(0.0))
    melts = SNOW_MELTS_CM * np.maximum(air, 0.0)
    snow = np.zeros(air.shape[1], dtype=np.float32)
    ground = air[0].copy()
    lowest = ground.copy()
    for day in range(1, len(air)):
        snow = np.maximum(snow * np.float32(1.0 - SNOW_SETTLES) + falls[day] - melts[day], 0.0)
        reaches = np.where(air[day] < 0.0, BARE_GROUND_SHARE * np.exp(-snow / SNOW_INSULATES_CM), 1.0)
        ground = ground + (air[day] * reaches - ground) / np.float32(GROUND_DAYS)
        lowest = np.minimum(lowest, ground)
    coldest: Floats = lowest.astype(np.float32)
    return coldest


def root_injury_a_year(
    weather: DailyWeather, root_hardiness_c: Sequence[float] | Floats, *, snow_lies: bool = True
) -> Floats:
    """Chance a year (stocks,) of a winter that kills half of the roots or more.

    root_hardiness_c: (stocks,) ground temperature at which half of the roots of each stock die, C.
    """
    limit = np.asarray(root_hardiness_c, dtype=np.float32)
    lowest = ground_minimum_c(weather, snow_lies=snow_lies)
    killed = 1.0 / (1.0 + np.exp((lowest[None, :] - limit[:, None]) / np.float32(ROOT_SLOPE_C)))
    chance: Floats = killed.mean(axis=1)
    return chance
