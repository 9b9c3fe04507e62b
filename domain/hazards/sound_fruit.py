"""How much of the fruit is sound without spraying, and what disease takes of the trees themselves."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from domain.hazards.insects import FruitInsect
from domain.tables.cultivars import DISEASES
from domain.tree_year.curves import Floats

FRUIT_LOSS = {
    "scab": 0.80,
    "fire_blight": 0.10,
    "powdery_mildew": 0.20,
    "cedar_apple_rust": 0.35,
    "canker": 0.05,
    "bitter_rot": 0.60,
    "black_rot": 0.35,
    "white_rot": 0.35,
    "glomerella_leaf_spot": 0.60,
    "sooty_blotch_flyspeck": 0.15,
}
"""Share of the fruit a very susceptible cultivar loses under full pressure, unsprayed; common practice, no source."""

TREE_DEATH_A_YEAR = {"fire_blight": 0.035, "canker": 0.02}
"""Chance a year that the disease kills a very susceptible tree under full pressure; common practice, no source."""


UNKNOWN_SPREAD = 0.25
"""Spread of the susceptibility of a cultivar that nobody rated."""


@dataclass(frozen=True)
class Health:
    """Per cultivar: share of sound fruit unsprayed (0..1), its spread, and the yearly chance of death by disease.

    death_spread: of that chance. counts, kills: (diseases,) what sound fruit and the tree's life chiefly rest on: the
    diseases with at least a tenth of all that disease could take here.
    """

    sound: Floats
    spread: Floats
    death_a_year: Floats
    death_spread: Floats
    counts: NDArray[np.bool_]
    kills: NDArray[np.bool_]


def health(
    susceptibility: Floats,
    spread: Floats,
    pressure: dict[str, float],
    insects: tuple[FruitInsect, ...],
    escapes_codling_moth: Floats,
    *,
    unknown: float,
    much_of_the_loss: float = 0.1,
) -> Health:
    """Combine susceptibility and its spread (cultivars, diseases; NaN unknown) with the pressure of each of them.

    escapes_codling_moth: (cultivars,) share of the strikes, 0..1, that come after a cultivar is picked.
    """
    unrated = np.isnan(susceptibility)
    rated = np.where(unrated, np.float32(unknown), susceptibility)
    off = np.where(unrated, np.float32(UNKNOWN_SPREAD), spread)
    weight = np.array([pressure[d] * FRUIT_LOSS[d] for d in DISEASES], dtype=np.float32)
    kept = np.prod(1.0 - rated * weight, axis=1)
    doubt = np.sqrt(((off * weight) ** 2).sum(axis=1)) * kept
    for insect in insects:
        escaped = escapes_codling_moth if insect.insect == "codling_moth" else np.float32(0.0)
        kept = kept * (1.0 - insect.pressure * (1.0 - escaped))
    deadly = np.array([TREE_DEATH_A_YEAR.get(d, 0.0) * pressure[d] for d in DISEASES], dtype=np.float32)
    death = (rated**1.5) @ deadly
    death_doubt = np.sqrt(((1.5 * np.sqrt(rated) * off * deadly) ** 2).sum(axis=1))
    return Health(
        sound=kept.astype(np.float32),
        spread=doubt.astype(np.float32),
        death_a_year=death.astype(np.float32),
        death_spread=death_doubt.astype(np.float32),
        counts=weight > much_of_the_loss * max(float(weight.sum()), 1e-9),
        kills=deadly > much_of_the_loss * max(float(deadly.sum()), 1e-9),
    )
