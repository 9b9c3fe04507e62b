"""What we do not know, turned into a range of crops: each doubtful figure is moved in turn, the changes added as
independent errors.

A doubt is the cultivar's own (its need, its hardiness, its dates) or the site's (how cold, how much chill). The range
holds both; only the cultivar's own makes it one of whom nothing useful can be said.
"""

from dataclasses import dataclass

import numpy as np

from domain.phenology.curves import Floats


@dataclass(frozen=True)
class Doubt:
    """One factor (n, seasons) as likely, and with its doubtful figure at the 80th percentile either way.

    own: how much of that doubt is the cultivar's, as a share of the variance (0..1); the rest is the site's.
    """

    likely: Floats
    pessimistic: Floats
    optimistic: Floats
    own: Floats | float


def own_share(own: Floats, site: float) -> Floats:
    """Share (n,) of a cultivar's spread in the variance that it and the spread of the site make together."""
    share: Floats = own**2 / np.maximum(own**2 + np.float32(site) ** 2, np.float32(1e-6))
    return share


def unknown_years(base: Floats, chance: Floats, doubts: tuple[Doubt, ...]) -> tuple[Floats, Floats, Floats]:
    """Loss and gain (n,) of the mean crop over all doubts, and the range that the cultivar's own would make alone.

    base: (n,) mean chance of a crop, of which `chance` (n, seasons) is the product of all factors.
    """
    loss, gain = np.zeros_like(base), np.zeros_like(base)
    own_loss, own_gain = np.zeros_like(base), np.zeros_like(base)
    for doubt in doubts:
        others: Floats = chance / np.maximum(doubt.likely, np.float32(1e-4))
        down, up = _changes(base, others, doubt.pessimistic, doubt.optimistic)
        loss += down**2
        gain += up**2
        own_loss += down**2 * doubt.own
        own_gain += up**2 * doubt.own
    return np.sqrt(loss), np.sqrt(gain), np.sqrt(own_loss) + np.sqrt(own_gain)


def _changes(base: Floats, others: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Loss and gain (n,) of the mean crop when one factor is set to its low and its high case."""
    seasons = np.float32(others.shape[1])
    at_low: Floats = np.einsum("ij,ij->i", others, low) / seasons
    at_high: Floats = np.einsum("ij,ij->i", others, high) / seasons
    worst, best = np.minimum(at_low, at_high), np.maximum(at_low, at_high)
    return np.maximum(base - worst, 0.0), np.maximum(best - base, 0.0)
