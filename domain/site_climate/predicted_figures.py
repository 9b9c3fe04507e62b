"""What the seasons of a climate show, in the terms in which people tell figures of their site.

Several climates are simulated side by side as blocks of one array of seasons, so that the hours of all of them are
walked at once. Results are per block; dates are season days.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import YEAR_DAYS
from domain.tables.parameters import figures
from domain.tree_year.bloom import full_bloom
from domain.tree_year.clock import CLOCK_QUANTITIES, plain_bloom_clock
from domain.weather.frost_dates import first_autumn_frost_days, last_spring_frost_days
from domain.weather.seasons import Measure, Seasons, dormancy_days, seasons, window_days
from domain.weather.weather_generator import DailyWeather

Floats = NDArray[np.float64]

MIDWINTER_DAY = 190
FROST_DAYS_PER_C = 6.0
"""Where a winter has no frost, its last frost is put this many days before midwinter for each degree it stayed above
the threshold (and the first one after), so that warmer is still told from warm. It enters no answer."""


class UsualCultivarFigures(msgspec.Struct, frozen=True):
    """The cultivar whose bloom a caller's date of bloom means."""

    middle_chill_need: float
    middle_bloom_offset_days: float


FIGURES = figures("site_climate", "predicted_figures", UsualCultivarFigures)


@dataclass(frozen=True)
class Blocks:
    """Seasons of several climates, one after another, the same number of each."""

    seasons: Seasons
    count: int

    def split(self, by_season: NDArray[np.floating]) -> Floats:
        """Values by season (count * years,) as (count, years)."""
        return by_season.reshape(self.count, -1).astype(np.float64)

    def of(self, climates: Sequence[int], years: int) -> "Blocks":
        """The first years of some of the climates."""
        weather = self.seasons.weather
        low, high = (
            np.concatenate([days.reshape(self.count, -1, days.shape[1])[n, :years] for n in climates])
            for days in (weather.tmin_c, weather.tmax_c)
        )
        return Blocks(seasons(replace(weather, tmin_c=low, tmax_c=high, wet=None)), len(climates))


def side_by_side(weathers: Sequence[DailyWeather]) -> Blocks:
    """The seasons of several simulated climates of one latitude."""
    first = weathers[0]
    if len(weathers) == 1:
        return Blocks(seasons(first), 1)
    joined = DailyWeather(
        south=first.south,
        latitude=first.latitude,
        tmin_c=np.concatenate([w.tmin_c for w in weathers]),
        tmax_c=np.concatenate([w.tmax_c for w in weathers]),
    )
    return Blocks(seasons(joined), len(weathers))


def chill(blocks: Blocks, measure: Measure, window: tuple[str, str] | None) -> Floats:
    """Chill (count, years) over a window of dates, or over the whole dormant season.

    Portions of a part of the season are the gain within it: its first hours profit from those before (less than one
    portion more than a count that starts afresh).
    """
    south = blocks.seasons.weather.south
    first, last = dormancy_days(south) if window is None else window_days(south, *window)
    return blocks.split(blocks.seasons.gained(measure, first, last))


def last_frost(blocks: Blocks, threshold_c: float) -> Floats:
    """Season day of the last frost (count, years), put before midwinter where there is none."""
    days = last_spring_frost_days(blocks.seasons.weather, threshold_c)
    above = blocks.seasons.winter_minimum_c - threshold_c
    return blocks.split(np.where(np.isnan(days), MIDWINTER_DAY - FROST_DAYS_PER_C * above, days))


def first_frost(blocks: Blocks, threshold_c: float) -> Floats:
    """Season day of the first frost (count, years), put after midwinter where there is none."""
    days = first_autumn_frost_days(blocks.seasons.weather, threshold_c)
    above = blocks.seasons.winter_minimum_c - threshold_c
    return blocks.split(np.where(np.isnan(days), MIDWINTER_DAY + FROST_DAYS_PER_C * above, days))


def winter_minimum(blocks: Blocks) -> Floats:
    """Lowest temperature of each winter (count, years), C."""
    return blocks.split(blocks.seasons.winter_minimum_c)


def bloom(blocks: Blocks) -> Floats:
    """Season day of full bloom of a middling cultivar (count, years), by the clock by which all cultivars bloom."""
    need, offset = np.array([FIGURES.middle_chill_need]), np.array([FIGURES.middle_bloom_offset_days])
    blocks.seasons.read(*CLOCK_QUANTITIES)
    days, _ = full_bloom(plain_bloom_clock(blocks.seasons, blocks.count), need, offset)
    return blocks.split(np.minimum(days[0], YEAR_DAYS))


def middle(values: Floats) -> Floats:
    """A smooth median over the last axis: mean of the values between the 35th and the 65th percentile."""
    return _between(values, 0.35, 0.65)


def low_tenth(values: Floats) -> Floats:
    """A smooth tenth percentile over the last axis."""
    return _between(values, 0.05, 0.15)


def high_tenth(values: Floats) -> Floats:
    """A smooth ninetieth percentile over the last axis."""
    return _between(values, 0.85, 0.95)


def _between(values: Floats, low: float, high: float) -> Floats:
    ordered = np.sort(values, axis=-1)
    count = ordered.shape[-1]
    first, last = int(np.floor(low * count)), max(int(np.ceil(high * count)), int(np.floor(low * count)) + 1)
    mean: Floats = ordered[..., first:last].mean(axis=-1)
    return mean
