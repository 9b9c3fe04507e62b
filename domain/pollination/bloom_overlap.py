"""Whether two cultivars bloom together long enough, over the years of a site or at the reference places.

A window runs from first bloom to petal fall. Two windows whose relative position is uncertain by a standard deviation
``s`` (what is not known of both cultivars, and how each wanders from year to year) overlap at least ``d`` days with
probability ``Phi((end_i - first_j - d) / s) + Phi((end_j - first_i - d) / s) - 1``, which is averaged over the years.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.distributions import normal_cdf
from domain.common.season_days import SEASON_DAYS
from domain.hazards.bee_weather import set_chance
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures

Floats = NDArray[np.float32]


class OverlapFigures(msgspec.Struct, frozen=True):
    """How long and how surely two cultivars must bloom together."""

    enough_days: float
    enough_share: float
    year_scatter_days: float
    usual_length_days: float
    full_bloom_share: float


FIGURES = figures("pollination", "bloom_overlap", OverlapFigures)


YEARS_KEPT = 20
"""Years into which a site's years are thinned: evenly spaced from the earliest to the latest spring."""


@dataclass(frozen=True)
class BloomWindows:
    """Bloom of each cultivar: season days (cultivars, years); NaN where unknown, past the season where it fails."""

    first: Floats
    full: Floats
    end: Floats
    spread_days: Floats
    """(cultivars, years) standard deviation of what is not known of a cultivar's position, year by year."""
    at_site: bool
    """Whether these are a site's windows; else those of the reference places."""
    foraging: Floats | None = None
    """(years, season days) full foraging days of bees up to each day of these years, where the weather tells them."""

    @cached_property
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
    length = np.full(size, FIGURES.usual_length_days)
    for row, cultivar in enumerate(cultivars):
        offset = cultivar.numbers.get("bloom_offset_days")
        if offset is not None:
            full[row], spread[row] = offset.value, offset.deviation
        days = cultivar.numbers.get("bloom_length_days")
        if days is not None:
            length[row] = days.value
    first = full - FIGURES.full_bloom_share * length
    return BloomWindows(
        first=first[:, None].astype(np.float32),
        full=full[:, None].astype(np.float32),
        end=(first + length)[:, None].astype(np.float32),
        spread_days=spread[:, None].astype(np.float32),
        at_site=False,
    )


def one_after_the_other(parts: Sequence[BloomWindows]) -> BloomWindows:
    """The cultivars of several windows of the same years, in their order."""
    first, full, end, spread = (
        np.concatenate([getattr(each, name) for each in parts]) for name in ("first", "full", "end", "spread_days")
    )
    return replace(parts[0], first=first, full=full, end=end, spread_days=spread)


def side_by_side(one: BloomWindows, other: BloomWindows) -> BloomWindows:
    """The years of two climates of one site as if they followed each other."""
    foraging = None
    if one.foraging is not None and other.foraging is not None:
        foraging = np.vstack([one.foraging, other.foraging])
    return BloomWindows(
        first=np.hstack([one.first, other.first]),
        full=np.hstack([one.full, other.full]),
        end=np.hstack([one.end, other.end]),
        spread_days=np.hstack([one.spread_days, other.spread_days]),
        at_site=one.at_site,
        foraging=foraging,
    )


def years_kept(spring: Floats, years: int = YEARS_KEPT) -> NDArray[np.intp]:
    """Which years stand for all in a pair's chance: spread evenly over the order of their springs.

    spring: (years,) season day of bloom of one cultivar that is the same whatever is asked, so that a pair's chance
    does not turn on its company.
    """
    count = len(spring)
    if count <= years:
        return np.arange(count)
    return np.argsort(spring, kind="stable")[((np.arange(years) + 0.5) * count / years).astype(np.intp)]


def of_years(windows: BloomWindows, kept: NDArray[np.intp]) -> BloomWindows:
    """The windows of the same cultivars in the years at the indices `kept` alone."""
    first, full, end, spread = (
        field[:, kept] for field in (windows.first, windows.full, windows.end, windows.spread_days)
    )
    foraging = None if windows.foraging is None else windows.foraging[kept]
    return replace(windows, first=first, full=full, end=end, spread_days=spread, foraging=foraging)


def never(windows: BloomWindows) -> BloomWindows:
    """Windows of the same cultivars, all unknown: for a place where no spring makes them bloom."""
    unknown = np.full_like(windows.full, np.nan)
    return replace(windows, first=unknown, full=unknown, end=unknown)


def overlap_chance(windows: BloomWindows) -> Floats:
    """Probability (cultivars, cultivars) of bloom together long enough for a good set; 0 where bloom is not known.

    Symmetric; a cultivar is always in bloom with itself.
    """
    chance = _chance_together(windows, windows)
    np.fill_diagonal(chance, 1.0)
    return chance


