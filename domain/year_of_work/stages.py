"""Stages of each cultivar in each year of the site, from green tip to the first ripe fruit, with their BBCH codes."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from domain.common.arrays import UNREACHED, Floats
from domain.common.season_days import SEASON_DAYS
from domain.orchard_site.conditions import SiteConditions
from domain.suitability.site_fit import SiteFit
from domain.traits.trait_table import TraitTable
from domain.tree_year import stages

StageCode = Literal[stages.FlowerStage, "first_ripe"]
BBCH = dict[StageCode, int]([*stages.BBCH.items(), ("first_ripe", 87)])
"""Those of flowers, and 87: ripe for picking, of the same scale."""


@dataclass(frozen=True)
class StageDays:
    """Season days (cultivars, years) by stage, in the order of `BBCH`; NaN where the stage does not come."""

    by_event: dict[StageCode, Floats]

    def earliest(self, otherwise: stages.TreeStages) -> stages.TreeStages:
        """The earliest of the trees in each stage of each year; `otherwise` in years in which none comes to it."""

        def first(event: StageCode, usual: Floats) -> Floats:
            day = np.fmin.reduce(self.by_event[event], axis=0)
            filled: Floats = np.where(np.isnan(day), usual, day).astype(np.float32)
            return filled

        return stages.TreeStages(
            green_tip=first("green_tip", otherwise.green_tip),
            first_bloom=first("first_bloom", otherwise.first_bloom),
            full_bloom=first("full_bloom", otherwise.full_bloom),
            petal_fall=first("petal_fall", otherwise.petal_fall),
            picking=first("first_ripe", otherwise.picking),
        )


def stage_days(conditions: SiteConditions, traits: TraitTable, fit: SiteFit) -> StageDays:
    """The stages of every cultivar of the fit."""
    ripe = np.where(np.isnan(fit.harvest_first)[:, None], UNREACHED, fit.ready)
    flowers = stages.flower_stages(conditions.clock, traits.value["chill_portions"], fit.bloom)
    days = dict[StageCode, Floats]([*flowers.items(), ("first_ripe", ripe)])
    no_bloom = fit.bloom.full >= SEASON_DAYS
    none = {event: no_bloom | (day >= SEASON_DAYS) for event, day in days.items()}
    return StageDays({event: np.where(none[event], np.nan, day).astype(np.float32) for event, day in days.items()})
