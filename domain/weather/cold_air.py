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

import numpy as np
from numpy.typing import NDArray

from domain.weather.weather_generator import LEAST_RANGE_C, DailyWeather

Field = NDArray[np.float32]
Lie = Literal["frost_pocket", "level", "slope", "hilltop"]

WARMER_PER_M = 0.062
"""C per m of height above the bottom, on a clear calm night."""
DEEPEST_M = 70.0
"""No gain is reckoned beyond: the highest of the stations at Pomona stood 69 m above the foot of the hill."""
LIE_M: dict[Lie, float] = {"frost_pocket": -30.0, "level": 0.0, "slope": 20.0, "hilltop": 10.0}
"""Height in the cold air against open level ground, on which stations stand; common practice, no source. A hilltop is
colder than the slope below it (Pomona and Medford)."""
LIE_SPREAD_C = 0.8
"""Standard deviation of what is not known of a lie told in one word, on a night of the full gradient."""

CLEAR_FROM_RANK, CLEAR_UP_TO_RANK = 0.44, 0.95
"""Ranks of the daily range from which a night shares in the gradient, and from which it has the whole of it."""
_WINDOW_DAYS = 15


def clear_calm_share(weather: DailyWeather) -> Field:
    """Share (seasons, days) of the full gradient in each night: 0 under cloud or wind, 1 when clear and calm."""
    wide = weather.tmax_c - weather.tmin_c
    usual = _smooth(wide.mean(axis=0))
    spread = np.sqrt(_smooth(((wide - usual) ** 2).mean(axis=0)))
    away = (wide - usual) / np.maximum(spread, np.float32(0.1))
    # The rank of a normal deviate by the hyperbolic tangent (off by less than 0.001).
    rank = 0.5 + 0.5 * np.tanh(0.79788 * away * (1.0 + 0.044715 * away**2))
    share: Field = np.clip((rank - CLEAR_FROM_RANK) / (CLEAR_UP_TO_RANK - CLEAR_FROM_RANK), 0.0, 1.0)
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
    height = float(np.clip(metres_up, -DEEPEST_M, DEEPEST_M))
    return clear_calm_share(weather) * np.float32(WARMER_PER_M * height)


def with_minima_shifted(weather: DailyWeather, metres_up: float) -> DailyWeather:
    """The same weather at a spot so many metres up the slope; days stay as they are."""
    highest = weather.tmax_c - np.float32(LEAST_RANGE_C)
    return replace(weather, tmin_c=np.minimum(weather.tmin_c + minima_shift(weather, metres_up), highest))
