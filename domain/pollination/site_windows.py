"""When some cultivars bloom at one site, as far as it bears on which bloom together."""

from collections.abc import Sequence

import msgspec
import numpy as np

from domain.common.arrays import row_medians
from domain.orchard_site.bloom_here import bloom_here
from domain.orchard_site.conditions import SiteConditions
from domain.pollination.bloom_overlap import BloomWindows, of_years, years_kept
from domain.site_climate.predicted_figures import FIGURES as USUAL
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.traits.catalogue import Catalogue
from domain.traits.trait_table import TraitTable
from domain.tree_year.bloom import FIGURES as BLOOM
from domain.tree_year.bloom import full_bloom


class SiteWindowFigures(msgspec.Struct, frozen=True):
    """How far bloom at a site is known."""

    half_span_days: float
    pace: tuple[float, float]
    most_days: float
    estimate_days: float


FIGURES = figures("pollination", "site_windows", SiteWindowFigures)


def site_windows(catalogue: Catalogue, conditions: SiteConditions, cultivars: Sequence[Cultivar]) -> BloomWindows:
    """Bloom of these cultivars in every year of the site; NaN where it is not known (see `windows_of`)."""
    traits = catalogue.choose(list(cultivars))
    return windows_of(conditions, traits)


def windows_of(conditions: SiteConditions, traits: TraitTable) -> BloomWindows:
    """Bloom of the cultivars of a table in every year of the site, NaN where it is not known; kept with the site.

    What is not known of the climate moves all bloom alike and is left out. What is not known of a cultivar's position
    is told in days of the reference places: here it is as many days as their heat takes to come. What is not known of
    its chill need moves its bloom in winters in which chill comes slowly, and hardly at all in cold ones: year by year.

    The years are thinned by the spring of one middling cultivar, whoever is asked for.

    Where no position was adopted, bloom is estimated from the chill need and a position in the middle of all, with the
    spread of the whole range; it counts as known only where that leaves it within a few days.
    """
    return conditions.kept.get("windows", traits, lambda: _windows(conditions, traits))


def _windows(conditions: SiteConditions, traits: TraitTable) -> BloomWindows:
    heat, bloom = conditions.clock.heat, bloom_here(conditions, traits)
    half_span = np.float32(FIGURES.half_span_days)
    around = heat.total_at(bloom.full + half_span) - heat.total_at(bloom.full - half_span)
    heat_a_day = np.maximum(row_medians(around) / (2 * half_span), 1.0)
    pace = np.clip(BLOOM.heat_per_offset_day_gdh / heat_a_day, *FIGURES.pace)
    need, offset = traits.value["chill_portions"], traits.value["bloom_offset_days"]
    later, _ = full_bloom(conditions.clock, need + traits.spread["chill_portions"], offset)
    sooner, _ = full_bloom(conditions.clock, need - traits.spread["chill_portions"], offset)
    by_chill = np.minimum(0.5 * np.abs(later - sooner), np.float32(FIGURES.most_days))
    spread = np.hypot((traits.spread["bloom_offset_days"] * pace)[:, None], by_chill).astype(np.float32)
    observed = np.array(
        [
            "bloom_offset_days" in cultivar.numbers or "blooms_with" in cultivar.findings
            for cultivar in traits.cultivars
        ],
        dtype=np.bool_,
    )
    known = observed | (row_medians(spread) <= FIGURES.estimate_days)
    first, full, end = (
        np.where(known[:, None], days, np.float32(np.nan)).astype(np.float32)
        for days in (bloom.first, bloom.full, bloom.end)
    )
    windows = BloomWindows(first, full, end, spread, at_site=True, foraging=conditions.foraging)
    middling = np.array([USUAL.middle_chill_need]), np.array([USUAL.middle_bloom_offset_days])
    return of_years(windows, years_kept(full_bloom(conditions.clock, *middling)[0][0]))
