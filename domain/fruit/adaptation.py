"""Groups of cultivars by the climates they were bred or kept in, and what belonging to one stands in for."""

from domain.fruit.reading import Grounds, keyed


class AdaptationGroup(Grounds, frozen=True, kw_only=True):
    """Priors of the group: chill portions and hardiness (C) with spreads; None where nothing is said.

    heat_tolerance: 1 is best.
    """

    group: str
    chill_portions: float
    chill_portions_spread: float
    hardiness_c: float
    hardiness_c_spread: float
    heat_tolerance: float | None = None


ADAPTATION_GROUPS = keyed("adaptation_groups", AdaptationGroup, lambda row: row.group)
