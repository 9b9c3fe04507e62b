"""Whether two cultivars bloom together long enough, over the years of a site or at the reference places.

A window runs from first bloom to petal fall. Two windows whose relative position is uncertain by a standard deviation
``s`` (what is not known of both cultivars, and how each wanders from year to year) overlap at least ``d`` days with
probability ``Phi((end_i - first_j - d) / s) + Phi((end_j - first_i - d) / s) - 1``, which is averaged over the years.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import SEASON_DAYS
from domain.hazards.bee_weather import set_chance
from domain.tables.cultivars import Cultivar

Floats = NDArray[np.float32]

ENOUGH_DAYS = 3.0
"""Days together that a good set takes: "several days" (NIAB, Dormancy and synchrony of flowering times); apple flowers
can be pollinated for 3 to 5 days (NIAB, The Effective Pollination Period); a bee day or three must fall among them."""

ENOUGH_SHARE = 0.6
"""In a hot spring bloom may be over in less than five days: then this share of the shorter window is enough."""

YEAR_SCATTER_DAYS = 1.75
"""Standard deviation with which a cultivar's full bloom leaves its usual place among the others in a single year:
computed from nine cultivars at Klein-Altendorf, 1958-2019 (Luedeling, Caspersen, Delgado et al. 2024, bonndata)."""

USUAL_LENGTH_DAYS = 12.0
"""First bloom to petal fall where a cultivar's own is unknown: median of 317 cultivar-seasons of the same series."""

USUAL_LENGTH_SPREAD_DAYS = 2.0

FULL_BLOOM_SHARE = 0.33
"""Where in the window full bloom falls: mean share of the same series."""

YEARS_KEPT = 10
"""Years into which a site's years are thinned: evenly spaced from the earliest to the latest bloom."""


@dataclass(frozen=True)
class BloomWindows:
    """Bloom of each cultivar: season days (cultivars, years); NaN where unknown, past the season where it fails."""

    first: Floats
    full: Floats
    end: Floats
    spread_days: Floats
    """(cultivars,) standard deviation of what is not known of a cultivar's position."""
    at_site: bool
    """Whether these are a site's windows; else those of the reference places."""
    foraging: Floats | None = None
    """(years, season days) full foraging days of bees up to each day of these years, where the weather tells them."""

    @property
    def known(self) -> NDArray[np.bool_]:
        """(cultivars,) whether bloom is known, and reached in some year."""
        return np.asarray((self.full < SEASON_DAYS).any(axis=1))

    def of(self, rows: Sequence[int] | NDArray[np.intp]) -> "BloomWindows":
        """The windows of some of the cultivars."""
        first, full, end, spread = (field[rows] for field in (self.first, self.full, self.end, self.spread_days))
        return replace(self, first=first, full=full, end=end, spread_days=spread)


def reference_windows(cultivars: Sequence[Cultivar]) -> BloomWindows:
    """Windows of one usual year at the reference places, in days from full bloom of Golden Delicious."""
    size = len(cultivars)
    full = np.full(size, np.nan)
    spread = np.zeros(size)
    length = np.full(size, USUAL_LENGTH_DAYS)
    for row, cultivar in enumerate(cultivars):
        offset = cultivar.numbers.get("bloom_offset_days")
        if offset is not None:
            full[row], spread[row] = offset.value, offset.spread
        days = cultivar.numbers.get("bloom_length_days")
        if days is not None:
            length[row] = days.value
    first = full - FULL_BLOOM_SHARE * length
    return BloomWindows(
        first=first[:, None].astype(np.float32),
        full=full[:, None].astype(np.float32),
        end=(first + length)[:, None].astype(np.float32),
        spread_days=spread.astype(np.float32),
        at_site=False,
    )


def side_by_side(one: BloomWindows, other: BloomWindows) -> BloomWindows:
    """The years of two climates of one site as if they followed each other; the doubt is the larger of the two."""
    foraging = None
    if one.foraging is not None and other.foraging is not None:
        foraging = np.vstack([one.foraging, other.foraging])
    return BloomWindows(
        first=np.hstack([one.first, other.first]),
        full=np.hstack([one.full, other.full]),
        end=np.hstack([one.end, other.end]),
        spread_days=np.maximum(one.spread_days, other.spread_days),
        at_site=one.at_site,
        foraging=foraging,
    )


def thinned(windows: BloomWindows, years: int = YEARS_KEPT) -> BloomWindows:
    """At most `years` of the years, spread evenly over the order in which they bloom."""
    rows, count = windows.full.shape
    if count <= years or not rows:
        return windows
    usual = np.nan_to_num(np.minimum(windows.full, SEASON_DAYS), nan=SEASON_DAYS).mean(axis=0)
    kept = np.argsort(usual, kind="stable")[((np.arange(years) + 0.5) * count / years).astype(int)]
    first, full, end = (field[:, kept] for field in (windows.first, windows.full, windows.end))
    foraging = None if windows.foraging is None else windows.foraging[kept]
    return replace(windows, first=first, full=full, end=end, foraging=foraging)


