"""Which cultivars may be chosen for a list, why others may not, and the choice as a `ListProblem`."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import among
from domain.common.season_days import season_day
from domain.fruit.kinds import planted_for_fruit, pollen_donor
from domain.planting_list.choice import FIGURES as CHOICE
from domain.planting_list.choice import POINTS, ListProblem, with_tie_steps
from domain.planting_list.ground import Ground, with_places
from domain.planting_list.pollen_donors import for_pollen_alone
from domain.planting_list.tree_options import TreeOption, nearest_option, tree_options
from domain.planting_list.tree_worth import as_wished, for_the_press_alone, hardly_told, told_near, tree_values, uses_of
from domain.planting_list.trees_around import FIGURES as AROUND
from domain.planting_list.trees_around import (
    Outside,
    Wanting,
    gains,
    lone_among_none,
    lone_among_unknown,
    outside_pollen,
    wanting,
)
from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.wishes import Wishes
from domain.pollination.kinship import first_of_each
from domain.pollination.pairs import FIGURES as PAIRS
from domain.pollination.pairs import PairTable, pair_table
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.traits.fruit_wishes import SILENCE_IS_NO, Met, WishCode, wished, wishes_met

Bools = NDArray[np.bool_]


class CandidateFigures(msgspec.Struct, frozen=True):
    """What a cultivar on a list is worth, and which pollen counts."""

    probable_chance: float
    least_pollen: float
    slot_days: int
    earliest_harvest_day: int
    reliable_years: float
    tolerance: float
    second_tree_share: float
    again_share: float
    odd_share: float
    one_of_each_up_to: int
    heard_share: float


FIGURES = figures("planting_list", "candidates", CandidateFigures)


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


@dataclass(frozen=True)
class Planted:
    """The trees among which the choice is made: positions in the pool, and what tree each would be."""

    positions: NDArray[np.intp]
    options: tuple[TreeOption | None, ...]
    twice: bool
    """Free cultivars, one of each group of sports, stand a second time at the end, since there are too few of them or
    trees are many.
    """
    many: bool
    """There are enough of them: the best may stand twice before one that suits less or is not told of there."""


@dataclass(frozen=True)
class Candidates:
    """The cultivars of a choice. `pool` holds rows of the sited cultivars; all else follows the order of the pool."""

    wishes: Wishes
    """As asked; on a plot with as many places as it holds."""
    sited: SitedCultivars
    pool: NDArray[np.intp]
    table: PairTable
    outside: Outside
    standing: tuple[Wanting, ...]
    """The trees that stand, and what the list may give them."""
    admission: Admission
    planted: NDArray[np.intp]
    """Positions in the pool of the problem's candidates (twice for a second tree, or a smaller one, of a cultivar)."""
    problem: ListProblem
    window: tuple[float, float]
    """Season days of the picking season that counts."""
    groups: NDArray[np.int64]
    """(n,) sport group of each sited cultivar."""
    options: tuple[TreeOption | None, ...]
    """The tree that each of the problem's candidates would be; None where no form and rootstock can be had."""
    value: NDArray[np.float64]
    """(n,) worth of a tree of each sited cultivar."""


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
    eligible = np.array([planted_for_fruit(c) or _asked_for_pollen(c, wishes) for c in sited.cultivars], dtype=np.bool_)
    eligible &= sited.windows.known & ~np.isin(groups, list(taken))
    had = np.array([wishes.available is None or one in wishes.available for one in ids], dtype=np.bool_)
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


def _asked_for_pollen(cultivar: Cultivar, wishes: Wishes) -> bool:
    """A pollen donor stands on a list only where the request offers it: it takes the place of fruit."""
    offered = wishes.available is not None and cultivar.id in wishes.available
    return for_pollen_alone(cultivar) and offered


