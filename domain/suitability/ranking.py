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
    proven_scale: float
    passed_over_scale: float
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


def rank_values(fit: SiteFit, weights: Weights, *, heard: bool = True) -> Floats:
    """Weighted geometric mean (n,) of the outcomes, 0 to 1, moved by what is proven in like climates.

    A geometric mean, since no quality makes up for a tree that does not crop. What is proven is joined by its logit,
    as a ratio of chances, and at its likely value: shrunk as it is, its cautious end would put whatever nobody met
    behind all that is famous. Among equals stands first what those who speak of this part of the world know: it can be
    had there, and seen. That moves the order alone, and no verdict; heard: whether it counts.
    """
    total = sum(weights_by_outcome(weights).values())
    proven = np.asarray(fit.outcomes["proven_in_like_climates"].likely, dtype=np.float64)
    if total <= 0.0:
        return (proven if weights.proven_in_like_climates > 0.0 else np.zeros(len(fit.cultivars))).astype(np.float32)
    weight = weights.proven_in_like_climates / total
    unknown = FIGURES.passed_over_scale * weight * fit.passed_over if heard else 0.0
    return joined(outcome_mean(fit, weights), proven, weight, less=unknown)


def merit(fit: SiteFit, weights: Weights) -> Floats:
    """What a cultivar is worth at the site against one that suits it (n,), 0 to 1: 1 if nothing holds it back.

    As `rank_values`, with the crop measured against what frost and chill leave to a late-blooming cultivar of little
    need, and the fruit against what disease leaves to a resistant one: what the site takes from every cultivar alike
    is the site's.
    """
    shares = merit_shares(fit)
    weighed = weights_by_outcome(weights)
    logs = sum(weighed[outcome] * np.log(share) for outcome, share in shares.items())
    mean: Floats = np.exp(np.asarray(logs, dtype=np.float64) / sum(weighed.values()))
    proven = np.asarray(fit.outcomes["proven_in_like_climates"].likely, dtype=np.float64)
    return joined(mean, proven, weights.proven_in_like_climates / sum(weighed.values()))


def merit_shares(fit: SiteFit) -> dict[Outcome, Floats]:
    """Each outcome (n,) at its cautious end, as a share of what the site leaves to a cultivar that suits it."""
    at_most = {"crop": max(fit.site_leaves, least("quality"))}
    shares: dict[Outcome, Floats] = {
        outcome: cautious(fit.outcomes[outcome]) / at_most.get(outcome, 1.0)
        for outcome in ("crop", "quality", "tree_survival")
    }
    shares["sound_fruit"] = fit.unspoilt / fit.unspoilt_resistant
    return {outcome: np.clip(share, least(outcome), 1.0) for outcome, share in shares.items()}


def outcome_mean(fit: SiteFit, weights: Weights) -> Floats:
    """The weighted geometric mean (n,) of the outcomes alone; some outcome must count."""
    weighed = weights_by_outcome(weights)
    logs = sum(
        weight * np.log(np.clip(cautious(fit.outcomes[outcome]), least(outcome), 1.0))
        for outcome, weight in weighed.items()
    )
    mean: Floats = np.exp(np.asarray(logs, dtype=np.float64) / sum(weighed.values()))
    return mean


def joined(mean: Floats, proven: Floats, weight: float, less: Floats | float = 0.0) -> Floats:
    """The mean of the outcomes (n,) with what is proven; weight: as a share of those of the outcomes; less: logits."""
    logit = _logit(mean) + FIGURES.proven_scale * weight * _logit(proven) - less
    value: Floats = (1.0 / (1.0 + np.exp(-logit))).astype(np.float32)
    return value


def _logit(share: Floats) -> Floats:
    kept = np.clip(share, 1e-6, 1.0 - 1e-6)
    logit: Floats = np.log(kept / (1.0 - kept))
    return logit


def weights_by_outcome(weights: Weights) -> dict[Outcome, float]:
    """The weight of each outcome that enters the mean."""
    return {
        "crop": weights.crop,
        "sound_fruit": weights.sound_fruit,
        "quality": weights.quality,
        "tree_survival": weights.tree_survival,
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
