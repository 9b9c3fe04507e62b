"""How much of the fruit is sound without spraying, and what disease takes of the trees themselves."""

from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import Floats
from domain.fruit.diseases import DISEASES
from domain.hazards.infection_models import DISEASE_FIGURES
from domain.hazards.insects import FruitInsect
from domain.tables.parameters import figures


class SoundFruitFigures(msgspec.Struct, frozen=True):
    """How death follows susceptibility, and how wide susceptibility is where nobody rated it."""

    death_power: float
    spread_unrated: float


FIGURES = figures("hazards", "sound_fruit", SoundFruitFigures)


@dataclass(frozen=True)
class Health:
    """Per cultivar: share of sound fruit unsprayed (0..1), how unsure it is, and the yearly chance of death by disease.

    log_spread: of the logarithm of that share, so that it keeps its order where little is left. unspoilt: the share
    that diseases alone leave. taken: (cultivars, diseases) share that each disease takes of what the others leave.
    death_spread: of the chance of death. counts, kills: (diseases,) what sound fruit and the tree's life chiefly rest
    on: the diseases with at least a tenth of all that disease could take here.
    """

    sound: Floats
    log_spread: Floats
    unspoilt: Floats
    taken: Floats
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
    off = np.where(unrated, np.float32(FIGURES.spread_unrated), spread)
    weight = _fruit_loss(pressure)
    taken = rated * weight
    unspoilt = np.prod(1.0 - taken, axis=1)
    doubt = np.sqrt(((off * weight / (1.0 - taken)) ** 2).sum(axis=1))
    power = FIGURES.death_power
    deadly = np.array([DISEASE_FIGURES[d].tree_death_a_year * pressure[d] for d in DISEASES], dtype=np.float32)
    death = (rated**power) @ deadly
    death_doubt = np.sqrt(((power * rated ** (power - 1.0) * off * deadly) ** 2).sum(axis=1))
    return Health(
        sound=_left_by_insects(unspoilt, insects, escapes_codling_moth),
        log_spread=doubt.astype(np.float32),
        unspoilt=unspoilt.astype(np.float32),
        taken=taken.astype(np.float32),
        death_a_year=death.astype(np.float32),
        death_spread=death_doubt.astype(np.float32),
        counts=weight > much_of_the_loss * max(float(weight.sum()), 1e-9),
        kills=deadly > much_of_the_loss * max(float(deadly.sum()), 1e-9),
    )


def sound_share(
    susceptibility: Floats,
    pressure: dict[str, float],
    insects: tuple[FruitInsect, ...],
    escapes_codling_moth: Floats,
    *,
    unknown: float,
) -> Floats:
    """What `health` tells of sound fruit (cultivars,), alone."""
    rated = np.where(np.isnan(susceptibility), np.float32(unknown), susceptibility)
    return _left_by_insects(np.prod(1.0 - rated * _fruit_loss(pressure), axis=1), insects, escapes_codling_moth)


def _fruit_loss(pressure: dict[str, float]) -> Floats:
    """Share of the fruit (diseases,) that each takes of a very susceptible cultivar."""
    return np.array([pressure[d] * DISEASE_FIGURES[d].fruit_loss for d in DISEASES], dtype=np.float32)


def _left_by_insects(unspoilt: Floats, insects: tuple[FruitInsect, ...], escapes_codling_moth: Floats) -> Floats:
    """What insects leave (cultivars,) of what diseases leave."""
    kept = unspoilt
    for insect in insects:
        escaped = escapes_codling_moth if insect.by_brood else np.float32(0.0)
        kept = kept * (1.0 - insect.pressure * (1.0 - escaped))
    return kept.astype(np.float32)
