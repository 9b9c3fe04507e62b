"""Who may be chosen freely for a list, by each limit, and the picking season that counts."""

from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import season_day
from domain.fruit.kinds import planted_for_fruit
from domain.planting_list.pollen_donors import for_pollen_alone
from domain.planting_list.tree_worth import for_the_press_alone, told_near
from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.wishes import Wishes
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.traits.fruit_wishes import SILENCE_IS_NO, Met, WishCode, wished, wishes_met

Bools = NDArray[np.bool_]


class AdmissionFigures(msgspec.Struct, frozen=True):
    """The picking season that counts, and into what slots it is parted."""

    slot_days: int
    earliest_harvest_day: int
    odd_share: float


FIGURES = figures("planting_list", "admission", AdmissionFigures)


@dataclass(frozen=True)
class Admission:
    """(n,) over the sited cultivars: who may be chosen freely by each limit alone."""

    eligible: Bools
    """An apple of known bloom, and not of a sport group that is planted or stands already."""
    by_limit: dict[str, Bools]
    """climate, available, excluded, picking_window, tree_size, and each wish for the fruit that is asked."""
    suited: Bools
    """Who suits the site."""
    met: list[dict[WishCode, Met]]
    """Of each cultivar which wishes for the fruit it has."""
    least_bad: bool
    """Nothing that may be had is suited: the least unsuited are offered."""

    @property
    def free(self) -> Bools:
        """Who may be chosen freely."""
        return np.asarray(np.logical_and.reduce([self.eligible, *self.by_limit.values()]))

    def but_for(self, limit: str) -> Bools:
        """Who is left out by this limit alone."""
        others = [allowed for name, allowed in self.by_limit.items() if name != limit]
        return np.asarray(np.logical_and.reduce([self.eligible, ~self.by_limit[limit], *others]))


def picking_window(wishes: Wishes, sited: SitedCultivars, suited: Bools) -> tuple[float, float]:
    """First and last season day of the picking season: as wished, else that of the suited cultivars that can be had.

    The few that ripen before or after nearly all others do not make it longer.
    """
    told = told_near(wishes, sited)
    known = suited & np.isfinite(sited.harvest_first)
    known = known & told if told is not None and (known & told).any() else known
    odd = FIGURES.odd_share
    first = float(np.quantile(sited.harvest_first[known], odd)) if known.any() else 365.0
    last = float(np.quantile(sited.harvest_last[known], 1.0 - odd)) if known.any() else 500.0
    if wishes.first_ripe is not None:
        first = float(season_day(wishes.first_ripe, sited.south, FIGURES.earliest_harvest_day))
        last = max(last, first + FIGURES.slot_days)
    if wishes.last_ripe is not None:
        last = float(season_day(wishes.last_ripe, sited.south, int(min(first, 700.0))))
    return first, max(last, first + 1.0)


def admission(wishes: Wishes, sited: SitedCultivars, groups: NDArray[np.int64], sizes: Bools) -> Admission:
    """Who may be chosen freely. groups, sizes: (n,) sport group, and whether some tree of it keeps the wishes."""
    rows = range(len(sited.cultivars))
    ids = [cultivar.id for cultivar in sited.cultivars]
    taken = {int(groups[sited.row[cultivar_id]]) for cultivar_id in (*wishes.must_include, *_standing(wishes))}
    eligible = np.array([planted_for_fruit(c) or asked_for_pollen(c, wishes) for c in sited.cultivars], dtype=np.bool_)
    eligible &= sited.windows.known & ~np.isin(groups, list(taken))
    had = np.array([wishes.can_be_had(one) for one in ids], dtype=np.bool_)
    press = np.array([for_the_press_alone(one, wishes.uses) for one in sited.cultivars], dtype=np.bool_)
    eligible &= ~press | (had & (wishes.available is not None))
    kept = np.array([one not in wishes.excluded for one in ids], dtype=np.bool_)
    suited = sited.has_verdict("plant", "worth_trying")
    to_be_had = eligible & had & kept & sizes
    least_bad = bool(to_be_had.any()) and not (to_be_had & suited).any()
    entering = suited
    if least_bad:
        stocked = np.array([sited.cultivars[row].status == "advised" or wishes.available is not None for row in rows])
        entering = sited.has_verdict("not_here", "not_known") & stocked
    first, last = picking_window(wishes, sited, entering)
    with np.errstate(invalid="ignore"):
        in_window = (sited.harvest_first >= first) & (sited.harvest_first <= last)
    if wishes.first_ripe is None and wishes.last_ripe is None:
        in_window = np.ones(len(ids), dtype=np.bool_)
    met = _wishes_met(wishes, sited)
    limits = {"climate": entering, "available": had, "excluded": kept, "picking_window": in_window, "tree_size": sizes}
    for wish in wished(wishes.fruit):
        barring = ("not_met", "not_known") if wish in SILENCE_IS_NO else ("not_met",)
        limits[wish] = np.array([one[wish] not in barring for one in met], dtype=np.bool_)
    return Admission(eligible, limits, suited, met, least_bad)


def _wishes_met(wishes: Wishes, sited: SitedCultivars) -> list[dict[WishCode, Met]]:
    if not wished(wishes.fruit):
        return [{}] * len(sited.cultivars)
    told, origins = sited.told, wishes.origins
    return [wishes_met(one, wishes.fruit, told.get(one.id, frozenset()), origins) for one in sited.cultivars]


def _standing(wishes: Wishes) -> tuple[str, ...]:
    return tuple(tree.cultivar_id for tree in wishes.standing if tree.cultivar_id is not None)


def asked_for_pollen(cultivar: Cultivar, wishes: Wishes) -> bool:
    """A pollen donor stands on a list only where the request offers it: it takes the place of fruit."""
    offered = wishes.available is not None and cultivar.id in wishes.available
    return for_pollen_alone(cultivar) and offered
