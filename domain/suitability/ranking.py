"""One value to rank by, from the outcomes of a cultivar at a site, each at the cautious end of what is known."""

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.suitability.factors import Outcome
from domain.suitability.site_fit import Range, SiteFit
from domain.suitability.suitability_request import Weights
from domain.tables.parameters import figures


class RankFigures(msgspec.Struct, frozen=True):
    """See parameters/suitability.csv, subject ranking."""

    caution_share: float
    hope_share: float
    floor: float
    least_crop: float
    least_sound: float


FIGURES = figures("suitability", "ranking", RankFigures)


def cautious(outcome: Range) -> Floats:
    """An outcome (n,) at its cautious end."""
    share: Floats = (outcome.likely - FIGURES.caution_share * (outcome.likely - outcome.low)).astype(np.float32)
    return share


def hopeful(outcome: Range) -> Floats:
    """An outcome (n,) at its hopeful end."""
    share: Floats = (outcome.likely + FIGURES.hope_share * (outcome.high - outcome.likely)).astype(np.float32)
    return share


def rank_values(fit: SiteFit, weights: Weights) -> Floats:
    """Weighted geometric mean (n,) of the outcomes, 0 to 1.

    A geometric mean, since no quality makes up for a tree that does not crop.
    """
    weighed = weights_by_outcome(weights)
    total = sum(weighed.values())
    if total <= 0.0:
        return np.zeros(len(fit.cultivars), dtype=np.float32)
    logs = sum(
        weight * np.log(np.clip(cautious(fit.outcomes[outcome]), least(outcome), 1.0))
        for outcome, weight in weighed.items()
    )
    value: Floats = np.exp(np.asarray(logs, dtype=np.float32) / np.float32(total))
    return value


def weights_by_outcome(weights: Weights) -> dict[Outcome, float]:
    """The weight of each outcome."""
    return {
        "crop": weights.crop,
        "sound_fruit": weights.sound_fruit,
        "quality": weights.quality,
        "tree_survival": weights.tree_survival,
        "origin_climate": weights.origin_climate,
    }


def least(outcome: Outcome) -> float:
    """No outcome counts for less than this.

    Crop and sound fruit go lower: where nothing crops, or none stays sound, the nearest to it still leads.
    """
    match outcome:
        case "crop":
            return FIGURES.least_crop
        case "sound_fruit":
            return FIGURES.least_sound
        case _:
            return FIGURES.floor
