"""Every cultivar at one site in numbers: crop year by year, sound fruit, quality, and how sure we are of each.

Two kinds of not-sure stay apart. Over the years of the site (weather) each factor is a chance per season. What we do
not know of a cultivar or of the site's climate moves a whole factor up or down: each doubtful figure is set to its 20th
and 80th percentile in turn, and the changes of the ten-year crop are added as independent errors.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from domain.common.season_days import SEASON_DAYS
from domain.hazards.bee_weather import set_at
from domain.hazards.codling_moth import escaped_share
from domain.hazards.frost_at_bloom import crop_after_frost
from domain.hazards.sound_fruit import Health, health
from domain.hazards.winter_cold import WinterCold, winter_cold
from domain.orchard_site.conditions import SiteConditions
from domain.site_climate.figures import ClimateSpread
from domain.suitability.doubts import Doubt, own_share, unknown_years
from domain.suitability.fruit_quality import RIPENING_WINDOW_DAYS, fruit_quality
from domain.suitability.origin_climate import likeness
from domain.tables.cultivars import Cultivar
from domain.traits.trait_table import UNKNOWN_SUSCEPTIBILITY, TraitTable
from domain.tree_year.bloom import BloomDays, bloom_days
from domain.tree_year.clock import ripening_rate
from domain.tree_year.curves import UNREACHED, Floats
from domain.tree_year.ripening import first_ripe_day, heat_needed, ripening_days, summer_heat

PERCENTILE_80 = np.float32(0.8416)
"""Standard normal deviate of the 80th percentile."""

CHILL_SLOPE_SHARE, CHILL_SLOPE_PORTIONS = 0.08, 3.0
"""A cultivar short of chill fails by degrees: logistic scale as a share of the need, plus a floor (portions)."""

RIPENING_SLOPE_DAYS = 5.0
SITE_HARVEST_DOUBT_DAYS = 4.0
PICKED_FIRM_DAYS = 12.0
"""Fruit is picked this many days before it is ripe, if the season is about to end; common practice, no source."""

HEAT_SLOPE_DD10 = 60.0
LEAST_FROST_DOUBT_DAYS = 2.0
"""Bloom against frost is never surer than this, however well the site is known."""

LATER_DAYS = np.float32(5.0)
"""What a later cultivar gains against frost is told for one that blooms so many days later."""

WARM_SEASON_DAYS = 150.0
"""Days over which a doubt of the summer's mean adds up to one of its heat sum."""

STRONGLY_BIENNIAL = 0.5
REMEMBERED_FITS = 32
"""Fits kept, about 2 MB each: lists, suitabilities and pairs of one site read the same one."""


@dataclass(frozen=True)
class SiteFit:
    """Numbers of n cultivars over the seasons of one site. Season days count from midsummer; NaN is unknown.

    crop_by_figure: figure of the site -> (2, n) cropping share where that figure is at its 20th and 80th percentile.
    crop_chance: (n, seasons) chance of a worthwhile crop given pollen. ready: (n, seasons) day of first ripe fruit.
    factor_years: factor -> (n,) years in ten. frost_years_if_later: (n,) years in ten in which frost spares a bloom
    `LATER_DAYS` later. cold_harm: (n, parts) of the harm of winter cold the share of each of `WINTER_PARTS`. likely,
    low, high: (n,) cropping years of ten from first bearing, the tree's own survival included. own_range: (n,) how far
    low and high would lie apart if only the cultivar were doubtful.
    """

    cultivars: tuple[Cultivar, ...]
    crop_chance: Floats
    bloom: BloomDays
    bloom_spread_days: Floats
    ready: Floats
    harvest_first: Floats
    harvest_last: Floats
    harvest_spread_days: Floats
    storage_weeks: Floats
    factor_years: dict[str, Floats]
    frost_years_if_later: Floats
    cold_harm: Floats
    likely: Floats
    low: Floats
    high: Floats
    own_range: Floats
    crop_by_figure: dict[str, Floats]
    survives_ten_years: Floats
    sound: Floats
    sound_spread: Floats
    quality: Floats
    heat_tolerance: Floats
    likeness: Floats
    south: bool


def _chill_met(total: Floats, need: Floats) -> Floats:
    scale = need * np.float32(CHILL_SLOPE_SHARE) + np.float32(CHILL_SLOPE_PORTIONS)
    return _falling((need[:, None] - total[None, :]) / scale[:, None])


def _warm_enough(heat: Floats, need: Floats) -> Floats:
    return _falling((need[:, None] - heat[None, :]) * np.float32(1.0 / HEAT_SLOPE_DD10))


def _ripened(ready: Floats, end: Floats) -> Floats:
    return _falling((ready - np.float32(PICKED_FIRM_DAYS) - end[None, :]) * np.float32(1.0 / RIPENING_SLOPE_DAYS))


