"""What we do not know, turned into a range of crops: each doubtful figure is moved in turn, the changes added as
independent errors.

A doubt is the cultivar's own (its need, its hardiness, its dates) or the site's (how cold, how much chill). The range
holds both; only the cultivar's own makes it one of whom nothing useful can be said.
"""

from dataclasses import dataclass

import numpy as np

from domain.common.arrays import Floats
from domain.suitability.factors import Factor, FactorCode


@dataclass(frozen=True, eq=False)
class Doubt:
    """One factor (n, seasons) as likely, and with its doubtful figure at the 80th percentile either way.

    figure: what of the site is doubtful in it. own: how much of that doubt is the cultivar's, as a share of the
    variance (0..1); the rest is the site's.
    """

    figure: str
    likely: Floats
    pessimistic: Floats
    optimistic: Floats
    own: Floats | float


def own_share(own: Floats, site: float) -> Floats:
    """Share (n,) of a cultivar's spread in the variance that it and the spread of the site make together."""
    share: Floats = own**2 / np.maximum(own**2 + np.float32(site) ** 2, np.float32(1e-6))
    return share


def crop_factor(code: FactorCode, doubts: tuple[Doubt, ...], by_season: Floats, **rest: object) -> Factor:
    """A factor of the crop, with the range that its doubts make together."""
    likely = by_season.mean(axis=1)
    down, up = np.zeros_like(likely), np.zeros_like(likely)
    for doubt in doubts:
        ends = np.stack([doubt.pessimistic.mean(axis=1), doubt.optimistic.mean(axis=1)]) - likely
        down += np.minimum(ends.min(axis=0), 0.0) ** 2
        up += np.maximum(ends.max(axis=0), 0.0) ** 2
    return Factor(
        code=code,
        outcome="crop",
        likely=likely,
        low=np.clip(likely - np.sqrt(down), 0.0, 1.0),
        high=np.clip(likely + np.sqrt(up), 0.0, 1.0),
        by_season=by_season,
        **rest,  # type: ignore[arg-type]  # the fields of Factor that differ from factor to factor
    )


@dataclass(frozen=True)
class Unknown:
    """What each doubt takes from the mean crop and may give to it, and the range that the cultivar's own make alone.

    losses, gains: figure -> (n,). own_losses: the cultivar's own part of the losses. by_figure: figure of the site ->
    change of the mean crop (n,) where that figure alone is at its low and at its high.
    """

    losses: dict[str, Floats]
    gains: dict[str, Floats]
    own_losses: dict[str, Floats]
    own_range: Floats
    by_figure: dict[str, tuple[Floats, Floats]]

    def loss(self, without: str = "") -> Floats:
        """All losses (n,) as independent errors, one figure left out."""
        return _together(self.losses, without)

    def own_loss(self, without: str = "") -> Floats:
        """What the cultivar's own doubts lose (n,) as independent errors, one figure left out."""
        return _together(self.own_losses, without)

    def gain(self, without: str = "") -> Floats:
        """All gains (n,) as independent errors, one figure left out."""
        return _together(self.gains, without)

    def of_share(self, share: float) -> "Unknown":
        """The same where something that is known takes all of the crop but this share, alike in every year."""
        left = np.float32(share)

        def of_each(parts: dict[str, Floats]) -> dict[str, Floats]:
            return {figure: left * part for figure, part in parts.items()}

        by_figure = {figure: (left * low, left * high) for figure, (low, high) in self.by_figure.items()}
        return Unknown(
            of_each(self.losses), of_each(self.gains), of_each(self.own_losses), left * self.own_range, by_figure
        )


def _together(parts: dict[str, Floats], without: str) -> Floats:
    total: Floats = np.sqrt(sum(part**2 for figure, part in parts.items() if figure != without))
    return total


def unknown_years(base: Floats, chance: Floats, doubts: tuple[Doubt, ...]) -> Unknown:
    """What all doubts together, and each figure of the site alone, do to the mean crop.

    base: (n,) mean chance of a crop, of which `chance` (n, seasons) is the product of all factors.
    """
    losses, gains, own_losses = {}, {}, {}
    own_loss, own_gain = np.zeros_like(base), np.zeros_like(base)
    by_figure = {}
    seasons = np.float32(chance.shape[1])
    of: Floats | None = None
    for doubt in doubts:
        if of is not doubt.likely:  # two doubts of one factor follow each other
            of = doubt.likely
            others: Floats = chance / np.maximum(of, np.float32(1e-4))
        low: Floats = np.einsum("ij,ij->i", others, doubt.pessimistic) / seasons - base
        high: Floats = np.einsum("ij,ij->i", others, doubt.optimistic) / seasons - base
        down, up = -np.minimum(np.minimum(low, high), 0.0), np.maximum(np.maximum(low, high), 0.0)
        losses[doubt.figure], gains[doubt.figure] = down, up
        own_losses[doubt.figure] = down * np.sqrt(doubt.own)
        own_loss += down**2 * doubt.own
        own_gain += up**2 * doubt.own
        of_site = np.sqrt(1.0 - doubt.own)
        by_figure[doubt.figure] = (low * of_site, high * of_site)
    return Unknown(losses, gains, own_losses, np.sqrt(own_loss) + np.sqrt(own_gain), by_figure)
