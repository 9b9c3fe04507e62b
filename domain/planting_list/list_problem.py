"""The numbers of a choice among candidates: what each is worth, whom it serves, and when it has fruit."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import among
from domain.planting_list.admission import FIGURES as ADMISSION
from domain.planting_list.choice import FIGURES as CHOICE
from domain.planting_list.choice import POINTS, ListProblem, with_tie_steps
from domain.planting_list.pollen_donors import for_pollen_alone
from domain.planting_list.tree_options import TreeOption
from domain.planting_list.tree_worth import as_wished, hardly_told, told_near, uses_of
from domain.planting_list.trees_around import FIGURES as AROUND
from domain.planting_list.trees_around import Outside, Wanting, gains, lone_among_none, lone_among_unknown
from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.wishes import Wishes
from domain.pollination.pairs import FIGURES as PAIRS
from domain.pollination.pairs import PairTable
from domain.tables.parameters import figures
from domain.traits.fruit_wishes import Met, WishCode, wished

Bools = NDArray[np.bool_]


class ProblemFigures(msgspec.Struct, frozen=True):
    """What a cultivar on a list is worth, and which pollen counts."""

    probable_chance: float
    least_pollen: float
    reliable_years: float
    tolerance: float
    second_tree_share: float
    again_share: float
    one_of_each_up_to: int
    heard_share: float
    fair_share: float
    spare_share: float


FIGURES = figures("planting_list", "list_problem", ProblemFigures)


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


def list_problem(
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
    starts = np.arange(window[0], window[1], ADMISSION.slot_days)
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
        tiers=_tiers(wishes, sited, rows, uses, met=met, group=groups[rows], value=value),
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
    value: NDArray[np.float64],
) -> tuple[Bools, ...]:
    """(m,) each: what a list is made of while it will do, then what it is made of next.

    First what is to be planted here and known to be as wished, with what alone has a wished use; then what is worth a
    try and known to be as wished; then what is to be planted, whatever is known of it. Where that of which sources near
    by speak makes less than a share (`heard_share`) of a list, or of as many trees as are each another cultivar, it
    alone goes before the rest: nobody plants a garden of names unheard of. Of the rest goes first, whatever its
    verdict, what is worth nearly as much (`fair_share`) as the last tree that the list could have: a season to fill is
    no reason to plant what hardly bears there.
    """
    surest = sited.has_verdict("plant")[rows]
    told = told_near(wishes, sited)
    some = min(wishes.places, FIGURES.one_of_each_up_to)
    rest: tuple[Bools, ...] = ()
    if told is not None and 0 < np.unique(group[surest & told[rows]]).size < FIGURES.heard_share * some:
        surest &= told[rows]
        last = np.sort(value)[-min(wishes.places, value.size)]
        rest = (value >= FIGURES.fair_share * last,)
    donors = np.array([for_pollen_alone(sited.cultivars[row]) for row in rows], dtype=np.bool_)
    if not wished(wishes.fruit):
        return tuple(np.asarray(tier | donors) for tier in (surest, *rest))
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

    One that bears in fewer than `reliable_years`, or that nurseries may not have, fills no slot, unless all do; nor one
    that is not known in that part of the world, where some are: its traits alone would let it ripen when nothing else
    does, as one of little need of chill, unseen, where winters are long.
    """
    reliable = sited.likely_years[rows] >= FIGURES.reliable_years
    if wishes.available is None:
        reliable &= np.array([not hardly_told(sited, row) for row in rows], dtype=np.bool_)
        if sited.known_here is not None and (reliable & sited.known_here[rows]).any():
            reliable &= sited.known_here[rows]
    reliable |= ~reliable.any()
    first, last = sited.harvest_first[rows], sited.harvest_last[rows]
    kept = last + 7.0 * np.nan_to_num(sited.storage_weeks[rows, 0])
    with np.errstate(invalid="ignore"):
        fruit = (first[:, None] < starts[None, :] + ADMISSION.slot_days) & (kept[:, None] >= starts[None, :])
    return np.asarray(fruit & reliable[:, None])
