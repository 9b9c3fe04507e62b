"""What winter cold does to buds, wood and tree, season by season.

A cultivar's hardiness is the mean yearly minimum of the coldest zone in which it is grown; single winters there go
several degrees lower, so injury starts below it. Nights before the tree has hardened, and after it has softened, count
as colder than they were (domain/tree_year/winter_hardening.py). A year of dead flower buds costs that year's crop, a
year of wood injury two or three crops, a dead tree all that would have come.
"""

from dataclasses import dataclass
from functools import cached_property

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import Floats
from domain.tables.parameters import figures
from domain.tree_year.winter_hardening import WINTER_PARTS, WinterExposure


class WinterColdFigures(msgspec.Struct, frozen=True):
    """Degrees (C) below the hardiness figure at which half of the trees in full rest are hurt, and what that costs.

    slope_c: logistic scale. wood_injury_years: crops lost to a year of wood injury.
    """

    buds_below_c: float
    wood_below_c: float
    death_below_c: float
    slope_c: float
    wood_injury_years: float
    crop_lost_with_buds: float


FIGURES = figures("hazards", "winter_cold", WinterColdFigures)


@dataclass(frozen=True, eq=False)
class WinterCold:
    """Per cultivar and season the chance of an unhurt crop; per cultivar the chance of living ten years.

    harm_by_part: (cultivars, parts) of the crops and trees lost the share of each of `WINTER_PARTS`.
    """

    crop_chance: Floats
    survives_ten_years: Floats
    years_alive_share: Floats
    harm_by_part: Floats

    @cached_property
    def worst_parts(self) -> list[tuple[int, int, float]]:
        """For each cultivar the two parts of winter that harm it most, and the share of the second."""
        order = np.argsort(-self.harm_by_part, axis=1, kind="stable")[:, :2]
        second = np.take_along_axis(self.harm_by_part, order[:, 1:], axis=1)[:, 0]
        return list(zip(*order.T.tolist(), second.tolist(), strict=True))


def _chance_below(minimum: Floats, limit: Floats) -> Floats:
    chance: Floats = 1.0 / (1.0 + np.exp((minimum[None, :] - limit[:, None]) * np.float32(1.0 / FIGURES.slope_c)))
    return chance


def winter_cold(winters: WinterExposure, hardiness_c: Floats) -> WinterCold:
    """Chances in the winters of a site for cultivars of this hardiness (cultivars,), C."""
    hardy, own = np.unique(hardiness_c, return_inverse=True)  # many cultivars are as hardy as others
    buds = _chance_below(winters.buds_c, hardy - np.float32(FIGURES.buds_below_c))
    wood = _chance_below(winters.wood_c, hardy - np.float32(FIGURES.wood_below_c))
    death = _chance_below(winters.wood_c, hardy - np.float32(FIGURES.death_below_c)).mean(axis=1)
    lost_to_wood = 1.0 - np.clip(wood.mean(axis=1) * (FIGURES.wood_injury_years - 1.0), 0.0, 1.0)
    crop = (1.0 - FIGURES.crop_lost_with_buds * buds) * (1.0 - wood) * lost_to_wood[:, None]
    alive = np.maximum(1.0 - death, 1e-9)
    years = np.arange(1, 11, dtype=np.float32)
    harm = FIGURES.crop_lost_with_buds * buds @ _by_part(winters.buds_part)
    harm += FIGURES.wood_injury_years * wood @ _by_part(winters.wood_part)
    return WinterCold(
        crop_chance=crop.astype(np.float32)[own],
        survives_ten_years=(alive**10).astype(np.float32)[own],
        years_alive_share=(alive[:, None] ** years).mean(axis=1).astype(np.float32)[own],
        harm_by_part=(harm / np.maximum(harm.sum(axis=1, keepdims=True), 1e-9)).astype(np.float32)[own],
    )


def _by_part(part: NDArray[np.int8]) -> Floats:
    """Which season (seasons, parts) had its worst night in which part of the winter, as ones."""
    ones: Floats = (part[:, None] == np.arange(len(WINTER_PARTS))).astype(np.float32)
    return ones
