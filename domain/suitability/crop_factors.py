"""What decides whether there is a crop: chill, frost at bloom, bees, winter cold, warmth to ripen, biennial bearing.

Each factor is a chance of a worthwhile crop in each season of the site, given all others; the crop is their product.
Where a figure that no source gives would refuse a cultivar, `at_best` says what the most favourable published figure of
any cultivar would leave.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

import msgspec
import numpy as np

from domain.common.arrays import Floats, row_medians
from domain.common.distributions import PERCENTILE_80, rises
from domain.common.season_days import SEASON_DAYS
from domain.hazards.bee_weather import set_at
from domain.hazards.frost_at_bloom import crop_after_frost
from domain.hazards.winter_cold import WinterCold, winter_cold
from domain.orchard_site.bloom_here import bloom_here
from domain.orchard_site.conditions import SiteConditions
from domain.site_climate.figures import ClimateSpread
from domain.suitability import sentences
from domain.suitability.doubts import Doubt, own_share
from domain.suitability.factors import FACTOR_BASES, FIRST_WEAK, Factor, FactorCode, Rows, trait_input
from domain.tables.parameters import figures
from domain.traits.trait_table import TraitTable
from domain.tree_year.bloom import BloomDays, full_bloom, moved
from domain.tree_year.clock import ripening_rate
from domain.tree_year.ripening import first_ripe_day, heat_needed, ripening_days, summer_heat
from domain.tree_year.stages import FIGURES as MIDDLING

AUTUMN = slice(430, 480)
"""Season days over which the pace of late ripening is taken: September and October, March and April in the south."""


class CropFigures(msgspec.Struct, frozen=True):
    """See parameters/suitability.csv, subject crop_factors."""

    chill_slope_share: float
    chill_slope_portions: float
    least_need_portions: float
    ripening_slope_days: float
    picked_firm_days: float
    heat_slope_dd10: float
    never_ripe_short_by_dd10: float
    site_harvest_doubt_days: float
    least_frost_doubt_days: float
    later_days: float
    warm_season_days: float
    strongly_biennial: float
    crops_lost_biennial: float
    unknown_ripening_spread_days: float
    unknown_days_to_ripe: float
    unknown_heat_need_dd10: float


FIGURES = figures("suitability", "crop_factors", CropFigures)

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
    ready = _first_ripe(conditions, traits, bloom)
    first_ripe = row_medians(ready)
    chill, chill_doubt = _kept_beside_dates(conditions, traits, _winter_chill)
    frost, frost_doubt = _frost_at_bloom(conditions, traits, bloom, bloom_spread)
    winter, winter_doubt, colds = _kept_beside_dates(conditions, traits, _winter_cold)
    ripe, ripe_doubts = _ripening_heat(conditions, traits, ready, first_ripe, own_ripe)
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


def _factor(code: FactorCode, doubts: tuple[Doubt, ...], by_season: Floats, **rest: object) -> Factor:
    """A factor of the crop, with the range that its doubts make together."""
    likely = by_season.mean(axis=1)
    down, up = np.zeros_like(likely), np.zeros_like(likely)
    for doubt in doubts:
        ends = np.stack([doubt.pessimistic.mean(axis=1), doubt.optimistic.mean(axis=1)]) - likely
        down += np.minimum(ends.min(axis=0), 0.0) ** 2
        up += np.maximum(ends.max(axis=0), 0.0) ** 2
    return Factor(
        code=code,
        outcome="crop",
        likely=likely,
        low=np.clip(likely - np.sqrt(down), 0.0, 1.0),
        high=np.clip(likely + np.sqrt(up), 0.0, 1.0),
        by_season=by_season,
        **rest,  # type: ignore[arg-type]  # the fields of Factor that differ from factor to factor
    )


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
    factor: Factor = _factor(
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
    factor: Factor = _factor(
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


def _ripening_heat(
    conditions: SiteConditions, traits: TraitTable, ready: Floats, first_ripe: Floats, own_ripe: Floats
) -> tuple[Factor, tuple[Doubt, ...]]:
    end = conditions.clock.last_ripening_day
    pace = float(np.clip(ripening_rate(conditions.mean_by_day_c[AUTUMN]).mean(), 0.4, 1.0))
    off = (PERCENTILE_80 * np.hypot(own_ripe, FIGURES.site_harvest_doubt_days) / pace)[:, None].astype(np.float32)
    position = trait_input(traits, "ripening_offset_days")
    warm, cooler, warmer = _kept_beside_dates(conditions, traits, _warm_enough)
    in_time, later, sooner = _ripened(ready, end, off)
    ripe = in_time * warm
    doubts = (
        Doubt("harvest", ripe, later * warm, sooner * warm, 1.0),
        Doubt("summer", ripe, in_time * cooler, in_time * warmer, 0.0),
    )
    season_end, south = float(np.median(end)), conditions.years.seasons.weather.south
    first = first_ripe.tolist()

    def at_best(rows: Rows) -> Floats:
        """In time and warm enough where no source says when it ripens."""
        kept: Floats = np.where((position.basis[rows] >= FIRST_WEAK)[:, None], np.float32(1.0), ripe[rows])
        return kept

    factor: Factor = _factor(
        "ripening_heat",
        doubts,
        ripe,
        basis=position.basis,
        inputs=(position,),
        sentence=lambda one, row: sentences.ripening(one, row, first[row], season_end, south),
        alike=lambda one: sentences.by_years(one, np.rint(first_ripe).tolist(), np.isnan(position.value).tolist()),
        at_best=at_best,
    )
    return factor, doubts


def heat_to_ripen(traits: TraitTable) -> Floats:
    """Degree days above 10 C (cultivars,) with which fruit is ripe to eat in half of the years."""
    need = heat_needed(traits.value["ripening_offset_days"], traits.value["cooking_heat_dd10"])
    known: Floats = np.nan_to_num(need, nan=FIGURES.unknown_heat_need_dd10)
    return known


def summer_heat_here(conditions: SiteConditions) -> Floats:
    """Degree days (seasons,) as `summer_heat` counts them; kept with the years."""
    return conditions.kept_alike.get("summer_heat", None, lambda: summer_heat(conditions.clock))


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
    factor: Factor = _factor(
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
    factor: Factor = _factor(
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


def _first_ripe(conditions: SiteConditions, traits: TraitTable, bloom: BloomDays) -> Floats:
    """Season day (cultivars, seasons) of the first ripe fruit, moved by the dates seen at the site."""
    days = ripening_days(traits.value["ripening_offset_days"], traits.value["bloom_offset_days"])
    ready = first_ripe_day(conditions.clock, bloom.full, np.nan_to_num(days, nan=FIGURES.unknown_days_to_ripe))
    if conditions.observed is None:
        return ready
    later = conditions.observed.ripe.days([cultivar.id for cultivar in traits.cultivars])[:, None]
    return moved(ready, later)


def _chill_met(total: Floats, need: Floats) -> Floats:
    needs, own = np.unique(need, return_inverse=True)  # many cultivars have one need
    scale = needs * np.float32(FIGURES.chill_slope_share) + np.float32(FIGURES.chill_slope_portions)
    met: Floats = _falling((needs[:, None] - total[None, :]) / scale[:, None])[own]
    return met


def _warm_enough(conditions: SiteConditions, traits: TraitTable) -> tuple[Floats, Floats, Floats]:
    """Chance (cultivars, seasons) of summers with warmth enough: likely, in a cooler climate, in a warmer one.

    Short of warmth fruit stays sharp (fruit_quality); only where it is far too short it ripens for no use at all.
    """
    heat = summer_heat_here(conditions)
    needed = heat_to_ripen(traits) - np.float32(FIGURES.never_ripe_short_by_dd10)
    off = PERCENTILE_80 * np.float32(conditions.years.spread.summer_mean_c * FIGURES.warm_season_days)

    slope = np.float32(FIGURES.heat_slope_dd10)
    return rises(heat, needed, slope), rises(heat, needed + off, slope), rises(heat, needed - off, slope)


def _ripened(ready: Floats, end: Floats, off: Floats) -> tuple[Floats, Floats, Floats]:
    """Chance (cultivars, seasons) to be ripe by the end of the season: likely, and so many days (cultivars, 1) later
    and sooner, whose exponentials are that of the likely day times those of the days.
    """
    slope = np.float32(1.0 / FIGURES.ripening_slope_days)
    late = ready - np.float32(FIGURES.picked_firm_days)
    late -= end
    late *= slope
    odds = np.exp(np.minimum(late, np.float32(60.0), out=late), out=late)
    moved_by = np.exp(off * slope)
    later, sooner = odds * moved_by, odds / moved_by
    ripe, if_later, if_sooner = (
        np.reciprocal(np.add(one, np.float32(1.0), out=one), out=one) for one in (odds, later, sooner)
    )
    return ripe, if_later, if_sooner


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