def candidates(
    wishes: Wishes,
    sited: SitedCultivars,
    by_id: Mapping[str, Cultivar],
    groups: NDArray[np.int64],
    ground: Ground | None = None,
) -> Candidates:
    """Everything about a choice but the choice. groups: (n,) sport group of each sited cultivar."""
    trees = [_trees(wishes, cultivar, ground) for cultivar in sited.cultivars]
    admitted = admission(wishes, sited, groups, np.array([bool(one) for one in trees], dtype=np.bool_))
    fixed = [sited.row[cultivar_id] for cultivar_id in wishes.must_include]
    free = [int(row) for row in np.flatnonzero(admitted.free)]
    free.sort(key=lambda row: (sited.cultivars[row].sport_of is not None, row))  # between equals, originals first
    around = [sited.row[one.cultivar_id] for one in (*wishes.standing, *wishes.nearby) if one.cultivar_id is not None]
    donors = [row for row, cultivar in enumerate(sited.cultivars) if pollen_donor(cultivar)]
    pool = np.array(list(dict.fromkeys([*fixed, *free, *around, *donors])), dtype=np.intp)
    if sited.pairs is None:
        table = pair_table([sited.cultivars[row] for row in pool], by_id, sited.windows.of(pool))
    else:
        table = sited.pairs.of(pool)
    outside = outside_pollen(wishes, sited, pool, table)
    standing = wanting(wishes, sited, pool, table, outside)

    if ground is not None:
        wishes = with_places(wishes, ground, [trees[row] for row in free])
    different = len(fixed) + int(np.unique(groups[free]).size)
    single = ground is None and wishes.trees_of_each == 1
    told = told_near(wishes, sited)
    home = free if told is None else [row for row in free if told[row] and sited.verdict[row] == "plant"]
    at_home = len(fixed) + int(np.unique(groups[home]).size)
    many = single and different >= wishes.places > 1 and wishes.places > min(FIGURES.one_of_each_up_to, at_home)
    twice = different < wishes.places or many
    value = tree_values(wishes, sited, admitted.met)
    once: list[int] = free
    again: list[int] = []
    if twice:  # two sports of one tree give each other no pollen: a second tree is of the same cultivar
        best = sorted(free, key=lambda row: -value[row])
        kept = first_of_each(best, groups)
        once = [row for row in free if row in kept]
        again = [row for row in best if row in kept][: wishes.places] if many else once
    elif ground is not None:
        again = [row for row in free if len(trees[row]) > 1]  # a smaller tree of the same
    at = {row: position for position, row in enumerate(pool.tolist())}
    options = _fixed_trees(wishes, sited, fixed, ground)
    options += [trees[row][0] for row in once]
    options += [trees[row][0 if twice else 1] for row in again]
    positions = np.array([*range(len(fixed)), *(at[row] for row in (*once, *again))], dtype=np.intp)
    chosen = Planted(positions, tuple(options), twice, many)
    suited = admitted.by_limit["climate"] & admitted.eligible
    window = picking_window(wishes, sited, suited)
    problem = _problem(
        wishes,
        sited,
        pool,
        chosen,
        table=table,
        outside=outside,
        standing=standing,
        window=window,
        groups=groups,
        met=admitted.met,
        value=value,
    )
    problem = replace(problem, empty_places=max(0, wishes.places - different))
    if ground is not None:
        each = wishes.trees_of_each
        share = {
            id(one): ground.share(one) for one in {id(one): one for one in chosen.options if one is not None}.values()
        }
        taken = np.array([np.inf if one is None else each * share[id(one)] for one in chosen.options])
        problem = replace(
            problem,
            room=np.minimum(taken, 2.0),
            tolerance=FIGURES.tolerance,
            empty_places=max(wishes.places - max(len(fixed), 1), 0),
        )
    return Candidates(
        wishes,
        sited,
        pool,
        table,
        outside,
        standing,
        admitted,
        chosen.positions,
        problem,
        window,
        groups,
        chosen.options,
        value,
    )


def _trees(wishes: Wishes, cultivar: Cultivar, ground: Ground | None) -> tuple[TreeOption, ...]:
    """The trees of a cultivar that keep the wishes and find a place on the ground, the best first."""
    if not (planted_for_fruit(cultivar) or _asked_for_pollen(cultivar, wishes)):
        return ()
    found = tree_options(cultivar, wishes.trees, wishes.rootstocks, wishes.air_m)
    if ground is None:
        return found
    fitting = ground.holding(found)
    if found and not fitting:  # the plot is narrow
        narrow = msgspec.structs.replace(wishes.trees, keep_spread_m=ground.widest_m(wishes.trees.against_fence))
        fitting = ground.holding(tree_options(cultivar, narrow, wishes.rootstocks, wishes.air_m))
    return fitting


