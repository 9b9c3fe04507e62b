"""Whether fruit ripens: before the season ends, and with warmth enough."""

import numpy as np

from domain.common.arrays import Floats
from domain.common.distributions import PERCENTILE_80, rises
from domain.orchard_site.conditions import SiteConditions
from domain.suitability import sentences
from domain.suitability.crop_figures import FIGURES
from domain.suitability.doubts import Doubt, crop_factor
from domain.suitability.factors import FIRST_WEAK, Factor, Rows, trait_input
from domain.traits.trait_table import TraitTable
from domain.tree_year.bloom import BloomDays, moved
from domain.tree_year.clock import ripening_rate
from domain.tree_year.ripening import first_ripe_day, heat_needed, ripening_days, summer_heat

AUTUMN = slice(430, 480)
"""Season days over which the pace of late ripening is taken: September and October, March and April in the south."""


def first_ripe_here(conditions: SiteConditions, traits: TraitTable, bloom: BloomDays) -> Floats:
    """Season day (cultivars, seasons) of the first ripe fruit, moved by the dates seen at the site."""
    days = ripening_days(traits.value["ripening_offset_days"], traits.value["bloom_offset_days"])
    ready = first_ripe_day(conditions.clock, bloom.full, np.nan_to_num(days, nan=FIGURES.unknown_days_to_ripe))
    if conditions.observed is None:
        return ready
    later = conditions.observed.ripe.days([cultivar.id for cultivar in traits.cultivars])[:, None]
    return moved(ready, later)


def ripening_heat(
    conditions: SiteConditions,
    traits: TraitTable,
    ready: Floats,
    first_ripe: Floats,
    *,
    own_doubt: Floats,
    warm: tuple[Floats, Floats, Floats],
) -> tuple[Factor, tuple[Doubt, ...]]:
    """The factor and its doubts. ready, first_ripe: the days, and the median of each cultivar. own_doubt: their spread
    (cultivars,). warm: of `warm_enough`.
    """
    end = conditions.clock.last_ripening_day
    pace = float(np.clip(ripening_rate(conditions.mean_by_day_c[AUTUMN]).mean(), 0.4, 1.0))
    off = (PERCENTILE_80 * np.hypot(own_doubt, FIGURES.site_harvest_doubt_days) / pace)[:, None].astype(np.float32)
    position = trait_input(traits, "ripening_offset_days")
    likely, cooler, warmer = warm
    in_time, later, sooner = _ripened(ready, end, off)
    ripe = in_time * likely
    doubts = (
        Doubt("harvest", ripe, later * likely, sooner * likely, 1.0),
        Doubt("summer", ripe, in_time * cooler, in_time * warmer, 0.0),
    )
    season_end, south = float(np.median(end)), conditions.years.seasons.weather.south
    first = first_ripe.tolist()

    def at_best(rows: Rows) -> Floats:
        """In time and warm enough where no source says when it ripens."""
        kept: Floats = np.where((position.basis[rows] >= FIRST_WEAK)[:, None], np.float32(1.0), ripe[rows])
        return kept

    factor: Factor = crop_factor(
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


def warm_enough(conditions: SiteConditions, traits: TraitTable) -> tuple[Floats, Floats, Floats]:
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
