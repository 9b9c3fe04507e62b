"""Shifts of the computed dates from a few dates seen: shrinkage by how much each part is doubted.

What a date is off is taken as the sum of four parts: the site's (all cultivars alike, every year), the cultivar's own,
the year's (all cultivars alike), and the eye of who noted it. Each is normal about nothing with its own spread, so the
best guess of the first two is the linear one (best linear unbiased prediction: Henderson C. R., 1975, Biometrics 31,
known from memory). One date moves the site a little, five of different years a lot, five of one spring as one does.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from domain.common.arrays import Floats


@dataclass(frozen=True)
class Residual:
    """One date seen: days later than computed, and the spread (d) of the year's part that is left in it."""

    cultivar: str
    year: int
    days: float
    year_spread_days: float


@dataclass(frozen=True)
class Shift:
    """Days to add to what is computed, and the standard deviation of what is still not known."""

    days: float
    spread_days: float


NO_SHIFT = Shift(0.0, 0.0)


@dataclass(frozen=True)
class Shifts:
    """The site's shift, and of each cultivar seen its own beyond that of the site."""

    site: Shift
    own: dict[str, Shift]

    def days(self, cultivars: Iterable[str]) -> Floats:
        """Days to add for each of these cultivars: the site's, and their own where they were seen."""
        return np.array([self.site.days + self.own.get(c, NO_SHIFT).days for c in cultivars], dtype=np.float32)

    def spread(self, cultivars: Iterable[str], unseen: Floats) -> Floats:
        """What is not known (d) of each cultivar itself: `unseen` (its spread in the tables) where it was not seen."""
        pairs = zip(cultivars, unseen, strict=True)
        return np.array([self.own[c].spread_days if c in self.own else sd for c, sd in pairs], dtype=np.float32)


def expected_spread(residual: Residual, site_spread: float, own_spread: float, eye_spread: float) -> float:
    """Standard deviation (d) by which a date may well differ from what is computed."""
    return float(np.sqrt(site_spread**2 + own_spread**2 + residual.year_spread_days**2 + eye_spread**2))


def shifts(
    residuals: Sequence[Residual], site_spread: float, own_spread: dict[str, float], eye_spread: float
) -> Shifts:
    """The shifts that the residuals tell. Spreads are standard deviations in days; own_spread by cultivar."""
    if not residuals:
        return Shifts(Shift(0.0, site_spread), {})
    seen = sorted({residual.cultivar for residual in residuals})
    years = np.array([residual.year for residual in residuals])
    off = np.array([residual.days for residual in residuals])
    year_spread = np.array([residual.year_spread_days for residual in residuals])
    of = np.array([[residual.cultivar == cultivar for cultivar in seen] for residual in residuals], dtype=np.float64)
    prior = np.diag([site_spread**2, *(own_spread[cultivar] ** 2 for cultivar in seen)])
    design = np.hstack([np.ones((off.size, 1)), of])
    same_year = (years[:, None] == years[None, :]) * year_spread[:, None] * year_spread[None, :]
    noise = same_year + eye_spread**2 * np.eye(off.size)
    gain = prior @ design.T @ np.linalg.inv(design @ prior @ design.T + noise)
    middle = gain @ off
    spread = np.sqrt(np.maximum(np.diag(prior - gain @ design @ prior), 0.0))
    site, *own = (Shift(float(days), float(sd)) for days, sd in zip(middle, spread, strict=True))
    return Shifts(site, dict(zip(seen, own, strict=True)))
