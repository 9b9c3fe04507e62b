"""The stages of a tree's flowers in every year of a site: one clock for frost, disease and the calendar.

A bud is in a stage once it has had that stage's share of the heat from release to its full bloom
(fruits/apple/flower_stages.csv). For what meets all trees of a site alike a middling tree stands: it blooms like the
reference cultivar, on no more chill than half of what the site brings.
"""

from dataclasses import dataclass
from typing import Literal

import msgspec
import numpy as np

from domain.common.arrays import UNREACHED, Floats
from domain.common.season_days import SEASON_DAYS
from domain.fruit.flower_stages import FLOWER_STAGES
from domain.tables.parameters import figures
from domain.tree_year.bloom import FIGURES as BLOOM
from domain.tree_year.bloom import BloomDays, bloom_days, release_chill
from domain.tree_year.clock import SiteClock

FlowerStage = Literal["green_tip", "pink_bud", "first_bloom", "full_bloom", "petal_fall"]
BBCH: dict[FlowerStage, int] = {"green_tip": 53, "pink_bud": 57, "first_bloom": 61, "full_bloom": 65, "petal_fall": 69}
"""Codes of the BBCH-scale (pome fruit), after Meier U. et al., Nachrichtenblatt des Deutschen Pflanzenschutzdienstes
46, 1994 (read in the tables of two encyclopedias): 53 green tips about the flower buds, 57 pink bud, 61 first flowers
open, 65 full bloom, 69 all petals fallen."""
HEAT_SHARE = {stage.bbch: stage.heat_share for stage in FLOWER_STAGES}


class StageFigures(msgspec.Struct, frozen=True):
    """The middling tree of a site, and its stages where no year brings any bloom."""

    middling_chill_portions: float
    low_chill_portions: float
    planted_chill_share: float
    fruit_days: float
    no_bloom_day: float
    no_bloom_green_tip_days: float
    no_bloom_first_days: float
    no_bloom_end_days: float


FIGURES = figures("tree_year", "stages", StageFigures)


@dataclass(frozen=True)
class TreeStages:
    """Season days (years,) of the stages of a middling tree."""

    green_tip: Floats
    first_bloom: Floats
    full_bloom: Floats
    petal_fall: Floats
    picking: Floats


def flower_stages(clock: SiteClock, chill_need: Floats, bloom: BloomDays) -> dict[FlowerStage, Floats]:
    """Season days (cultivars, seasons) of the stages, in their order; of no meaning where full bloom is not reached.

    chill_need: (cultivars,) portions. bloom: of the same cultivars.
    """
    need = np.broadcast_to(release_chill(chill_need)[:, None], bloom.full.shape).astype(np.float32)
    begun = clock.heat.total_at(np.minimum(clock.chill.day_reached(need), clock.chill_end))
    whole = clock.heat.total_at(np.minimum(bloom.full, SEASON_DAYS - 1)) - begun

    def before_bloom(stage: FlowerStage) -> Floats:
        day = clock.heat.day_reached((begun + HEAT_SHARE[BBCH[stage]] * whole).astype(np.float32))
        before: Floats = np.minimum(day, bloom.first - np.float32(1.0))
        return before

    return {
        "green_tip": before_bloom("green_tip"),
        "pink_bud": before_bloom("pink_bud"),
        "first_bloom": bloom.first,
        "full_bloom": bloom.full,
        "petal_fall": bloom.end,
    }


def middling_tree(clock: SiteClock) -> TreeStages:
    """Stages of the middling tree in every year; a year in which it does not bloom takes the median of the others."""
    usual_need = FIGURES.planted_chill_share * float(np.median(clock.chill_total))
    need = np.array([min(FIGURES.middling_chill_portions, usual_need)], dtype=np.float32)
    one = np.ones(1, dtype=np.float32)
    bloom = bloom_days(clock, need, 0.0 * one, BLOOM.reference_length_days * one)
    stages = flower_stages(clock, need, bloom)
    reached = bloom.full[0] < UNREACHED

    def in_all_years(stage: FlowerStage, days_from_bloom: float) -> Floats:
        day = stages[stage][0]
        usual = float(np.median(day[reached])) if reached.any() else FIGURES.no_bloom_day + days_from_bloom
        filled: Floats = np.where(reached, day, usual).astype(np.float32)
        return filled

    full = in_all_years("full_bloom", 0.0)
    return TreeStages(
        green_tip=in_all_years("green_tip", -FIGURES.no_bloom_green_tip_days),
        first_bloom=in_all_years("first_bloom", -FIGURES.no_bloom_first_days),
        full_bloom=full,
        petal_fall=in_all_years("petal_fall", FIGURES.no_bloom_end_days),
        picking=full + np.float32(FIGURES.fruit_days),
    )