def _falling(x: Floats) -> Floats:
    """Logistic step from 1 far below zero to 0 far above, in single precision."""
    share: Floats = 1.0 / (1.0 + np.exp(np.minimum(x, np.float32(60.0))))
    return share


@lru_cache(maxsize=REMEMBERED_FITS)
def site_fit(conditions: SiteConditions, traits: TraitTable) -> SiteFit:
    """Work out the fit of every cultivar of the table at the site; asked again of the same two, it is remembered."""
    clock, spread = conditions.clock, conditions.years.spread
    value, doubt = traits.value, traits.spread

    names = [cultivar.id for cultivar in traits.cultivars]
    observed = conditions.observed
    bloom = bloom_days(clock, value["chill_portions"], value["bloom_offset_days"], value["bloom_length_days"])
    own_bloom, own_ripe = doubt["bloom_offset_days"], np.nan_to_num(doubt["ripening_offset_days"], nan=25.0)
    if observed is not None:
        bloom = bloom.later(observed.bloom.days(names))
        own_bloom, own_ripe = observed.bloom.spread(names, own_bloom), observed.ripe.spread(names, own_ripe)
    days = ripening_days(value["ripening_offset_days"], value["bloom_offset_days"])
    ready = first_ripe_day(clock, bloom.full, np.nan_to_num(days, nan=140.0))
    if observed is not None:
        ready = np.where(ready < UNREACHED, ready + observed.ripe.days(names)[:, None], ready)
    end = clock.last_ripening_day

    bloom_doubt = np.hypot(own_bloom, LEAST_FROST_DOUBT_DAYS)
    frost_doubt = (PERCENTILE_80 * np.hypot(bloom_doubt, _frost_without_bloom(spread)))[:, None]
    chill_doubt = PERCENTILE_80 * np.hypot(doubt["chill_portions"], float(spread.chill_portions))
    hardy_doubt = PERCENTILE_80 * np.hypot(doubt["hardiness_c"], float(spread.winter_minimum_c))
    ready_doubt = (PERCENTILE_80 * np.hypot(own_ripe, SITE_HARVEST_DOUBT_DAYS))[:, None]
    autumn_rate = float(np.clip(ripening_rate(conditions.mean_by_day_c[430:480]).mean(), 0.4, 1.0))
    ready_doubt = ready_doubt / np.float32(autumn_rate)

    need = value["chill_portions"]
    chill = _chill_met(clock.chill_total, need)
    frost_day = bloom.full
    if observed is not None:  # a spring that is later than thought is so in its frosts too, unless these are known
        frost_day = bloom.full - np.float32(observed.bloom.site.days * _frost_with_bloom(spread))
    frost = crop_after_frost(conditions.frost_chance, frost_day)
    bees = set_at(conditions.set_chance, bloom.full)
    cold = winter_cold(conditions.winters, value["hardiness_c"])
    heat = summer_heat(clock)
    heat_need = np.nan_to_num(heat_needed(value["ripening_offset_days"], value["origin_heat_dd10"]), nan=900.0)
    heat_doubt = PERCENTILE_80 * np.float32(spread.summer_mean_c * WARM_SEASON_DAYS)
    warm = _warm_enough(heat, heat_need)
    in_time = _ripened(ready, end)
    ripe = in_time * warm
    alternate = (1.0 - 0.35 * np.clip((value["biennial"] - STRONGLY_BIENNIAL) / 0.5, 0.0, 1.0)).astype(np.float32)

    chance = chill * frost * bees * cold.crop_chance * ripe * alternate[:, None]
    base = chance.mean(axis=1)
    unknown = unknown_years(
        base,
        chance,
        (
            Doubt(
                "winter_chill",
                chill,
                _chill_met(clock.chill_total, need + chill_doubt),
                _chill_met(clock.chill_total, np.maximum(need - chill_doubt, 2.0)),
                own_share(doubt["chill_portions"], spread.chill_portions),
            ),
            Doubt(
                "last_spring_frost",
                frost,
                crop_after_frost(conditions.frost_chance, frost_day - frost_doubt),
                crop_after_frost(conditions.frost_chance, frost_day + frost_doubt),
                own_share(bloom_doubt, _frost_without_bloom(spread)),
            ),
            Doubt(
                "winter_minimum",
                cold.crop_chance,
                winter_cold(conditions.winters, value["hardiness_c"] + hardy_doubt).crop_chance,
                winter_cold(conditions.winters, value["hardiness_c"] - hardy_doubt).crop_chance,
                own_share(doubt["hardiness_c"], spread.winter_minimum_c),
            ),
            Doubt(
                "harvest",
                ripe,
                _ripened(ready + ready_doubt, end) * warm,
                _ripened(ready - ready_doubt, end) * warm,
                1.0,
            ),
            Doubt(
                "summer",
                ripe,
                in_time * _warm_enough(heat, heat_need + heat_doubt),
                in_time * _warm_enough(heat, heat_need - heat_doubt),
                0.0,
            ),
        ),
    )

    harvest = _median_day(ready)
    sound = health_under(conditions.pressure, conditions, traits, harvest)
    alive = cold.years_alive_share * _years_alive_share(sound.death_a_year)
    quality = fruit_quality(
        _last_month_mean(conditions.mean_by_day_c, harvest),
        conditions.very_hot_days,
        value["heat_tolerance"],
        value["sunburn"],
        value["bitter_pit"],
    )
    unknown_ripening = np.isnan(value["ripening_offset_days"])
    harvest = np.where(unknown_ripening | (harvest >= SEASON_DAYS), np.nan, harvest)
    return SiteFit(
        cultivars=traits.cultivars,
        crop_chance=chance.astype(np.float32),
        bloom=bloom,
        bloom_spread_days=bloom_doubt.astype(np.float32),
        ready=ready,
        harvest_first=harvest,
        harvest_last=harvest + np.float32(14.0),
        harvest_spread_days=np.hypot(own_ripe, SITE_HARVEST_DOUBT_DAYS).astype(np.float32),
        storage_weeks=np.stack([value["storage_weeks_low"], value["storage_weeks_high"]], axis=1),
        factor_years=_factor_years(chill, frost, cold, ripe, alternate) | {"pollination": 10.0 * bees.mean(axis=1)},
        frost_years_if_later=10.0 * crop_after_frost(conditions.frost_chance, frost_day + LATER_DAYS).mean(axis=1),
        cold_harm=cold.harm_by_part,
        likely=10.0 * base * alive,
        low=10.0 * np.clip(base - unknown.loss, 0.0, 1.0) * alive,
        high=10.0 * np.clip(base + unknown.gain, 0.0, 1.0) * alive,
        own_range=10.0 * unknown.own_range * alive,
        crop_by_figure={figure: (base + np.stack(moved)) * alive for figure, moved in unknown.by_figure.items()},
        survives_ten_years=cold.survives_ten_years * (1.0 - sound.death_a_year) ** 10,
        sound=sound.sound,
        sound_spread=sound.spread,
        quality=quality,
        heat_tolerance=value["heat_tolerance"],
        likeness=likeness(
            conditions.summer.winter_minimum_c,
            conditions.summer.summer_c,
            value["origin_winter_c"],
            value["origin_summer_c"],
        ),
        south=conditions.years.seasons.weather.south,
    )


