"""When a cultivar blooms: chill releases the buds, then heat opens them, season by season.

Method: sequential chill-then-heat with the Dynamic Model's portions and growing degree hours (Anderson 1986 curve);
where chill stays short, the buds open late, on more heat, over a longer time. The adopted bloom position of a cultivar
(days from Golden Delicious at the reference places) is turned into heat at the rate of those places in spring, so the
same ordering spreads over a week in a hot spring and over three in a cool one.
"""

from dataclasses import dataclass, field
from functools import cached_property

import msgspec
import numpy as np

from domain.common.arrays import UNREACHED, Floats, between, row_middles
from domain.tables.parameters import figures
from domain.tree_year.clock import BloomClock


class BloomFigures(msgspec.Struct, frozen=True):
    """How much chill and heat bloom takes, and how long it lasts."""

    reference_heat_gdh: float
    heat_per_offset_day_gdh: float
    least_heat_gdh: float
    low_release_portions: float
    release_portions: float
    release_need: float
    release_steepness: float
    least_chill: float
    short_chill_heat: float
    first_bloom_heat_share: float
    petal_fall_heat_share: float
    plenty: float
    ragged_share: float
    ragged_before: float
    least_days_before: float
    least_days_after: float
    reference_length_days: float


FIGURES = figures("tree_year", "bloom", BloomFigures)


@dataclass(frozen=True)
class BloomDays:
    """Season days (cultivars, seasons) of first bloom, full bloom and petal fall; UNREACHED where there is none.

    later_than: bloom of the same cultivars that this is later than, and each cultivar's days; first bloom and petal
    fall are then held as they are of that, and moved when they are asked for.
    """

    held_first: Floats
    full: Floats
    held_end: Floats
    later_than: "tuple[BloomDays, Floats] | None" = field(default=None, repr=False)

    @property
    def first(self) -> Floats:
        """First bloom."""
        return self._moved(self.held_first)

    @property
    def end(self) -> Floats:
        """Petal fall."""
        return self._moved(self.held_end)

    def _moved(self, held: Floats) -> Floats:
        return held if self.later_than is None else moved(held, self.later_than[1][:, None])

    @cached_property
    def middle(self) -> tuple[Floats, Floats, Floats]:
        """First bloom, full bloom and petal fall of the middle year (cultivars,), each by itself."""
        first, full, end = (between(days) for days in self._middles)
        return first, full, end

    @cached_property
    def _middles(self) -> list[tuple[Floats, Floats]]:
        """The two days of each in the middle; years that are all moved alike stay in their order."""
        if self.later_than is None:
            return [row_middles(days) for days in (self.first, self.full, self.end)]
        usual, later = self.later_than
        return [(moved(below, later), moved(above, later)) for below, above in usual._middles]

    def later(self, days: Floats) -> "BloomDays":
        """Bloom of the same cultivars, each later by its own days (cultivars,)."""
        return BloomDays(self.first, moved(self.full, days[:, None]), self.end, (self, days))


def moved(day: Floats, by_days: Floats | np.float32) -> Floats:
    """Days of bloom (cultivars, seasons) so many days later; UNREACHED where there is none."""
    moved_days: Floats = day + by_days
    np.copyto(moved_days, UNREACHED, where=day >= UNREACHED)
    return moved_days


def bloom_heat(offset_days: Floats) -> Floats:
    """Growing degree hours from release to full bloom of a cultivar with this bloom position (d)."""
    heat = FIGURES.reference_heat_gdh + FIGURES.heat_per_offset_day_gdh * offset_days
    needed: Floats = np.maximum(heat, FIGURES.least_heat_gdh).astype(np.float32)
    return needed


def _others_share(chill_need: Floats) -> Floats:
    least = np.float32(FIGURES.least_chill)
    share: Floats = 1.0 / (1.0 + (FIGURES.release_need / np.maximum(chill_need, least)) ** FIGURES.release_steepness)
    return share


def low_chill_share(chill_need: float) -> float:
    """How far a need (portions, for half a crop) puts a cultivar in the low-chill group, 0 to 1."""
    return 1.0 - float(_others_share(np.array(chill_need)))


def release_chill(chill_need: Floats) -> Floats:
    """Portions after which heat begins to count, for a need (portions) for half a crop.

    Low-chill cultivars are released early and all others late, whatever their needs, which are known to ten portions at
    best: what is doubted of a need then hardly reorders bloom. Between the two lies a smooth step.
    """
    span = FIGURES.release_portions - FIGURES.low_release_portions
    chill: Floats = (FIGURES.low_release_portions + span * _others_share(chill_need)).astype(np.float32)
    return chill


def full_bloom(clock: BloomClock, chill_need: Floats, offset_days: Floats) -> tuple[Floats, Floats]:
    """Season day of full bloom (cultivars, seasons) and the heat (GDH) it took.

    chill_need: (cultivars,) portions. offset_days: (cultivars,) bloom position.
    """
    needs, own = np.unique(chill_need, return_inverse=True)  # many cultivars have one need
    need = np.maximum(needs, np.float32(FIGURES.least_chill))[:, None]
    released = clock.chill.day_reached(np.broadcast_to(release_chill(need), (need.size, clock.chill.seasons)))
    at_release = clock.heat.total_at(np.minimum(released, clock.chill_end))
    longer = 1.0 + FIGURES.short_chill_heat * np.clip(1.0 - clock.chill_total / need, 0.0, 1.0)
    heat = bloom_heat(offset_days)[:, None] * longer[own]
    level = at_release[own] + heat
    full = clock.heat.day_reached(level.astype(np.float32, copy=False))
    if clock.bloom_shift_days:
        full = np.where(full < UNREACHED, full + np.float32(clock.bloom_shift_days), full)
    return full, heat.astype(np.float32, copy=False)


def bloom_days(clock: BloomClock, chill_need: Floats, offset_days: Floats, length_days: Floats) -> BloomDays:
    """First bloom, full bloom and petal fall of each cultivar in each season; arguments as in `full_bloom`.

    length_days: (cultivars,) adopted days from first bloom to petal fall.
    """
    full, _ = full_bloom(clock, chill_need, offset_days)
    stretch = (length_days / FIGURES.reference_length_days)[:, None] * np.float32(FIGURES.reference_heat_gdh)
    at_full = clock.heat.total_at(np.minimum(full, 500.0))
    needs, own = np.unique(chill_need, return_inverse=True)
    plenty = np.float32(FIGURES.plenty) * np.maximum(needs, np.float32(FIGURES.least_chill))[:, None]
    ragged = FIGURES.ragged_share * np.clip(1.0 - clock.chill_total / plenty, 0.0, 1.0)
    ragged = ragged[own] * bloom_heat(offset_days)[:, None]
    first = clock.heat.day_reached(at_full - FIGURES.first_bloom_heat_share * stretch - FIGURES.ragged_before * ragged)
    end = clock.heat.day_reached(
        at_full + FIGURES.petal_fall_heat_share * stretch + (1.0 - FIGURES.ragged_before) * ragged
    )
    first = np.minimum(first, full - np.float32(FIGURES.least_days_before))
    end = np.maximum(end, full + np.float32(FIGURES.least_days_after))
    none = full >= UNREACHED
    return BloomDays(np.where(none, UNREACHED, first), full, np.where(none, UNREACHED, end))
