"""When some cultivars bloom at one site, as far as it bears on which bloom together."""

from collections.abc import Sequence

import numpy as np

from domain.orchard_site.conditions import SiteConditions
from domain.pollination.bloom_overlap import BloomWindows
from domain.suitability.site_fit import SiteFit, site_fit
from domain.suitability.suitabilities import Catalogue
from domain.tables.cultivars import Cultivar
from domain.traits.trait_table import TraitTable
from domain.tree_year.bloom import HEAT_PER_OFFSET_DAY_GDH, full_bloom

HALF_SPAN_DAYS = np.float32(3.0)
"""Days before and after full bloom over which the heat of a day is taken."""

PACE = (0.3, 2.0)
"""Bounds on the days here for a day at the reference places."""

MOST_DAYS = 30.0
"""Bound on the days by which an unknown chill need moves bloom."""

ESTIMATE_DAYS = 6.0
"""Standard deviation (d) up to which an estimated bloom counts as known: half a bloom."""


def site_windows(catalogue: Catalogue, conditions: SiteConditions, cultivars: Sequence[Cultivar]) -> BloomWindows:
    """Bloom of these cultivars in every year of the site; NaN where it is not known (see `windows_of`)."""
    traits = catalogue.choose(list(cultivars))
    return windows_of(conditions, site_fit(conditions, traits), traits)


def windows_of(conditions: SiteConditions, fit: SiteFit, traits: TraitTable) -> BloomWindows:
    """The same from a fit at hand.

    What is not known of the climate moves all bloom alike and is left out. What is not known of a cultivar's position
    is told in days of the reference places: here it is as many days as their heat takes to come. What is not known of
    its chill need moves its bloom where chill comes slowly, and hardly at all in cold winters.

    Where no position was adopted, bloom is estimated from the chill need and a position in the middle of all, with the
    spread of the whole range; it counts as known only where that leaves it within a few days.
    """
    heat = conditions.clock.heat
    around = heat.total_at(fit.bloom.full + HALF_SPAN_DAYS) - heat.total_at(fit.bloom.full - HALF_SPAN_DAYS)
    heat_a_day = np.maximum(np.median(around, axis=1) / (2 * HALF_SPAN_DAYS), 1.0)
    pace = np.clip(HEAT_PER_OFFSET_DAY_GDH / heat_a_day, *PACE)
    need, offset = traits.value["chill_portions"], traits.value["bloom_offset_days"]
    later, _ = full_bloom(conditions.clock, need + traits.spread["chill_portions"], offset)
    by_chill = np.minimum(np.median(np.abs(later - fit.bloom.full), axis=1), MOST_DAYS)
    spread = np.hypot(traits.spread["bloom_offset_days"] * pace, by_chill)
    observed = np.array(
        ["bloom_offset_days" in cultivar.numbers or "blooms_with" in cultivar.findings for cultivar in fit.cultivars],
        dtype=np.bool_,
    )
    known = observed | (spread <= ESTIMATE_DAYS)
    first, full, end = (
        np.where(known[:, None], days, np.float32(np.nan)).astype(np.float32)
        for days in (fit.bloom.first, fit.bloom.full, fit.bloom.end)
    )
    return BloomWindows(first, full, end, spread.astype(np.float32), at_site=True, foraging=conditions.foraging)
