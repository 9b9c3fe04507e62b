"""What spring frost leaves of the bloom, season by season, from green tip to four weeks after full bloom.

Critical temperatures are those that kill 10 and 90 per cent of the flower buds in 30 minutes, by stage
(domain/fruit/flower_stages.py). The stage a bud is in follows the heat still to come before full bloom; between the
stages temperatures are interpolated.
"""

import msgspec
import numpy as np

from domain.common.arrays import UNREACHED, Floats
from domain.common.distributions import PERCENTILE_90
from domain.fruit.flower_stages import FLOWER_STAGES
from domain.tables.parameters import figures
from domain.tree_year.bloom import release_chill
from domain.tree_year.clock import SiteClock

FIRST_DAY, LAST_DAY, DAY_STEP = 110, 420, 2
"""Season days of full bloom that the table covers, and its step."""


class FrostFigures(msgspec.Struct, frozen=True):
    """How cold a bud gets, the nights about full bloom that count, and the flowers from which a crop still comes."""

    bud_deficit_c: float
    crown_spread_c: float
    usual_chill_need: float
    least_bloom_heat_gdh: float
    days_before: int
    days_after: int
    harmless_from_c: float
    worthwhile_flowers: float
    worthwhile_steepness: float


FIGURES = figures("hazards", "frost_at_bloom", FrostFigures)


def bloom_kept(clock: SiteClock, tmin_c: Floats | None = None) -> Floats:
    """Share of flowers alive (seasons, full-bloom days of the table), by the worst night of each stage.

    tmin_c: nightly minima (seasons, days) to take instead of the site's own, as of a spot up the slope.
    """
    tmin = (clock.seasons.weather.tmin_c if tmin_c is None else tmin_c) - np.float32(FIGURES.bud_deficit_c)
    heat = clock.heat.by_day
    bloom_day = np.arange(FIRST_DAY, LAST_DAY, DAY_STEP)
    shares = np.array([stage.heat_share for stage in FLOWER_STAGES])
    ten = np.array([stage.kill_10_c for stage in FLOWER_STAGES])
    ninety = np.array([stage.kill_90_c for stage in FLOWER_STAGES])
    kept = np.ones((tmin.shape[0], bloom_day.size), dtype=np.float32)
    usual = np.broadcast_to(release_chill(np.array([[FIGURES.usual_chill_need]])), (1, tmin.shape[0]))
    released = clock.heat.total_at(np.minimum(clock.chill.day_reached(usual), clock.chill_end))[0]
    for season in range(tmin.shape[0]):
        cold = np.nonzero(tmin[season, : LAST_DAY + FIGURES.days_after] < FIGURES.harmless_from_c)[0]
        cold = cold[cold > FIRST_DAY - FIGURES.days_after]
        if cold.size == 0:
            continue
        by_bloom = heat[season, bloom_day]
        # What opens early opens on less heat: stages are shares of the heat from release to that bloom.
        whole = np.maximum(by_bloom - released[season], FIGURES.least_bloom_heat_gdh)
        had = 1.0 - (by_bloom[:, None] - heat[season, cold][None, :]) / whole[:, None]
        ahead = bloom_day[:, None] - cold[None, :]
        exposed = (ahead <= FIGURES.days_before) & (ahead >= -FIGURES.days_after) & (had >= shares[0])
        killed = np.zeros(exposed.shape, dtype=np.float32)
        night = np.broadcast_to(tmin[season, cold], exposed.shape)[exposed]
        stage = had[exposed]
        killed[exposed] = killed_share(
            night, np.interp(stage, shares, ten), np.interp(stage, shares, ninety), FIGURES.crown_spread_c
        )
        kept[season] = 1.0 - killed.max(axis=1)
    return kept


def killed_share(bud_c: Floats, ten_c: Floats, ninety_c: Floats, crown_spread_c: float = 0.0) -> Floats:
    """Share of buds killed at a temperature, through the 10 and the 90 per cent points, over a crown's own spread."""
    half_width = (ten_c - ninety_c) / 2.0
    # A logistic curve reaches 10 % at 1.71 of its standard deviations from the middle or 1.28 of a normal one.
    wider = np.hypot(half_width, PERCENTILE_90 * crown_spread_c)
    share: Floats = 1.0 / (1.0 + np.exp(np.log(9.0) * (bud_c - (ten_c - half_width)) / wider))
    return share


def crop_after_frost(chance: Floats, full_bloom: Floats) -> Floats:
    """Chance (cultivars, seasons) of a worthwhile crop, given the day of full bloom.

    chance: `worthwhile_chance` of `bloom_kept`, (seasons, full-bloom days of the table).
    """
    seasons, width = chance.shape
    column = np.clip((full_bloom - np.float32(FIRST_DAY)) * np.float32(1.0 / DAY_STEP), 0.0, width - 1.001)
    index = column.astype(np.intp) + np.arange(seasons, dtype=np.intp) * width
    return np.where(full_bloom >= UNREACHED, np.float32(0.0), chance.ravel().take(index))


def worthwhile_chance(kept: Floats) -> Floats:
    """Chance of at least half a normal crop when this share of the flowers is alive."""
    odds = (np.maximum(kept, 1e-6) / FIGURES.worthwhile_flowers) ** FIGURES.worthwhile_steepness
    return (odds / (1.0 + odds)).astype(np.float32)