def overlap_chance(windows: BloomWindows) -> Floats:
    """Probability (cultivars, cultivars) of bloom together for `ENOUGH_DAYS`; 0 where bloom is not known.

    Symmetric; a cultivar is always in bloom with itself.
    """
    first, end = _finite(windows)
    variance = np.square(windows.spread_days) + np.float32(YEAR_SCATTER_DAYS**2)
    deviation = np.sqrt(variance[:, None] + variance[None, :])
    chance: Floats = np.zeros_like(deviation)
    for year in range(first.shape[1]):
        opens, closes = first[:, year], end[:, year]
        length = np.maximum(closes - opens, 0.0)
        enough = np.minimum(ENOUGH_DAYS, ENOUGH_SHARE * np.minimum(length[:, None], length[None, :]))
        before = _normal_cdf((closes[:, None] - opens[None, :] - enough) / deviation)
        chance += np.maximum(before + before.T - 1.0, 0.0)
    chance /= np.float32(first.shape[1])
    known = windows.known
    chance *= np.logical_and.outer(known, known)
    np.fill_diagonal(chance, 1.0)
    return chance


def said_together(cultivars: Sequence[Cultivar]) -> NDArray[np.bool_]:
    """(cultivars, cultivars) whether a text says that the two bloom at the same time where they are grown."""
    row = {cultivar.id: n for n, cultivar in enumerate(cultivars)}
    said = np.zeros((len(cultivars), len(cultivars)), dtype=np.bool_)
    for n, cultivar in enumerate(cultivars):
        finding = cultivar.findings.get("blooms_with")
        for other in () if finding is None else finding.value.split():
            if other in row:
                said[n, row[other]] = said[row[other], n] = True
    return said


def overlap_days(windows: BloomWindows) -> Floats:
    """Days together in a usual year, (cultivars, cultivars): the mean over the years; nan where bloom is not known."""
    first, end = _finite(windows)
    days = np.zeros((first.shape[0], first.shape[0]), dtype=np.float32)
    for year in range(first.shape[1]):
        opens, closes = first[:, year], end[:, year]
        days += np.maximum(np.minimum(closes[:, None], closes) - np.maximum(opens[:, None], opens), 0.0)
    days /= np.float32(first.shape[1])
    known = windows.known
    return np.asarray(np.where(known[:, None] & known[None, :], days, np.nan), dtype=np.float32)


@dataclass(frozen=True)
class YearsTogether:
    """How a pollen source meets one cultivar over the years; NaN where bloom is not known.

    enough: share of years in which they bloom together long enough. flowers: mean share of the pollinated cultivar's
    flowers that open while the source blooms. foraging: chance, over the years with enough, that bees fly in those
    days; NaN where the weather is not known.
    """

    enough: float
    flowers: float
    foraging: float


def years_together(windows: BloomWindows, pollinated: int, source: int) -> YearsTogether:
    """Year by year, the days that two rows of the windows are in bloom together."""
    if not windows.known[pollinated] or not windows.known[source]:
        return YearsTogether(np.nan, np.nan, np.nan)
    two = windows.of([pollinated, source])
    first, end = _finite(two)
    opens, closes = first.max(axis=0), end.min(axis=0)
    length = np.maximum(end - first, 0.0)
    days = np.maximum(closes - opens, 0.0)
    enough = days >= np.minimum(ENOUGH_DAYS, ENOUGH_SHARE * length.min(axis=0))
    enough &= length.min(axis=0) > 0.0
    flowers = float(np.mean(days / np.maximum(length[0], 1.0)))
    return YearsTogether(float(enough.mean()), flowers, _foraged(two.foraging, opens, closes, enough))


def _foraged(foraging: Floats | None, opens: Floats, closes: Floats, enough: NDArray[np.bool_]) -> float:
    if foraging is None or not enough.any():
        return float("nan")
    years, last = np.nonzero(enough)[0], foraging.shape[1] - 1
    begin, finish = (np.clip(day[years], 0, last).astype(np.intp) for day in (opens, closes))
    return float(set_chance(foraging[years, finish] - foraging[years, begin]).mean())


def _finite(windows: BloomWindows) -> tuple[Floats, Floats]:
    """First bloom and petal fall with years without bloom put where they meet nothing."""
    none = ~(windows.full < SEASON_DAYS)
    return np.where(none, np.float32(1e4), windows.first), np.where(none, np.float32(-1e4), windows.end)


def _normal_cdf(x: Floats) -> Floats:
    """Standard normal distribution function, to 0.0003: the usual fit by a hyperbolic tangent, fast on arrays."""
    x = np.clip(x, -6.0, 6.0)
    scale, bend = np.float32(0.7978846), np.float32(0.044715)
    return np.float32(0.5) * (1 + np.tanh(scale * x * (1 + bend * x * x)))
