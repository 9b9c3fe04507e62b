"""How much of the fruit is sound without spraying, and what disease takes of the trees themselves."""

from dataclasses import dataclass

import numpy as np

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


@dataclass(frozen=True)
class Health:
    """Per cultivar: share of sound fruit unsprayed (0..1), its spread, and the yearly chance of death by disease."""

    sound: Floats
    spread: Floats
    death_a_year: Floats


def health(
    susceptibility: Floats,
    unknown: float,
    pressure: dict[str, float],
    insects: tuple[FruitInsect, ...],
    escapes_codling_moth: Floats,
) -> Health:
    """Combine susceptibility (cultivars, diseases; NaN unknown) with the pressure of each disease and insect.

    escapes_codling_moth: (cultivars,) share of the strikes, 0..1, that come after a cultivar is picked.
    """
    rated = np.where(np.isnan(susceptibility), unknown, susceptibility)
    weight = np.array([pressure[d] * FRUIT_LOSS[d] for d in DISEASES], dtype=np.float32)
    kept = np.prod(1.0 - rated * weight, axis=1)
    doubt = np.sqrt(((np.where(np.isnan(susceptibility), 0.25, 0.10) * weight) ** 2).sum(axis=1)) * kept
    for insect in insects:
        escaped = escapes_codling_moth if insect.insect == "codling_moth" else np.float32(0.0)
        kept = kept * (1.0 - insect.pressure * (1.0 - escaped))
    death = np.zeros(susceptibility.shape[0], dtype=np.float32)
    for disease, a_year in TREE_DEATH_A_YEAR.items():
        death += a_year * pressure[disease] * rated[:, DISEASES.index(disease)] ** 1.5
    return Health(
        sound=kept.astype(np.float32),
        spread=doubt.astype(np.float32),
        death_a_year=death,
    )
