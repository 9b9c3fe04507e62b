"""Weather in which bees fly, day by day: how much of a full day's foraging the bloom of a year gets."""

import msgspec
import numpy as np

from domain.common.arrays import UNREACHED, Floats
from domain.tables.parameters import figures
from domain.weather.weather_generator import DailyWeather


class BeeFigures(msgspec.Struct, frozen=True):
    """Share of bees that forage at each noon temperature (C), what rain leaves, and the days flowers are open.

    set_days: full foraging days in which two flowers in three that can set are visited.
    """

    foraging_c: tuple[float, ...]
    foraging_share: tuple[float, ...]
    noon_share: float
    wet_day_share: float
    set_days: float
    open_from_days: int
    open_to_days: int


FIGURES = figures("hazards", "bee_weather", BeeFigures)


def foraging_days(weather: DailyWeather, wet_share: float) -> Floats:
    """Running total (seasons, days) of full foraging days; wet_share of days is wet where the weather tells no rain."""
    noon = weather.tmax_c - np.float32(FIGURES.noon_share) * (weather.tmax_c - weather.tmin_c)
    share = np.interp(noon, FIGURES.foraging_c, FIGURES.foraging_share)
    lost = np.float32(1.0 - FIGURES.wet_day_share)
    share = share * (1.0 - lost * (wet_share if weather.wet is None else weather.wet))
    total: Floats = np.cumsum(share, axis=1).astype(np.float32)
    return total


def set_chance(days: Floats) -> Floats:
    """Chance of a set that so many full foraging days give, where pollen is there."""
    chance: Floats = (1.0 - np.exp(-np.maximum(days, 0.0) / FIGURES.set_days)).astype(np.float32)
    return chance


def set_by_full_bloom(foraging: Floats) -> Floats:
    """Chance of a set (seasons, days) for a tree in full bloom on each season day."""
    days = np.arange(foraging.shape[1])
    last = np.minimum(days + FIGURES.open_to_days, days[-1])
    return set_chance(foraging[:, last] - foraging[:, np.maximum(days + FIGURES.open_from_days, 0)])


def set_at(chance: Floats, full_bloom: Floats) -> Floats:
    """Chance of a set (cultivars, seasons) at their days of full bloom, from `set_by_full_bloom`; 0 without bloom."""
    seasons, width = chance.shape
    day = np.clip(full_bloom, 0.0, width - 1.0).astype(np.intp)
    day += np.arange(seasons, dtype=np.intp) * width
    found: Floats = chance.ravel().take(day, mode="clip")
    np.copyto(found, np.float32(0.0), where=full_bloom >= UNREACHED)
    return found
