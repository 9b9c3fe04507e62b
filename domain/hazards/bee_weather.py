"""Weather in which bees fly, day by day: how much of a full day's foraging the bloom of a year gets.

Foraging of honey bees on apple by temperature: Washington State University, Honey bees: factors affecting bee
pollination of tree fruits (temperature table; rows of reference_tables/rules/pollination_practice.csv): all at 18.3 C,
62 per cent at 17.2 C, 21 at 12.2 C, 6 at 10.6 C. Wild bees fly in cooler weather, which the set they are given credits.
"""

import numpy as np

from domain.tree_year.curves import UNREACHED, Floats
from domain.weather.weather_generator import DailyWeather

FORAGING_C = (9.0, 10.6, 12.2, 17.2, 18.3)
FORAGING_SHARE = (0.0, 0.06, 0.21, 0.62, 1.0)

NOON_SHARE = 0.25
"""Bees work around noon, when it is this share of the daily range below the maximum; common practice, no source."""

WET_DAY_SHARE = 0.4
"""Share of a wet day's foraging left, since few days are wet from morning to evening; common practice, no source."""

SET_DAYS = 0.45
"""Full foraging days in which two flowers in three that can set are visited; common practice, no source: one or two
good days in all the bloom are held to be enough for a crop, and wild bees help."""

AROUND_FULL_BLOOM = (-4, 7)
"""Days about full bloom in which most flowers of a tree are open."""


def foraging_days(weather: DailyWeather, wet_share: float) -> Floats:
    """Running total (seasons, days) of full foraging days; wet_share of days is wet where the weather tells no rain."""
    noon = weather.tmax_c - np.float32(NOON_SHARE) * (weather.tmax_c - weather.tmin_c)
    share = np.interp(noon, FORAGING_C, FORAGING_SHARE)
    lost = np.float32(1.0 - WET_DAY_SHARE)
    share = share * (1.0 - lost * (wet_share if weather.wet is None else weather.wet))
    total: Floats = np.cumsum(share, axis=1).astype(np.float32)
    return total


def set_chance(days: Floats) -> Floats:
    """Chance of a set that so many full foraging days give, where pollen is there."""
    chance: Floats = (1.0 - np.exp(-np.maximum(days, 0.0) / SET_DAYS)).astype(np.float32)
    return chance


def set_by_full_bloom(foraging: Floats) -> Floats:
    """Chance of a set (seasons, days) for a tree in full bloom on each season day."""
    before, after = AROUND_FULL_BLOOM
    days = np.arange(foraging.shape[1])
    last = np.minimum(days + after, days[-1])
    return set_chance(foraging[:, last] - foraging[:, np.maximum(days + before, 0)])


def set_at(chance: Floats, full_bloom: Floats) -> Floats:
    """Chance of a set (cultivars, seasons) at their days of full bloom, from `set_by_full_bloom`; 0 without bloom."""
    seasons, width = chance.shape
    day = np.clip(full_bloom, 0.0, width - 1.0).astype(np.intp)
    found: Floats = chance.ravel().take(day + np.arange(seasons, dtype=np.intp) * width)
    return np.where(full_bloom >= UNREACHED, np.float32(0.0), found)
