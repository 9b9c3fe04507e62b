"""What decides whether there is a crop: chill, frost at bloom, bees, winter cold, warmth to ripen, biennial bearing.

Each factor is a chance of a worthwhile crop in each season of the site, given all others; the crop is their product.
Where a figure that no source gives would refuse a cultivar, `at_best` says what the most favourable published figure of
any cultivar would leave.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

import numpy as np

from domain.common.arrays import Floats, row_medians
from domain.common.distributions import PERCENTILE_80
from domain.common.season_days import SEASON_DAYS
from domain.hazards.bee_weather import set_at
from domain.hazards.frost_at_bloom import crop_after_frost
from domain.hazards.winter_cold import WinterCold, winter_cold
from domain.orchard_site.bloom_here import bloom_here
from domain.orchard_site.conditions import SiteConditions
from domain.site_climate.figures import ClimateSpread
from domain.suitability import sentences
from domain.suitability.crop_figures import FIGURES
from domain.suitability.doubts import Doubt, crop_factor, own_share
from domain.suitability.factors import FACTOR_BASES, Factor, FactorCode, trait_input
from domain.suitability.ripening_heat import first_ripe_here, ripening_heat, warm_enough
from domain.traits.trait_table import TraitTable
from domain.tree_year.bloom import BloomDays, full_bloom, moved
from domain.tree_year.stages import FIGURES as MIDDLING

T = TypeVar("T")

MOVED_BY_DATES: frozenset[FactorCode] = frozenset({"frost_at_bloom", "ripening_heat"})
"""Factors of the crop that turn on the days of bloom and picking, and so on the dates seen at the site."""
MOVED_BY_SPOT: frozenset[FactorCode] = frozenset({"pollination"})
"""Factors of the crop that turn on the spot: its wind keeps bees away."""


@dataclass(frozen=True, eq=False)
class CropFactors:
    """The factors of the crop, the doubts they carry, and the days they were reckoned from (cultivars, seasons).

    first_ripe: (cultivars,) the median of `ready`. cold: winter cold, which also takes trees; survives_cold: chance to
    live ten winters, likely, low and high. annual: share of the crops that bearing every other year leaves. The spreads
    are (cultivars,). site_frost: share of springs that frost leaves to a late-blooming cultivar; site_chill: share of
    winters with chill enough for the one that needs least: what they take beyond that is the site's and not a
    cultivar's.
    """

    factors: tuple[Factor, ...]
    doubts: tuple[Doubt, ...]
    bloom: BloomDays
    ready: Floats
    first_ripe: Floats
    cold: WinterCold
    survives_cold: tuple[Floats, Floats, Floats]
    annual: Floats
    site_frost: float
    site_chill: float
    bloom_spread_days: Floats
    harvest_spread_days: Floats


def crop_factors(conditions: SiteConditions, traits: TraitTable) -> CropFactors:
    """The factors of the crop of every cultivar of a table at a site, on open ground: light and soil are left out."""
    bloom = bloom_here(conditions, traits)
    own_bloom = traits.spread["bloom_offset_days"]
    own_ripe = np.nan_to_num(traits.spread["ripening_offset_days"], nan=FIGURES.unknown_ripening_spread_days)
    observed = conditions.observed
    if observed is not None:
        names = [cultivar.id for cultivar in traits.cultivars]
        own_bloom, own_ripe = observed.bloom.spread(names, own_bloom), observed.ripe.spread(names, own_ripe)
    bloom_spread = np.hypot(own_bloom, np.float32(FIGURES.least_frost_doubt_days))
    ready = first_ripe_here(conditions, traits, bloom)
    first_ripe = row_medians(ready)
    chill, chill_doubt = _kept_beside_dates(conditions, traits, _winter_chill)
    frost, frost_doubt = _frost_at_bloom(conditions, traits, bloom, bloom_spread)
    winter, winter_doubt, colds = _kept_beside_dates(conditions, traits, _winter_cold)
    warm = _kept_beside_dates(conditions, traits, warm_enough)
    ripe, ripe_doubts = ripening_heat(conditions, traits, ready, first_ripe, own_doubt=own_ripe, warm=warm)
    site_frost, site_chill = _kept_beside_dates(conditions, traits, _site_leaves)
    seasons = conditions.clock.chill.seasons
    biennial, biennial_doubt = traits.kept.get(  # the same at every site
        "alternate_bearing", (FIGURES, sentences.FIGURES, seasons), lambda: _alternate_bearing(traits, seasons)
    )
    factors = (chill, frost, winter, ripe, biennial, _pollination(conditions, bloom))
    return CropFactors(
        factors=_as_before(conditions, traits, factors),
        doubts=(chill_doubt, frost_doubt, winter_doubt, *ripe_doubts, biennial_doubt),
        bloom=bloom,
        ready=ready,
        first_ripe=first_ripe,
        cold=colds[0],
        survives_cold=(colds[0].survives_ten_years, colds[1].survives_ten_years, colds[2].survives_ten_years),
        annual=biennial.likely,
        site_frost=site_frost,
        site_chill=site_chill,
        bloom_spread_days=bloom_spread.astype(np.float32),
        harvest_spread_days=np.hypot(own_ripe, FIGURES.site_harvest_doubt_days).astype(np.float32),
    )


def _kept_beside_dates(
    conditions: SiteConditions, traits: TraitTable, found: Callable[[SiteConditions, TraitTable], T]
) -> T:
    """What is found without looking at dates seen; where there are some it is kept, since more may be asked after."""
    if conditions.observed is None:
        return found(conditions, traits)
    return conditions.kept_alike.get(found.__name__, traits, lambda: found(conditions, traits))


def _as_before(conditions: SiteConditions, traits: TraitTable, factors: tuple[Factor, ...]) -> tuple[Factor, ...]:
    """The factors; where the same years had an equal one on other ground or with other dates, that, for what is told of
    each cultivar is kept with it.
    """
    moved_here = MOVED_BY_SPOT if conditions.observed is None else MOVED_BY_SPOT | MOVED_BY_DATES
    alike = [one for one in factors if one.code not in moved_here]
    before = {one.code: conditions.kept_alike.get(one.code, traits, partial(_itself, one)) for one in alike}
    return tuple(before.get(one.code, one) for one in factors)


def _itself(factor: Factor) -> Factor:
    return factor


def _winter_chill(conditions: SiteConditions, traits: TraitTable) -> tuple[Factor, Doubt]:
    need, total = trait_input(traits, "chill_portions"), conditions.clock.chill_total
    site_doubt = float(conditions.years.spread.chill_portions)
    off = PERCENTILE_80 * np.hypot(need.deviation, site_doubt)
    chill = _chill_met(total, need.value)
    doubt = Doubt(
        "winter_chill",
        chill,
        _chill_met(total, need.value + off),
        _chill_met(total, np.maximum(need.value - off, np.float32(FIGURES.least_need_portions))),
        own_share(need.deviation, site_doubt),
    )
    least = np.float32(traits.published_range["chill_portions"][0])
    # The sentences hold these and not the conditions, which keep them: a ring would outlive the site.
    brings, south = round(float(conditions.years.seasons.dormant_portions.mean()), 1), conditions.years.south
    factor: Factor = crop_factor(
        "winter_chill",
        (doubt,),
        chill,
        basis=need.basis,
        inputs=(need,),
        sentence=lambda one, row: sentences.chill(one, row, brings, south),
        alike=lambda one: sentences.by_years(one, need.told),
        at_best=lambda rows: _chill_met(total, np.fmin(need.value[rows], least)),
    )
    return factor, doubt


def _site_leaves(conditions: SiteConditions, traits: TraitTable) -> tuple[float, float]:
    """Shares of springs and winters that the site leaves to what suits it best (`CropFactors`)."""
    return _site_frost(conditions), _site_chill(conditions, traits)


def _site_chill(conditions: SiteConditions, traits: TraitTable) -> float:
    """Share of winters with chill enough for the least need that a source gives of any cultivar; all if none does."""
    least = np.array([traits.published_range["chill_portions"][0]], dtype=np.float32)
    return 1.0 if np.isnan(least[0]) else float(_chill_met(conditions.clock.chill_total, least).mean())


def _frost_at_bloom(
    conditions: SiteConditions, traits: TraitTable, bloom: BloomDays, bloom_spread: Floats
) -> tuple[Factor, Doubt]:
    spread = conditions.years.spread
    day = bloom.full
    if conditions.observed is not None:
        # A spring that is later than thought is so in its frosts too, unless these are known.
        day = moved(day, np.float32(-conditions.observed.bloom.site.days * _frost_with_bloom(spread)))
    off = (PERCENTILE_80 * np.hypot(bloom_spread, _frost_without_bloom(spread)))[:, None]
    days = (day, moved(day, -off), moved(day, off), moved(day, np.float32(FIGURES.later_days)))
    usual = conditions.kept_alike.get("usual_bloom", None, lambda: _usual_bloom(conditions))
    frost, sooner, otherwise, much_later, _ = conditions.frost_chance.chances(*days, usual)
    doubt = Doubt("last_spring_frost", frost, sooner, otherwise, own_share(bloom_spread, _frost_without_bloom(spread)))
    later = much_later.mean(axis=1)
    position = trait_input(traits, "bloom_offset_days")
    middle, told_later = bloom.middle[1], later.tolist()
    full = middle.tolist()
    south = conditions.years.seasons.weather.south
    factor: Factor = crop_factor(
        "frost_at_bloom",
        (doubt,),
        frost,
        basis=position.basis,
        inputs=(position,),
        sentence=lambda one, row: sentences.frost(one, row, full[row], told_later[row], south),
        alike=lambda one: sentences.by_years(
            one, np.rint(middle).tolist(), (middle >= SEASON_DAYS).tolist(), sentences.rounded(later, 10.0)
        ),
        at_best=lambda rows: np.ones_like(frost[rows]),
    )
    return factor, doubt


def _site_frost(conditions: SiteConditions) -> float:
    """Share of springs that frost leaves to a cultivar that blooms some days after the middling one."""
    day = conditions.kept_alike.get("usual_bloom", None, lambda: _usual_bloom(conditions))
    return float(crop_after_frost(conditions.frost_chance, day).mean())


def _usual_bloom(conditions: SiteConditions) -> Floats:
    """Days (1, seasons) of full bloom of a cultivar that blooms some days after the middling one."""
    usual = np.array([MIDDLING.middling_chill_portions], dtype=np.float32)
    day, _ = full_bloom(conditions.clock, usual, np.array([FIGURES.later_days], dtype=np.float32))
    return day


def _winter_cold(
    conditions: SiteConditions, traits: TraitTable
) -> tuple[Factor, Doubt, tuple[WinterCold, WinterCold, WinterCold]]:
    hardiness = trait_input(traits, "hardiness_c")
    site_doubt = float(conditions.years.spread.winter_minimum_c)
    off = PERCENTILE_80 * np.hypot(hardiness.deviation, site_doubt)
    winters = conditions.winters
    likely, low, high = (winter_cold(winters, hardiness.value + side * off) for side in (0.0, 1.0, -1.0))
    doubt = Doubt(
        "winter_minimum",
        likely.crop_chance,
        low.crop_chance,
        high.crop_chance,
        own_share(hardiness.deviation, site_doubt),
    )
    hardiest = np.float32(traits.published_range["hardiness_c"][0])
    site_c, winters = float(conditions.winter_minimum_c.mean()), conditions.winters
    factor: Factor = Factor(
        code="winter_cold",
        outcome="crop",
        likely=likely.crop_chance.mean(axis=1) * likely.years_alive_share,
        low=low.crop_chance.mean(axis=1) * low.years_alive_share,
        high=high.crop_chance.mean(axis=1) * high.years_alive_share,
        by_season=likely.crop_chance,
        basis=hardiness.basis,
        inputs=(hardiness,),
        sentence=lambda one, row: sentences.cold(one, row, site_c, likely),
        alike=lambda one: sentences.by_years(one, hardiness.told, likely.worst_parts),
        at_best=lambda rows: winter_cold(winters, np.fmin(hardiness.value[rows], hardiest)).crop_chance,
    )
    return factor, doubt, (likely, low, high)


def _alternate_bearing(traits: TraitTable, seasons: int) -> tuple[Factor, Doubt]:
    biennial = trait_input(traits, "biennial")
    off = PERCENTILE_80 * biennial.deviation
    years = _annual(biennial.value)
    doubt = Doubt(
        "biennial",
        _each_season(years, seasons),
        _each_season(_annual(biennial.value + off), seasons),
        _each_season(_annual(biennial.value - off), seasons),
        1.0,
    )
    factor: Factor = crop_factor(
        "alternate_bearing",
        (doubt,),
        _each_season(years, seasons),
        basis=biennial.basis,
        inputs=(biennial,),
        sentence=sentences.alternate,
        alike=sentences.by_years,
        at_best=lambda rows: np.ones((rows.size, seasons), dtype=np.float32),
    )
    return factor, doubt


def _pollination(conditions: SiteConditions, bloom: BloomDays) -> Factor:
    bees = set_at(conditions.set_chance, bloom.full)
    assumed = np.full(bees.shape[0], FACTOR_BASES.index("assumed"), dtype=np.int8)
    factor: Factor = crop_factor(
        "pollination",
        (),
        bees,
        basis=assumed,
        inputs=(),
        sentence=sentences.pollination,
        alike=sentences.by_years,
        at_best=lambda rows: bees[rows],
    )
    return factor


def _chill_met(total: Floats, need: Floats) -> Floats:
    needs, own = np.unique(need, return_inverse=True)  # many cultivars have one need
    scale = needs * np.float32(FIGURES.chill_slope_share) + np.float32(FIGURES.chill_slope_portions)
    met: Floats = _falling((needs[:, None] - total[None, :]) / scale[:, None])[own]
    return met


def _falling(x: Floats) -> Floats:
    """Logistic step from 1 far below zero to 0 far above, in single precision."""
    share: Floats = 1.0 / (1.0 + np.exp(np.minimum(x, np.float32(60.0))))
    return share


def _annual(biennial: Floats) -> Floats:
    """Share of the crops that a cultivar keeps beside one that bears every year."""
    over = (biennial - FIGURES.strongly_biennial) / (1.0 - FIGURES.strongly_biennial)
    kept: Floats = (1.0 - FIGURES.crops_lost_biennial * np.clip(over, 0.0, 1.0)).astype(np.float32)
    return kept


def _each_season(share: Floats, seasons: int) -> Floats:
    spread: Floats = np.broadcast_to(share[:, None], (share.size, seasons))
    return spread


def _frost_without_bloom(spread: ClimateSpread) -> float:
    """Doubt of the frost date (d) that does not move bloom too: a climate that is warmer than thought is so in both."""
    return float(np.sqrt(max(spread.last_frost_days**2 - spread.bloom_days**2, 0.0)))


def _frost_with_bloom(spread: ClimateSpread) -> float:
    """Days that frost moves for a day that bloom turns out to be off: all of it, unless frost is the better known."""
    return float(min(1.0, (spread.last_frost_days / max(spread.bloom_days, 0.1)) ** 2))
