"""What winter cold does to buds, wood and tree, season by season.

A cultivar's hardiness is the mean yearly minimum of the coldest zone in which it is grown; single winters there go
several degrees lower, so injury starts below it. A year of dead flower buds costs that year's crop, a year of wood
injury two or three crops, a dead tree all that would have come.
"""

from dataclasses import dataclass

import numpy as np

from domain.phenology.curves import Floats

BUDS_BELOW_C, WOOD_BELOW_C, DEATH_BELOW_C = 4.5, 6.0, 9.5
"""Degrees below the hardiness figure at which half of the trees lose their buds, half are hurt in the wood, half die.
Common practice, no source: a zone's own coldest winters, three to five degrees under its mean minimum, are survived."""

SLOPE_C = 1.4
WOOD_INJURY_YEARS = 2.5


@dataclass(frozen=True)
class WinterCold:
    """Per cultivar and season the chance of an unhurt crop; per cultivar the chance of living ten years."""

    crop_chance: Floats
    survives_ten_years: Floats
    years_alive_share: Floats


def winter_minimum(tmin_c: Floats) -> Floats:
    """Lowest daily minimum (seasons,) of the first winter of each season, C."""
    lowest: Floats = tmin_c[:, 60:330].min(axis=1)
    return lowest


def _chance_below(minimum: Floats, limit: Floats) -> Floats:
    chance: Floats = 1.0 / (1.0 + np.exp((minimum[None, :] - limit[:, None]) * np.float32(1.0 / SLOPE_C)))
    return chance


def winter_cold(minimum_c: Floats, hardiness_c: Floats) -> WinterCold:
    """Chances under yearly minima (seasons,) for cultivars of this hardiness (cultivars,), both C."""
    buds = _chance_below(minimum_c, hardiness_c - np.float32(BUDS_BELOW_C))
    wood = _chance_below(minimum_c, hardiness_c - np.float32(WOOD_BELOW_C))
    death = _chance_below(minimum_c, hardiness_c - np.float32(DEATH_BELOW_C)).mean(axis=1)
    lost_to_wood = 1.0 - np.clip(wood.mean(axis=1) * (WOOD_INJURY_YEARS - 1.0), 0.0, 1.0)
    crop = (1.0 - 0.85 * buds) * (1.0 - wood) * lost_to_wood[:, None]
    alive = np.maximum(1.0 - death, 1e-9)
    years = np.arange(1, 11, dtype=np.float32)
    return WinterCold(
        crop_chance=crop.astype(np.float32),
        survives_ten_years=(alive**10).astype(np.float32),
        years_alive_share=(alive[:, None] ** years).mean(axis=1).astype(np.float32),
    )
