"""Cold air that drains downhill: what a spot's height in it does to the minima of clear calm nights.

Near dawn on clear calm mornings the air of a broad valley in Pennsylvania was warmer by 6.2 C for each 100 m above the
bottom of the basin, over a range that often came to 10 C (Hocevar A., Martsolf J. D., Temperature distribution under
radiation frost conditions in a central Pennsylvania valley, Agricultural Meteorology 8:371-383, 1971, abstract). Hills
at Pomona and Medford were colder at the top than some way below it on such nights (Observations of nocturnal
temperature inversions, frost seasons 1918 to 1920, abstract).

How often: in a small valley of the Welsh borders the bottom was colder than the hills by 1 C or more on 45 % of the
nights and by more than 4 C on 12 % (A short climatological study of cold air pools and drainage flows in small valleys,
COLPEX, July 2009 to April 2010, abstract). Nights are ranked by the range of their day against others of the season,
wide under a clear sky in calm, and a night's share of the full gradient rises with its rank so that a valley some 75 m
deep (its depth is from memory) shows those two frequencies.
"""

from dataclasses import replace
from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.tables.parameters import figures
from domain.weather.weather_generator import LEAST_RANGE_C, DailyWeather

Field = NDArray[np.float32]
Lie = Literal["frost_pocket", "level", "slope", "hilltop"]


class ColdAirFigures(msgspec.Struct, frozen=True):
    """How cold air drains on clear calm nights."""

    warmer_per_m: float
    deepest_m: float
    frost_pocket_m: float
    slope_m: float
    hilltop_m: float
    lie_spread_c: float
    clear_from_rank: float
    clear_up_to_rank: float


FIGURES = figures("weather", "cold_air", ColdAirFigures)

_WINDOW_DAYS = 15


def lie_m(lie: Lie) -> float:
    """Height (m) of a lie in the cold air against open level ground, on which stations stand."""
    heights: dict[Lie, float] = {
        "frost_pocket": FIGURES.frost_pocket_m,
        "level": 0.0,
        "slope": FIGURES.slope_m,
        "hilltop": FIGURES.hilltop_m,
    }
    return heights[lie]


def clear_calm_share(weather: DailyWeather) -> Field:
    """Share (seasons, days) of the full gradient in each night: 0 under cloud or wind, 1 when clear and calm."""
    wide = weather.tmax_c - weather.tmin_c
    usual = _smooth(wide.mean(axis=0))
    spread = np.sqrt(_smooth(((wide - usual) ** 2).mean(axis=0)))
    away = (wide - usual) / np.maximum(spread, np.float32(0.1))
    # The rank of a normal deviate by the hyperbolic tangent (off by less than 0.001).
    rank = 0.5 + 0.5 * np.tanh(0.79788 * away * (1.0 + 0.044715 * away**2))
    share: Field = np.clip(
        (rank - FIGURES.clear_from_rank) / (FIGURES.clear_up_to_rank - FIGURES.clear_from_rank), 0.0, 1.0
    )
    return share.astype(np.float32)


def _smooth(by_day: NDArray[np.floating]) -> NDArray[np.floating]:
    """Running mean (days,) over a month."""
    padded = np.pad(by_day, _WINDOW_DAYS, mode="edge")
    smooth: NDArray[np.floating] = np.convolve(padded, np.ones(2 * _WINDOW_DAYS + 1) / (2 * _WINDOW_DAYS + 1), "valid")
    return smooth


def minima_shift(weather: DailyWeather, metres_up: float) -> Field:
    """Degrees (seasons, days) by which each night's minimum is warmer so many metres up the slope (negative: down).

    Of spots within the same body of cold air; more than 70 m counts as 70.
    """
    height = float(np.clip(metres_up, -FIGURES.deepest_m, FIGURES.deepest_m))
    return clear_calm_share(weather) * np.float32(FIGURES.warmer_per_m * height)


def with_minima_shifted(weather: DailyWeather, metres_up: float) -> DailyWeather:
    """The same weather at a spot so many metres up the slope; days stay as they are."""
    highest = weather.tmax_c - np.float32(LEAST_RANGE_C)
    return replace(weather, tmin_c=np.minimum(weather.tmin_c + minima_shift(weather, metres_up), highest))
