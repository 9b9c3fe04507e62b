"""What winter cold does to buds, wood and tree, season by season.

A cultivar's hardiness is the mean yearly minimum of the coldest zone in which it is grown; single winters there go
several degrees lower, so injury starts below it. Nights before the tree has hardened, and after it has softened, count
as colder than they were (domain/tree_year/winter_hardening.py). A year of dead flower buds costs that year's crop, a
year of wood injury two or three crops, a dead tree all that would have come.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from domain.tree_year.curves import Floats
from domain.tree_year.winter_hardening import WINTER_PARTS, WinterExposure

BUDS_BELOW_C, WOOD_BELOW_C, DEATH_BELOW_C = 6.5, 5.5, 9.5
"""Degrees below the hardiness figure at which half of the trees in full rest lose their buds, half are hurt in the
wood, half die. Wood and buds from Iowa in February 1996 (-34.4 C): over half the wood browned in Mutsu and Jonagold, a
fifth to two fifths in Golden Delicious and Gala, none in Jonathan, and spur buds unhurt in all (Iowa State University
Extension, Potential damage from the record low temperatures in February, 1996). Death: common practice, no source."""

SLOPE_C = 1.4
"""Logistic scale. A tenth and nine tenths of the buds of Fuji, Gala and Red Delicious died 4.4 to 5.6 C apart in March
at Prosser (Washington State University AgWeatherNet, Cold hardiness warning, 2014), a scale of 1.0 to 1.3 C."""

WOOD_INJURY_YEARS = 2.5
CROP_LOST_WITH_BUDS = 0.85


@dataclass(frozen=True, eq=False)
class WinterCold:
    """Per cultivar and season the chance of an unhurt crop; per cultivar the chance of living ten years.

    harm_by_part: (cultivars, parts) of the crops and trees lost the share of each of `WINTER_PARTS`.
    """

    crop_chance: Floats
    survives_ten_years: Floats
    years_alive_share: Floats
    harm_by_part: Floats


def winter_minimum(tmin_c: Floats) -> Floats:
    """Lowest daily minimum (seasons,) of the first winter of each season, C."""
    lowest: Floats = tmin_c[:, 60:330].min(axis=1)
    return lowest


def _chance_below(minimum: Floats, limit: Floats) -> Floats:
    chance: Floats = 1.0 / (1.0 + np.exp((minimum[None, :] - limit[:, None]) * np.float32(1.0 / SLOPE_C)))
    return chance


def winter_cold(winters: WinterExposure, hardiness_c: Floats) -> WinterCold:
    """Chances in the winters of a site for cultivars of this hardiness (cultivars,), C."""
    buds = _chance_below(winters.buds_c, hardiness_c - np.float32(BUDS_BELOW_C))
    wood = _chance_below(winters.wood_c, hardiness_c - np.float32(WOOD_BELOW_C))
    death = _chance_below(winters.wood_c, hardiness_c - np.float32(DEATH_BELOW_C)).mean(axis=1)
    lost_to_wood = 1.0 - np.clip(wood.mean(axis=1) * (WOOD_INJURY_YEARS - 1.0), 0.0, 1.0)
    crop = (1.0 - CROP_LOST_WITH_BUDS * buds) * (1.0 - wood) * lost_to_wood[:, None]
    alive = np.maximum(1.0 - death, 1e-9)
    years = np.arange(1, 11, dtype=np.float32)
    harm = CROP_LOST_WITH_BUDS * buds @ _by_part(winters.buds_part)
    harm += WOOD_INJURY_YEARS * wood @ _by_part(winters.wood_part)
    return WinterCold(
        crop_chance=crop.astype(np.float32),
        survives_ten_years=(alive**10).astype(np.float32),
        years_alive_share=(alive[:, None] ** years).mean(axis=1).astype(np.float32),
        harm_by_part=(harm / np.maximum(harm.sum(axis=1, keepdims=True), 1e-9)).astype(np.float32),
    )


def _by_part(part: NDArray[np.int8]) -> Floats:
    """Which season (seasons, parts) had its worst night in which part of the winter, as ones."""
    ones: Floats = (part[:, None] == np.arange(len(WINTER_PARTS))).astype(np.float32)
    return ones
