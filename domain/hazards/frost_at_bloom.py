"""What spring frost leaves of the bloom, season by season, from green tip to four weeks after full bloom.

Critical temperatures are those that kill 10 and 90 per cent of the flower buds in 30 minutes, by stage: one table
published alike by the extension services of Michigan, Pennsylvania, Washington and Utah ("Critical spring temperatures
for tree fruit bud development stages"; rows in reference_tables/rules). The stage a bud is in follows the heat still to
come before full bloom; between the stages temperatures are interpolated.
"""

import numpy as np

from domain.tree_year.bloom import release_chill
from domain.tree_year.clock import SiteClock
from domain.tree_year.curves import UNREACHED, Floats

STAGES = (
    # stage, share of the heat to full bloom already had, 10 % kill (C), 90 % kill (C)
    ("silver tip", 0.22, -9.4, -16.7),
    ("green tip", 0.32, -7.8, -12.2),
    ("half-inch green", 0.43, -5.0, -9.4),
    ("tight cluster", 0.57, -2.8, -6.1),
    ("first pink", 0.70, -2.2, -4.4),
    ("full pink", 0.80, -2.2, -3.9),
    ("first bloom", 0.885, -2.2, -3.9),
    ("full bloom", 1.0, -2.2, -3.9),
    ("post bloom", 1.25, -2.2, -3.9),
)
"""Temperatures are published; the shares of heat between silver tip and bloom are rounded from McIntosh's degree days
to green tip and pink (Massachusetts and New York bulletins) and for the rest common practice, no source."""

CLEAR_NIGHT_BUD_DEFICIT_C = 0.2
"""A bud under a clear sky is colder than the screen, and the 30-minute minimum warmer than the lowest reading: the two
together, net. Common practice, no source."""

CROWN_SPREAD_C = 0.8
"""Standard deviation of bud temperature and stage within a tree's crown, in C: the published figures are of buds of one
stage in one chamber. Common practice, no source: the top of a crown is warmer than its skirt by a degree or two."""

USUAL_CHILL_NEED = 45.0
LEAST_BLOOM_HEAT_GDH = 3500.0
DAYS_BEFORE = 75
DAYS_AFTER = 28
FIRST_DAY, LAST_DAY, DAY_STEP = 110, 420, 2
"""Season days of full bloom that the table covers, and its step."""

HARMLESS_FROM_C = -0.5
"""No bud of any stage is reckoned to be hurt above this: at -2.2 C a tenth of the open flowers die, here one in 70."""

WORTHWHILE_FLOWERS = 0.06
"""Share of flowers from which half of a normal crop still comes: a tenth to a fifth can make a full one."""


def bloom_kept(clock: SiteClock, tmin_c: Floats | None = None) -> Floats:
    """Share of flowers alive (seasons, full-bloom days of the table), by the worst night of each stage.

    tmin_c: nightly minima (seasons, days) to reckon with instead of the site's own, as of a spot up the slope.
    """
    tmin = (clock.seasons.weather.tmin_c if tmin_c is None else tmin_c) - np.float32(CLEAR_NIGHT_BUD_DEFICIT_C)
    heat = clock.heat.by_day
    bloom_day = np.arange(FIRST_DAY, LAST_DAY, DAY_STEP)
    shares = np.array([stage[1] for stage in STAGES])
    ten = np.array([stage[2] for stage in STAGES])
    ninety = np.array([stage[3] for stage in STAGES])
    kept = np.ones((tmin.shape[0], bloom_day.size), dtype=np.float32)
    usual = np.broadcast_to(release_chill(np.array([[USUAL_CHILL_NEED]])), (1, tmin.shape[0]))
    released = clock.heat.total_at(np.minimum(clock.chill.day_reached(usual), clock.chill_end))[0]
    for season in range(tmin.shape[0]):
        cold = np.nonzero(tmin[season, : LAST_DAY + DAYS_AFTER] < HARMLESS_FROM_C)[0]
        cold = cold[cold > FIRST_DAY - DAYS_AFTER]
        if cold.size == 0:
            continue
        by_bloom = heat[season, bloom_day]
        # What opens early opens on less heat: stages are shares of the heat from release to that bloom.
        whole = np.maximum(by_bloom - released[season], LEAST_BLOOM_HEAT_GDH)
        had = 1.0 - (by_bloom[:, None] - heat[season, cold][None, :]) / whole[:, None]
        ahead = bloom_day[:, None] - cold[None, :]
        exposed = (ahead <= DAYS_BEFORE) & (ahead >= -DAYS_AFTER) & (had >= shares[0])
        killed = np.zeros(exposed.shape, dtype=np.float32)
        night = np.broadcast_to(tmin[season, cold], exposed.shape)[exposed]
        stage = had[exposed]
        killed[exposed] = killed_share(
            night, np.interp(stage, shares, ten), np.interp(stage, shares, ninety), CROWN_SPREAD_C
        )
        kept[season] = 1.0 - killed.max(axis=1)
    return kept


def killed_share(bud_c: Floats, ten_c: Floats, ninety_c: Floats, crown_spread_c: float = 0.0) -> Floats:
    """Share of buds killed at a temperature, through the 10 and the 90 per cent points, over a crown's own spread."""
    half_width = (ten_c - ninety_c) / 2.0
    # A logistic curve reaches 10 % at 1.71 of its standard deviations from the middle or 1.2816 of a normal one.
    wider = np.hypot(half_width, 1.2816 * crown_spread_c)
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
    odds = (np.maximum(kept, 1e-6) / WORTHWHILE_FLOWERS) ** 2.5
    return (odds / (1.0 + odds)).astype(np.float32)