def _fixed_trees(
    wishes: Wishes, sited: SitedCultivars, fixed: Sequence[int], ground: Ground | None
) -> list[TreeOption | None]:
    """The trees to be planted whatever is thought of them: the best ones, or smaller ones if those do not all fit."""
    best: list[TreeOption | None] = []
    least: list[TreeOption | None] = []
    for row in fixed:
        found = _trees(wishes, sited.cultivars[row], ground)
        near = None if found else nearest_option(sited.cultivars[row], wishes.trees, wishes.rootstocks, wishes.air_m)
        best.append(found[0] if found else near)
        least.append(found[-1] if found else near)
    each = wishes.trees_of_each
    if ground is None or each * sum(ground.share(one) for one in best if one is not None) <= 1.0:
        return best
    return least


def _problem(
    wishes: Wishes,
    sited: SitedCultivars,
    pool: NDArray[np.intp],
    chosen: Planted,
    *,
    table: PairTable,
    outside: Outside,
    standing: Sequence[Wanting],
    window: tuple[float, float],
    groups: NDArray[np.int64],
    met: Sequence[Mapping[WishCode, Met]],
    value: NDArray[np.float64],
) -> ListProblem:
    """The numbers of a choice among trees of the pool, which stand at their positions of the pair table.

    value: (n,) worth of a tree of each sited cultivar.
    """
    planted = chosen.positions
    rows = pool[planted]
    shares = _shares(wishes)
    value = value[rows]
    share = np.array([1.0 if one is None else one.share for one in chosen.options])
    fixed = np.arange(planted.size) < len(wishes.must_include)
    if chosen.twice:
        again = FIGURES.again_share if chosen.many else FIGURES.second_tree_share
        value[np.arange(planted.size) >= np.unique(planted).size] *= again
    a_tree = POINTS * shares[0] / wishes.usual_places * share
    starts = np.arange(window[0], window[1], FIGURES.slot_days)
    season = _in_season(wishes, sited, rows, starts)
    served = outside.chance[planted] >= PAIRS.effective_chance
    strangers = ~among(table.fits.same_genotype, planted)
    serves = among(table.effective, planted) & strangers
    pollen = among(table.chance, planted)
    pollen[serves] = 1.0
    pollen[~strangers] = 0.0
    uses = np.array([[use in uses_of(sited.cultivars[row]) for use in wishes.uses] for row in rows], dtype=np.bool_)
    uses = uses.reshape(rows.size, len(wishes.uses))
    use_worth = np.full(len(wishes.uses), POINTS * shares[2] / max(len(wishes.uses), 1))
    served_standing, standing_worth = gains(standing, planted)
    slot = POINTS * shares[1] / starts.size
    shortfall = np.where(served, 0.0, np.maximum(np.rint(a_tree * (1 - outside.chance[planted])), 1.0))
    barren = np.array([for_pollen_alone(sited.cultivars[row]) for row in rows], dtype=np.bool_)
    shortfall[barren] = 0.0
    sure = serves.any(axis=1)
    must_be_served = (~fixed | sure) & (outside.chance[planted] < FIGURES.probable_chance)
    once = np.unique(planted, return_index=True)[1]  # a second tree of one cultivar brings no other pollen
    must_be_served[~sure] &= ~served_by_two(pollen[np.ix_(~sure, once)])
    pollen[pollen < np.float64(FIGURES.least_pollen)] = 0.0  # as exact as the figure
    if lone_among_unknown(wishes):
        shortfall = np.minimum(shortfall, np.rint(AROUND.lone_partner_price * a_tree))
        must_be_served = np.zeros_like(fixed)
    elif lone_among_none(wishes):
        shortfall = np.rint(AROUND.lone_isolated_price * shortfall)
        must_be_served = np.zeros_like(fixed)
    return ListProblem(
        tree_worth=with_tie_steps(a_tree * value, wishes.places),
        group=groups[rows],
        fixed=fixed,
        serves=serves,
        pollen=pollen,
        shortfall=shortfall,
        must_be_served=np.asarray(must_be_served),
        season=season,
        gains=np.hstack([uses, served_standing]),
        gain_worth=np.rint(np.concatenate([use_worth, standing_worth * POINTS * shares[0] / wishes.usual_places])),
        tiers=_tiers(wishes, sited, rows, uses, met=met, group=groups[rows]),
        places=wishes.places,
        slot_worth=(float(round(slot * (1 - CHOICE.second_share))), float(round(slot * CHOICE.second_share))),
        trees_of_a_group=2 if chosen.twice else 1,
    )


