"""When a cultivar blooms: chill releases the buds, then heat opens them, season by season.

Method: sequential chill-then-heat with the Dynamic Model's portions and growing degree hours (Anderson 1986 curve);
where chill stays short, the buds open late, on more heat, over a longer time. The adopted bloom position of a cultivar
(days from Golden Delicious at the reference places) is turned into heat at the rate of those places in spring, so the
same ordering spreads over a week in a hot spring and over three in a cool one.
"""

from dataclasses import dataclass

import numpy as np

from domain.tree_year.clock import SiteClock
from domain.tree_year.curves import UNREACHED, Floats

GOLDEN_DELICIOUS_HEAT_GDH = 6600.0
"""Growing degree hours from release to full bloom of Golden Delicious; fitted on seven
places, see tests/published/test_bloom_and_harvest_dates.py."""

HEAT_PER_OFFSET_DAY_GDH = 175.0
"""Heat of a mid-spring day at the reference places, by which a bloom position in days becomes heat."""

RELEASE_NEED = (0.0, 10.0, 20.0, 24.0, 30.0, 90.0)
RELEASE_PORTIONS = (10.0, 20.0, 31.0, 40.0, 57.9, 93.9)
"""Portions at which heat begins to count, by the need for half a crop: full bud break takes more. Ordinary cultivars
bloom within two weeks of each other even where winters barely suffice, and Anna, Dorsett Golden and Tropic Sweet
together in northern Florida (UF/IFAS, Apples), so either group lies close together; Castel Gala, between them, blooms
three weeks before Gala in Santa Catarina (Denardi and Seccon, abstract; whether with rest breaking is not said)."""

LEAST_CHILL = np.float32(1.0)
"""Portions below which no need is told apart from none."""

SHORT_CHILL_HEAT = 0.8
"""How much more heat bloom takes when all chill is missing, as a share."""

FIRST_BLOOM_HEAT_SHARE = 0.135
PETAL_FALL_HEAT_SHARE = 0.245
"""Heat between first and full bloom, and between full bloom and petal fall of the reference length, as shares."""

PLENTY, RAGGED_SHARE, RAGGED_BEFORE = 1.5, 1.27, 0.35
"""Bud break is ragged unless chill is plenty (this multiple of what releases heat): the window is stretched by heat, as
a share of that to full bloom where there is no chill at all, a third of it before full bloom. Set on Golden Delicious:
13 days at Klein-Altendorf, 13.6 at Gimenells, 21.5 at Meknes (Luedeling et al. 2024, data file; refpop, data file)."""

LEAST_DAYS_BEFORE, LEAST_DAYS_AFTER = 3.0, 5.0
"""However hot the spring, flowers open over some days and last some; common practice, no source."""

REFERENCE_LENGTH_DAYS = 13.0
"""Days from first bloom to petal fall at which the two shares hold (adopted lengths scale them)."""


@dataclass(frozen=True)
class BloomDays:
    """Season days (cultivars, seasons) of first bloom, full bloom and petal fall; UNREACHED where there is none."""

    first: Floats
    full: Floats
    end: Floats

    def later(self, days: Floats) -> "BloomDays":
        """The same bloom so many days later, (cultivars,)."""
        none, more = self.full >= UNREACHED, days[:, None]
        first, full, end = (np.where(none, UNREACHED, day + more) for day in (self.first, self.full, self.end))
        return BloomDays(first, full, end)


def bloom_heat(offset_days: Floats) -> Floats:
    """Growing degree hours from release to full bloom of a cultivar with this bloom position (d)."""
    heat = GOLDEN_DELICIOUS_HEAT_GDH + HEAT_PER_OFFSET_DAY_GDH * offset_days
    needed: Floats = np.maximum(heat, 1500.0).astype(np.float32)
    return needed


def release_chill(chill_need: Floats) -> Floats:
    """Portions after which heat begins to count, for a need (portions) for half a crop."""
    chill: Floats = np.interp(chill_need, RELEASE_NEED, RELEASE_PORTIONS).astype(np.float32)
    return chill


def full_bloom(clock: SiteClock, chill_need: Floats, offset_days: Floats) -> tuple[Floats, Floats]:
    """Season day of full bloom (cultivars, seasons) and the heat (GDH) it took.

    chill_need: (cultivars,) portions. offset_days: (cultivars,) bloom position.
    """
    need = np.maximum(chill_need, LEAST_CHILL)[:, None]
    released = clock.chill.day_reached(np.broadcast_to(release_chill(need), (chill_need.size, clock.chill.seasons)))
    released = np.minimum(released, clock.chill_end)
    short = np.clip(1.0 - clock.chill_total / need, 0.0, 1.0)
    heat = bloom_heat(offset_days)[:, None] * (1.0 + SHORT_CHILL_HEAT * short)
    level = clock.heat.total_at(released) + heat
    full = clock.heat.day_reached(level.astype(np.float32))
    if clock.bloom_shift_days:
        full = np.where(full < UNREACHED, full + np.float32(clock.bloom_shift_days), full)
    return full, heat.astype(np.float32)


def bloom_days(clock: SiteClock, chill_need: Floats, offset_days: Floats, length_days: Floats) -> BloomDays:
    """First bloom, full bloom and petal fall of each cultivar in each season; arguments as in `full_bloom`.

    length_days: (cultivars,) adopted days from first bloom to petal fall.
    """
    full, _ = full_bloom(clock, chill_need, offset_days)
    stretch = (length_days / REFERENCE_LENGTH_DAYS)[:, None] * np.float32(GOLDEN_DELICIOUS_HEAT_GDH)
    at_full = clock.heat.total_at(np.minimum(full, 500.0))
    plenty = np.float32(PLENTY) * release_chill(chill_need)[:, None]
    ragged = RAGGED_SHARE * np.clip(1.0 - clock.chill_total / plenty, 0.0, 1.0) * bloom_heat(offset_days)[:, None]
    first = clock.heat.day_reached(at_full - FIRST_BLOOM_HEAT_SHARE * stretch - RAGGED_BEFORE * ragged)
    end = clock.heat.day_reached(at_full + PETAL_FALL_HEAT_SHARE * stretch + (1.0 - RAGGED_BEFORE) * ragged)
    first = np.minimum(first, full - np.float32(LEAST_DAYS_BEFORE))
    end = np.maximum(end, full + np.float32(LEAST_DAYS_AFTER))
    none = full >= UNREACHED
    return BloomDays(np.where(none, UNREACHED, first), full, np.where(none, UNREACHED, end))
