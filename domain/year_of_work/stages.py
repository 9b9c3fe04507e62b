"""Stages of each cultivar in each year of the site, from green tip to the first ripe fruit (BBCH codes of pome fruit).

Codes: BBCH-scale (pome fruit), after Meier U. et al., Nachrichtenblatt des Deutschen Pflanzenschutzdienstes 46, 1994
(read in the tables of two encyclopedias): 53 green tips about the flower buds, 57 pink bud, 61 first flowers open, 65
full bloom, 69 all petals fallen, 87 ripe for picking.
"""

from dataclasses import dataclass

import numpy as np

from domain.common.arrays import UNREACHED, Floats
from domain.common.season_days import SEASON_DAYS
from domain.fruit.flower_stages import FLOWER_STAGES
from domain.orchard_site.conditions import SiteConditions
from domain.suitability.site_fit import SiteFit
from domain.traits.trait_table import TraitTable
from domain.tree_year.bloom import release_chill

BBCH = {"green_tip": 53, "pink_bud": 57, "first_bloom": 61, "full_bloom": 65, "petal_fall": 69, "first_ripe": 87}
HEAT_SHARE = {stage.bbch: stage.heat_share for stage in FLOWER_STAGES}


@dataclass(frozen=True)
class StageDays:
    """Season days (cultivars, years) by event, in the order of `BBCH`; NaN where the stage does not come."""

    by_event: dict[str, Floats]


def stage_days(conditions: SiteConditions, traits: TraitTable, fit: SiteFit) -> StageDays:
    """The stages of every cultivar of the fit."""
    clock = conditions.clock
    need = traits.value["chill_portions"][:, None]
    shape = fit.bloom.full.shape
    released = clock.chill.day_reached(np.broadcast_to(release_chill(need), shape).astype(np.float32))
    begun = clock.heat.total_at(np.minimum(released, clock.chill_end))
    whole = clock.heat.total_at(np.minimum(fit.bloom.full, SEASON_DAYS - 1)) - begun

    def at_share(share: float) -> Floats:
        day = clock.heat.day_reached((begun + share * whole).astype(np.float32))
        before: Floats = np.minimum(day, fit.bloom.first - np.float32(1.0))
        return before

    days = {
        "green_tip": at_share(HEAT_SHARE[BBCH["green_tip"]]),
        "pink_bud": at_share(HEAT_SHARE[BBCH["pink_bud"]]),
        "first_bloom": fit.bloom.first,
        "full_bloom": fit.bloom.full,
        "petal_fall": fit.bloom.end,
        "first_ripe": np.where(np.isnan(fit.harvest_first)[:, None], UNREACHED, fit.ready),
    }
    no_bloom = fit.bloom.full >= SEASON_DAYS
    none = {event: no_bloom | (day >= SEASON_DAYS) for event, day in days.items()}
    return StageDays({event: np.where(none[event], np.nan, day).astype(np.float32) for event, day in days.items()})