def overlap_of(rows: NDArray[np.intp], windows: BloomWindows) -> Floats:
    """The rows of `overlap_chance` of these cultivars alone (rows, cultivars), without the cost of the others."""
    chance = _chance_together(windows.of(rows), windows)
    chance[np.arange(rows.size), rows] = 1.0
    return chance


def _chance_together(some: BloomWindows, others: BloomWindows) -> Floats:
    """Probability of bloom together (some, others) in the same years; not set to 1 for one with itself."""
    first, end = _finite(some)
    first_of_others, end_of_others = (first, end) if some is others else _finite(others)
    scatter = np.float32(FIGURES.year_scatter_days**2)
    variance, variance_of_others = (np.square(each.spread_days) + scatter for each in (some, others))
    chance: Floats = np.zeros((len(first), len(first_of_others)), dtype=np.float32)
    for year in range(first.shape[1]):
        opens, closes = first[:, None, year], end[:, None, year]
        opens_there, closes_there = first_of_others[None, :, year], end_of_others[None, :, year]
        deviation = np.sqrt(variance[:, None, year] + variance_of_others[None, :, year])
        length, length_there = np.maximum(closes - opens, 0.0), np.maximum(closes_there - opens_there, 0.0)
        enough = np.minimum(FIGURES.enough_days, FIGURES.enough_share * np.minimum(length, length_there))
        before = normal_cdf((closes - opens_there - enough) / deviation)
        after = before.T if some is others else normal_cdf((closes_there - opens - enough) / deviation)
        chance += np.maximum(before + after - 1.0, 0.0)
    chance /= np.float32(first.shape[1])
    chance *= np.logical_and.outer(some.known, others.known)
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


@dataclass(frozen=True)
class YearsTogether:
    """How pollen sources meet cultivars over the years, pair by pair (pairs,); NaN where bloom is not known.

    days: days together in a usual year, the mean over the years. enough: share of years in which they bloom together
    long enough. flowers: mean share of the pollinated cultivar's flowers that open while the source blooms. foraging:
    chance, over the years with enough, that bees fly in those days; NaN where there are none, or no weather.
    """

    days: Floats
    enough: NDArray[np.float64]
    flowers: Floats
    foraging: Floats


def years_together(
    windows: BloomWindows, pollinated: Sequence[int] | NDArray[np.intp], source: Sequence[int] | NDArray[np.intp]
) -> YearsTogether:
    """Year by year, the days that two rows of the windows are in bloom together, for each of some pairs of rows."""
    asked, place = np.unique(np.concatenate([pollinated, source]).astype(np.intp), return_inverse=True)
    met = windows.of(asked)
    pollinated, source = np.split(place, 2)
    # All but the flowers is the same the other way round: two rows are compared once.
    code = np.minimum(pollinated, source) * asked.size + np.maximum(pollinated, source)
    once, pair = np.unique(code, return_inverse=True)
    one, other = np.divmod(once, asked.size)
    first, end = _finite(met)
    opens, closes = np.maximum(first[one], first[other]), np.minimum(end[one], end[other])
    length = np.maximum(end - first, 0.0)
    shorter = np.minimum(length[one], length[other])
    days = np.maximum(closes - opens, 0.0)
    enough = (days >= np.minimum(FIGURES.enough_days, FIGURES.enough_share * shorter)) & (shorter > 0.0)
    known = met.known[one] & met.known[other]
    flowers = (days[pair] / np.maximum(length, 1.0)[pollinated]).mean(axis=1)
    return YearsTogether(
        days=np.where(known, days.mean(axis=1), np.nan).astype(np.float32)[pair],
        enough=np.where(known, enough.mean(axis=1), np.nan)[pair],
        flowers=np.where(known[pair], flowers, np.nan).astype(np.float32),
        foraging=np.where(known, _foraged(windows.foraging, opens, closes, enough), np.nan).astype(np.float32)[pair],
    )


def _foraged(foraging: Floats | None, opens: Floats, closes: Floats, enough: NDArray[np.bool_]) -> Floats:
    """Mean chance of a set (pairs,) over the years with enough, by the foraging between two days (pairs, years)."""
    mean = np.full(len(enough), np.nan, dtype=np.float32)
    if foraging is None:
        return mean
    years, last = np.arange(len(foraging)), foraging.shape[1] - 1
    begin, finish = (np.clip(day, 0, last).astype(np.intp) for day in (opens, closes))
    chance = set_chance(foraging[years, finish] - foraging[years, begin])
    some = enough.any(axis=1)
    mean[some] = chance[some].mean(axis=1, where=enough[some])
    return mean


def _finite(windows: BloomWindows) -> tuple[Floats, Floats]:
    """First bloom and petal fall with years without bloom put where they meet nothing."""
    none = ~(windows.full < SEASON_DAYS)
    return np.where(none, np.float32(1e4), windows.first), np.where(none, np.float32(-1e4), windows.end)
