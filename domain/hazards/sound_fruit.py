"""How much of the fruit is sound without spraying, and what disease takes of the trees themselves."""

from dataclasses import dataclass

import msgspec
import numpy as np

from domain.fruit.diseases import DISEASES
from domain.hazards.infection_models import DISEASE_FIGURES
from domain.hazards.insects import FruitInsect
from domain.tables.parameters import figures
from domain.tree_year.curves import Floats


class SoundFruitFigures(msgspec.Struct, frozen=True):
    """How death follows susceptibility, and how wide susceptibility is where a cultivar was rated or not."""

    death_power: float
    spread_rated: float
    spread_unrated: float


FIGURES = figures("hazards", "sound_fruit", SoundFruitFigures)


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
    weight = np.array([pressure[d] * DISEASE_FIGURES[d].fruit_loss for d in DISEASES], dtype=np.float32)
    kept = np.prod(1.0 - rated * weight, axis=1)
    spread = np.where(np.isnan(susceptibility), FIGURES.spread_unrated, FIGURES.spread_rated)
    doubt = np.sqrt(((spread * weight) ** 2).sum(axis=1)) * kept
    for insect in insects:
        escaped = escapes_codling_moth if insect.by_brood else np.float32(0.0)
        kept = kept * (1.0 - insect.pressure * (1.0 - escaped))
    death = np.zeros(susceptibility.shape[0], dtype=np.float32)
    for column, disease in enumerate(DISEASES):
        if a_year := DISEASE_FIGURES[disease].tree_death_a_year:
            death += a_year * pressure[disease] * rated[:, column] ** FIGURES.death_power
    return Health(
        sound=kept.astype(np.float32),
        spread=doubt.astype(np.float32),
        death_a_year=death,
    )