def health_under(pressure: dict[str, float], conditions: SiteConditions, traits: TraitTable, harvest: Floats) -> Health:
    """Sound fruit and deaths by disease under a pressure of each disease; harvest: season days of first ripe fruit."""
    escaped = escaped_share(conditions.health.moth, harvest)
    return health(traits.susceptibility, UNKNOWN_SUSCEPTIBILITY, pressure, conditions.insects, escaped)


def _frost_without_bloom(spread: ClimateSpread) -> float:
    """Doubt of the frost date (d) that does not move bloom too: a climate that is warmer than thought is so in both."""
    return float(np.sqrt(max(spread.last_frost_days**2 - spread.bloom_days**2, 0.0)))


def _frost_with_bloom(spread: ClimateSpread) -> float:
    """Days that frost moves for a day that bloom turns out to be off: all of it, unless frost is the better known."""
    return float(min(1.0, (spread.last_frost_days / max(spread.bloom_days, 0.1)) ** 2))


def _factor_years(chill: Floats, frost: Floats, cold: WinterCold, ripe: Floats, alternate: Floats) -> dict[str, Floats]:
    return {
        "winter_chill": 10.0 * chill.mean(axis=1),
        "frost_at_bloom": 10.0 * frost.mean(axis=1),
        "winter_cold": 10.0 * cold.crop_chance.mean(axis=1) * cold.years_alive_share,
        "ripening_heat": 10.0 * ripe.mean(axis=1),
        "alternate_bearing": 10.0 * alternate,
    }


def _median_day(day: Floats) -> Floats:
    median: Floats = np.median(day, axis=1).astype(np.float32)
    return median


def _years_alive_share(death_a_year: Floats) -> Floats:
    years = np.arange(1, 11, dtype=np.float32)
    share: Floats = ((1.0 - death_a_year)[:, None] ** years).mean(axis=1)
    return share


def _last_month_mean(mean_by_day_c: Floats, harvest: Floats) -> Floats:
    total = np.concatenate([[0.0], np.cumsum(mean_by_day_c, dtype=np.float64)])
    last = np.clip(harvest, RIPENING_WINDOW_DAYS, mean_by_day_c.size - 1).astype(np.int32)
    mean: Floats = ((total[last] - total[last - RIPENING_WINDOW_DAYS]) / RIPENING_WINDOW_DAYS).astype(np.float32)
    return mean