def served_by_two(pollen: NDArray[np.floating]) -> Bools:
    """(m,) whether two sources that are not sure by themselves would serve a tree together."""
    if pollen.shape[1] < 2:
        return np.zeros(pollen.shape[0], dtype=np.bool_)
    best = np.partition(pollen, -2, axis=1)[:, -2:].astype(np.float64)
    return np.asarray(1.0 - np.prod(1.0 - best, axis=1) >= PAIRS.effective_chance)


def _tiers(
    wishes: Wishes,
    sited: SitedCultivars,
    rows: NDArray[np.intp],
    uses: Bools,
    *,
    met: Sequence[Mapping[WishCode, Met]],
    group: NDArray[np.int64],
) -> tuple[Bools, ...]:
    """(m,) each: what a list is made of while it will do, then what it is made of next.

    First what is to be planted here and known to be as wished, with what alone has a wished use; then what is worth a
    try and known to be as wished; then what is to be planted, whatever is known of it. Where that of which sources near
    by speak makes less than a share (`heard_share`) of a list, or of as many trees as are each another cultivar, it
    alone goes before the rest: nobody plants a garden of names unheard of.
    """
    surest = sited.has_verdict("plant")[rows]
    told = told_near(wishes, sited)
    some = min(wishes.places, FIGURES.one_of_each_up_to)
    if told is not None and 0 < np.unique(group[surest & told[rows]]).size < FIGURES.heard_share * some:
        surest &= told[rows]
    donors = np.array([for_pollen_alone(sited.cultivars[row]) for row in rows], dtype=np.bool_)
    if not wished(wishes.fruit):
        return (surest | donors,)
    known = np.array([as_wished(wishes, sited.cultivars[row], met[row]) for row in rows], dtype=np.bool_)
    only_there = uses[:, ~uses[surest & known].any(axis=0)].any(axis=1)
    tiers = (surest & known | only_there | donors, known | donors, surest | only_there | donors)
    return tuple(np.asarray(tier) for tier in tiers)


def _shares(wishes: Wishes) -> tuple[float, float, float]:
    """Shares of the value of a list that fall to its trees, its picking season and its uses."""
    weights = wishes.weights
    trees = weights.crop + weights.sound_fruit + weights.quality + weights.tree_survival
    uses = weights.uses if wishes.uses else 0.0
    total = trees + weights.picking_season + uses
    if total <= 0:
        return 1.0, 0.0, 0.0
    return trees / total, weights.picking_season / total, uses / total


def _in_season(wishes: Wishes, sited: SitedCultivars, rows: NDArray[np.intp], starts: NDArray[np.float64]) -> Bools:
    """(m, slots) whether a cultivar has fruit in a slot, from the tree or from store (the shorter storage life).

    One that bears in fewer than `reliable_years`, or that nurseries may not have, fills no slot, unless all do.
    """
    reliable = sited.likely_years[rows] >= FIGURES.reliable_years
    reliable &= np.array([wishes.available is not None or not hardly_told(sited, row) for row in rows], dtype=np.bool_)
    reliable |= ~reliable.any()
    first, last = sited.harvest_first[rows], sited.harvest_last[rows]
    kept = last + 7.0 * np.nan_to_num(sited.storage_weeks[rows, 0])
    with np.errstate(invalid="ignore"):
        fruit = (first[:, None] < starts[None, :] + FIGURES.slot_days) & (kept[:, None] >= starts[None, :])
    return np.asarray(fruit & reliable[:, None])
