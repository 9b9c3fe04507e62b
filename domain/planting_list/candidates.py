"""Which cultivars may be chosen for a list, why others may not, and the choice as a `ListProblem`."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.fruit.kinds import planted_for_fruit, pollen_donor
from domain.planting_list.admission import Admission, admission, asked_for_pollen, picking_window
from domain.planting_list.choice import ListProblem
from domain.planting_list.ground import Ground, with_places
from domain.planting_list.list_problem import FIGURES, Planted, list_problem
from domain.planting_list.stock import AsSold, InStock, as_sold, less, supply
from domain.planting_list.tree_options import TreeOption, nearest_option, tree_options
from domain.planting_list.tree_worth import told_near, tree_values
from domain.planting_list.trees_around import Outside, Wanting, outside_pollen, wanting
from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.wishes import Wishes
from domain.pollination.kinship import first_of_each
from domain.pollination.pairs import PairTable, pair_table
from domain.tables.cultivars import Cultivar


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
    in_stock: tuple[InStock | None, ...]
    """From what of a told stock each of the problem's candidates is taken; None where none is told."""


def candidates(
    wishes: Wishes,
    sited: SitedCultivars,
    by_id: Mapping[str, Cultivar],
    groups: NDArray[np.int64],
    ground: Ground | None = None,
) -> Candidates:
    """Everything about a choice but the choice. groups: (n,) sport group of each sited cultivar."""
    trees, admitted = _admitted(wishes, sited, groups, ground)
    if wishes.stock is not None:
        may = frozenset(sited.cultivars[row].id for row in np.flatnonzero(admitted.free))
        wishes = replace(wishes, choosable=may)
    if ground is not None:
        wishes = with_places(wishes, ground, [trees[row] for row in np.flatnonzero(admitted.free)])
    if wishes.stock is not None and wishes.trees_of_each > 1:  # there may be too few of some for a group
        trees, admitted = _admitted(wishes, sited, groups, ground)
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

    different = len(fixed) + int(np.unique(groups[free]).size)
    single = wishes.trees_of_each == 1 and _has_room_to_spare(wishes, ground, [trees[row][0] for row in free])
    told = told_near(wishes, sited)
    if told is not None and sited.known_here is not None and sited.known_here.any():
        told = sited.known_here
    home = free if told is None else [row for row in free if told[row] and sited.verdict[row] == "plant"]
    at_home = len(fixed) + int(np.unique(groups[home]).size)
    many = single and different >= wishes.places > 1 and wishes.places > min(FIGURES.one_of_each_up_to, at_home)
    twice = different < wishes.places or many
    value = tree_values(wishes, sited, admitted.met)
    once: list[int] = free
    again: list[int] = []
    second: dict[int, TreeOption | None] = {}
    if twice:  # two sports of one tree give each other no pollen: a second tree is of the same cultivar
        best = sorted(free, key=lambda row: -value[row])
        kept = first_of_each(best, groups)
        once = [row for row in free if row in kept]
        second = {row: _second(wishes, sited.cultivars[row], trees[row][0], ground) for row in once}
        again = [row for row in (best if many else once) if second.get(row) is not None]
        again = again[: wishes.places] if many else again
    elif ground is not None:
        again = [row for row in free if len(trees[row]) > 1]  # a smaller tree of the same
    at = {row: position for position, row in enumerate(pool.tolist())}
    options = _fixed_trees(wishes, sited, fixed, ground)
    options += [trees[row][0] for row in once]
    options += [second[row] if twice else trees[row][1] for row in again]
    positions = np.array([*range(len(fixed)), *(at[row] for row in (*once, *again))], dtype=np.intp)
    chosen = Planted(positions, tuple(options), twice, many)
    suited = admitted.by_limit["climate"] & admitted.eligible
    window = picking_window(wishes, sited, suited)
    problem = list_problem(
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
        tuple(
            _taken_from(wishes, sited.cultivars[pool[at]].id, one) for at, one in zip(positions, options, strict=True)
        ),
    )


