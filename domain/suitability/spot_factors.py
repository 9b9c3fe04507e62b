"""What the light and the ground of a spot leave of the crop, alike for every cultivar and every season."""

from collections.abc import Callable
from functools import partial

import numpy as np

from domain.common.arrays import Floats
from domain.hazards.spot import Spot
from domain.suitability import sentences
from domain.suitability.factors import FACTOR_BASES, Factor, FactorCode
from domain.tables.words import Sentence


def spot_factors(spot: Spot, cultivars: int, seasons: int) -> tuple[Factor, ...]:
    """The factors of too few hours of sun and of the ground, where they take something."""
    found = []
    if spot.sun_hours is not None:
        told = partial(sentences.sunlight, hours=spot.sun_hours)
        found.append(_alike("sunlight", spot.crop_chance, (cultivars, seasons), told))
    if spot.crop_shares:
        told = partial(sentences.ground, shares=spot.crop_shares)
        found.append(_alike("ground", spot.ground_crop_chance, (cultivars, seasons), told))
    return tuple(found)


def _alike(code: FactorCode, left: float, shape: tuple[int, int], told: Callable[[Factor, int], Sentence]) -> Factor:
    """A factor that leaves every cultivar the same chance of a crop in every season."""
    likely: Floats = np.full(shape[0], left, dtype=np.float32)
    chance: Floats = np.broadcast_to(likely[:, None], shape)
    factor: Factor = Factor(
        code=code,
        outcome="crop",
        likely=likely,
        low=likely,
        high=likely,
        by_season=chance,
        basis=np.full(shape[0], FACTOR_BASES.index("computed"), dtype=np.int8),
        inputs=(),
        sentence=told,
        alike=sentences.by_years,
        at_best=lambda rows: chance[rows],
    )
    return factor
