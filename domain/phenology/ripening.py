"""When fruit is ripe: days of ripening weather after full bloom, season by season.

The days from full bloom to picking of a cultivar change little between warm places and stretch where the summer is
cool; a cultivar's position (days from Golden Delicious on the adopted scale) is taken as such days.
"""

import numpy as np

from domain.phenology.curves import Floats
from domain.phenology.site_clock import SiteClock

GOLDEN_DELICIOUS_RIPENING_DAYS = 137.0
"""Full ripening days from full bloom to first picking of Golden Delicious; see tests/published/test_harvest_dates."""

PICKING_DAYS = 14.0
"""Days over which one cultivar is picked, common practice, no source."""


def ripening_days(ripening_offset_days: Floats, bloom_offset_days: Floats) -> Floats:
    """Ripening days (full-rate) from full bloom to first picking.

    Both offsets are from Golden Delicious: a cultivar that blooms late and ripens early needs fewer days.
    """
    days = GOLDEN_DELICIOUS_RIPENING_DAYS + ripening_offset_days - bloom_offset_days
    needed: Floats = np.maximum(days, 55.0).astype(np.float32)
    return needed


def first_ripe_day(clock: SiteClock, full_bloom: Floats, days: Floats) -> Floats:
    """Season day (cultivars, seasons) on which each cultivar is first ripe; UNREACHED where it never is."""
    level = clock.ripening.total_at(np.minimum(full_bloom, 520.0)) + days[:, None]
    return clock.ripening.day_reached(level.astype(np.float32))
