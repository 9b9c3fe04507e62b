"""How cold the ground gets where roots are, and the chance of a winter in which it kills those of a rootstock.

Roots never harden as wood does, and are saved by the ground and by snow: half of those of M.26 and P.2 die at -12 to
-14 C, of G.935 at -16 to -19 C (Moran R. E. et al., Cold temperature tolerance of apple rootstock trunk and root
tissues, HortScience 46, 2011, abstract), those of dwarfing stocks at -8 to -10 C of the soil and of Antonovka seedlings
at -14 C (Which frosts threaten fruit trees, bb.lv 2026). So the ground is followed, not the air.

The ground a hand's breadth down follows the air of the last days at about two thirds of its frost where it is bare, at
less under snow. Snow is counted from the wet days of the weather; where rain is not known the ground is taken as bare.
"""

from collections.abc import Sequence

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.tables.parameters import figures
from domain.weather.weather_generator import DailyWeather

FIRST_DAY, LAST_DAY = 92, 320
"""Season days between which the ground can freeze: October to the middle of May in the north."""


class RootColdFigures(msgspec.Struct, frozen=True):
    """How the ground 10 cm down follows the air, how snow keeps frost out, and what kills half of the roots.

    very_hardy_c to tender_c: ground temperature (C) that does, by the adopted hardiness of a rootstock.
    """

    ground_days: float
    bare_ground_share: float
    snow_a_day_cm: float
    snow_settles: float
    snow_melts_cm: float
    snow_insulates_cm: float
    slope_c: float
    very_hardy_c: float
    hardy_c: float
    moderate_c: float
    tender_c: float


FIGURES = figures("hazards", "root_cold", RootColdFigures)


def ground_minimum_c(weather: DailyWeather, *, snow_lies: bool = True) -> Floats:
    """Lowest temperature (seasons,) of the ground about 10 cm down in each season's first winter, C.

    snow_lies=False: kept free of snow, by wind or by hand.
    """
    days = slice(FIRST_DAY, LAST_DAY)
    air = np.ascontiguousarray((weather.tmin_c[:, days] + weather.tmax_c[:, days]).T) * np.float32(0.5)
    falls = np.zeros_like(air)
    if snow_lies and weather.wet is not None:
        falls = np.where(weather.wet[:, days].T & (air < 0.0), np.float32(FIGURES.snow_a_day_cm), np.float32(0.0))
    melts = FIGURES.snow_melts_cm * np.maximum(air, 0.0)
    snow = np.zeros(air.shape[1], dtype=np.float32)
    ground = air[0].copy()
    lowest = ground.copy()
    for day in range(1, len(air)):
        snow = np.maximum(snow * np.float32(1.0 - FIGURES.snow_settles) + falls[day] - melts[day], 0.0)
        reaches = np.where(air[day] < 0.0, FIGURES.bare_ground_share * np.exp(-snow / FIGURES.snow_insulates_cm), 1.0)
        ground = ground + (air[day] * reaches - ground) / np.float32(FIGURES.ground_days)
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
    killed = 1.0 / (1.0 + np.exp((lowest[None, :] - limit[:, None]) / np.float32(FIGURES.slope_c)))
    chance: Floats = killed.mean(axis=1)
    return chance