def _has_room_to_spare(wishes: Wishes, ground: Ground | None, options: Sequence[TreeOption]) -> bool:
    """Whether the number of trees binds and not the ground: twice as many of the middling ones would stand there.

    Where the ground binds, a smaller tree of a cultivar is asked after instead of a second one.
    """
    if ground is None:
        return True
    share = {id(one): ground.share(one) for one in {id(one): one for one in options}.values()}
    middling = np.median([share[id(one)] for one in options]) if options else np.inf
    return bool(wishes.places * middling <= FIGURES.spare_share)


def _admitted(
    wishes: Wishes, sited: SitedCultivars, groups: NDArray[np.int64], ground: Ground | None
) -> tuple[list[tuple[TreeOption, ...]], Admission]:
    """Of each sited cultivar the trees that keep the wishes and find a place, and who may be chosen."""
    trees = [_trees(wishes, cultivar, ground) for cultivar in sited.cultivars]
    return trees, admission(wishes, sited, groups, np.array([bool(one) for one in trees], dtype=np.bool_))


def _trees(wishes: Wishes, cultivar: Cultivar, ground: Ground | None) -> tuple[TreeOption, ...]:
    """The trees of a cultivar that keep the wishes and find a place on the ground, the best first."""
    if not (planted_for_fruit(cultivar) or asked_for_pollen(cultivar, wishes)):
        return ()
    return _fitting(wishes, cultivar, wishes.sold(cultivar.id), ground)


def _second(wishes: Wishes, cultivar: Cultivar, first: TreeOption, ground: Ground | None) -> TreeOption | None:
    """A second tree of a cultivar: the same again, or of a told stock the best of what the first leaves."""
    taken = _taken_from(wishes, cultivar.id, first)
    if wishes.stock is None or taken is None:
        return first
    left = less(wishes.stock[cultivar.id], taken, wishes.trees_of_each)
    sold = as_sold(left, wishes.rootstocks, wishes.trees_of_each)
    return next(iter(_fitting(wishes, cultivar, sold, ground)), None)


def _taken_from(wishes: Wishes, cultivar_id: str, option: TreeOption | None) -> InStock | None:
    """What of a told stock a tree is one of."""
    items = None if wishes.stock is None else wishes.stock.get(cultivar_id)
    if items is None or not items:
        return None
    if option is None:  # a tree as nobody here knows how it grows
        return next((one for one in items if one.holds(wishes.trees_of_each)), items[0])
    return supply(items, option.choice.rootstock, option.choice.form, wishes.trees_of_each)


def _fitting(wishes: Wishes, cultivar: Cultivar, sold: AsSold | None, ground: Ground | None) -> tuple[TreeOption, ...]:
    """The trees that keep the wishes and find a place. sold: in what the cultivar can be had, where a stock is told."""
    found = tree_options(cultivar, wishes.trees, wishes.rootstocks, wishes.air_m, sold)
    if ground is None:
        return found
    fitting = ground.holding(found)
    if found and not fitting:  # the plot is narrow
        narrow = msgspec.structs.replace(wishes.trees, keep_spread_m=ground.widest_m(wishes.trees.against_fence))
        fitting = ground.holding(tree_options(cultivar, narrow, wishes.rootstocks, wishes.air_m, sold))
    return fitting


def _fixed_trees(
    wishes: Wishes, sited: SitedCultivars, fixed: Sequence[int], ground: Ground | None
) -> list[TreeOption | None]:
    """The trees to be planted whatever is thought of them: the best ones, or smaller ones if those do not all fit."""
    best: list[TreeOption | None] = []
    least: list[TreeOption | None] = []
    for row in fixed:
        found = _trees(wishes, sited.cultivars[row], ground)
        cultivar, sold = sited.cultivars[row], wishes.sold(sited.cultivars[row].id)
        near = None if found else nearest_option(cultivar, wishes.trees, wishes.rootstocks, wishes.air_m, sold)
        best.append(found[0] if found else near)
        least.append(found[-1] if found else near)
    each = wishes.trees_of_each
    if ground is None or each * sum(ground.share(one) for one in best if one is not None) <= 1.0:
        return best
    return least
