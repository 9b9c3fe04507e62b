"""Pollen that reaches a list from outside it, and the trees that stand already and want pollen themselves."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import among
from domain.fruit.kinds import pollen_donor
from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.wishes import Standing, Wishes
from domain.pollination.pairs import FIGURES as PAIRS
from domain.pollination.pairs import PairTable, distance_share, distance_shares, neighbourhood_chance
from domain.tables.parameters import figures

Bools = NDArray[np.bool_]
Chances = NDArray[np.float64]


class AroundFigures(msgspec.Struct, frozen=True):
    """What is taken of neighbours that nobody told of, and what pollen for a tree that stands is worth."""

    unknown_neighbours: float
    unnamed_worth: float
    lone_partner_price: float
    lone_isolated_price: float
    most_alike: int


FIGURES = figures("planting_list", "trees_around", AroundFigures)


@dataclass(frozen=True)
class Outside:
    """Pollen from outside the list: chances (pool,) that a cultivar is served."""

    chance: Chances
    """By trees that stand, by nearby trees, by the neighbourhood or by itself."""
    neighbourhood: NDArray[np.float32]
    """By a settled neighbourhood alone."""


def chance_served(
    table: PairTable, trees: Sequence[int], outside: Chances, apart_m: NDArray[np.float64] | None = None
) -> Chances:
    """(t,) chance in a year that each tree, told by its place in the pool, is served by a tree of the list, from
    outside it (pool,), or by itself.

    Trees of one cultivar bloom together and carry the same pollen: of each cultivar only the best placed counts.
    apart_m: (t, t) distances, where the trees have places.
    """
    listed = np.array(trees, dtype=np.intp)
    given = np.where(among(table.fits.same_genotype, listed), 0.0, among(table.chance, listed))
    if apart_m is not None:
        given = given * distance_shares(apart_m)
    best = np.stack([given[:, listed == one].max(axis=1) for one in np.unique(listed)], axis=1)
    missed = np.prod(1.0 - best.astype(np.float64), axis=1)
    return np.asarray(1.0 - missed * (1.0 - outside[listed]))


@dataclass(frozen=True)
class Wanting:
    """A tree that stands, by what it gets without the list and by what each cultivar of the pool would give."""

    tree: Standing
    position: int | None
    """In the pool; None where its cultivar is not known."""
    before: float
    """Chance in a year that it is served without the list."""
    given: Chances
    """(pool,) chance that each cultivar serves it."""
    worth: float
    """Share of a tree of the list that its crop counts for."""

    @property
    def wants(self) -> bool:
        """Whether no source serves it surely yet."""
        return self.before < PAIRS.effective_chance


def usual_neighbours(sited: SitedCultivars, pool: NDArray[np.intp], table: PairTable) -> NDArray[np.float32]:
    """(pool,) chance that some tree of a settled neighbourhood serves a cultivar."""
    return neighbourhood_chance(table, _usual(sited, pool))


def outside_pollen(
    wishes: Wishes,
    sited: SitedCultivars,
    pool: NDArray[np.intp],
    table: PairTable,
    known_neighbours: NDArray[np.float32] | None = None,
    *,
    asked: NDArray[np.intp] | None = None,
) -> Outside:
    """Chances of pollen from outside the list for every cultivar of the pool, or for some.

    known_neighbours: `usual_neighbours`, where they were worked out before. asked: positions in the pool; None for all.

    Where a single tree is to be planted and nothing is told of the neighbours, they are reckoned between none and many:
    no other tree of the list could serve it.
    """
    neighbours = usual_neighbours(sited, pool, table) if known_neighbours is None else known_neighbours
    around = (*wishes.standing, *wishes.nearby)
    if asked is None:
        missed = 1.0 - table.self_chance.astype(np.float64)
    else:
        missed, neighbours = 1.0 - table.chance[asked, asked].astype(np.float64), neighbours[asked]
    missed *= _missed_by_named([tree for tree in around if tree.cultivar_id is not None], sited, pool, table, asked)
    for tree in around:
        if tree.cultivar_id is None:
            given = _from_unnamed(tree, sited, pool, table)
            missed *= 1.0 - (given if asked is None else given[asked])
    share = {
        "settled": 1.0,
        "isolated": 0.0,
        "unknown": FIGURES.unknown_neighbours if lone_among_unknown(wishes) else 0.0,
    }
    return Outside(
        chance=1.0 - missed * (1.0 - share[wishes.neighbourhood] * neighbours.astype(np.float64)),
        neighbourhood=neighbours,
    )


def lone_among_unknown(wishes: Wishes) -> bool:
    """Whether a single tree is asked for where nothing is told of the neighbours."""
    return wishes.places == 1 and wishes.neighbourhood == "unknown"


def lone_among_none(wishes: Wishes) -> bool:
    """Whether a single tree is asked for where no apple grows near by: only a scion or a tree beside it serves it."""
    return wishes.places == 1 and wishes.neighbourhood == "isolated"


def wanting(
    wishes: Wishes, sited: SitedCultivars, pool: NDArray[np.intp], table: PairTable, outside: Outside
) -> tuple[Wanting, ...]:
    """The trees that stand, each cultivar once, in their order. One without a name is no partner of its own."""
    once: dict[str, Standing] = {}
    for tree in wishes.standing:
        once.setdefault(tree.cultivar_id or tree.kind, tree)
    found = []
    for key, tree in once.items():
        alike = sum(one.count for one in wishes.standing if (one.cultivar_id or one.kind) == key)
        counted = min(alike, FIGURES.most_alike)
        if tree.cultivar_id is None:
            usual = _usual_of_kind(tree.kind, sited, pool)
            given = table.chance[usual].astype(np.float64).mean(axis=0) if usual.any() else np.zeros(pool.size)
            before = 0.0
            if usual.any():
                others, asked = _without(tree, wishes), np.flatnonzero(usual)
                served = outside_pollen(others, sited, pool, table, outside.neighbourhood, asked=asked)
                before = float(served.chance.mean())
            found.append(Wanting(tree, None, before, given, counted * FIGURES.unnamed_worth))
            continue
        position = int(np.flatnonzero(pool == sited.row[tree.cultivar_id])[0])
        given = np.where(table.fits.same_genotype[position], 0.0, table.chance[position].astype(np.float64))
        worth = counted * max(float(sited.rank_value[pool[position]]), FIGURES.unnamed_worth)
        found.append(Wanting(tree, position, float(outside.chance[position]), given, worth))
    return tuple(found)


def _without(tree: Standing, wishes: Wishes) -> Wishes:
    """The same wishes where that tree does not stand."""
    others = list(wishes.standing)
    others.remove(tree)
    return replace(wishes, standing=tuple(others))


def gains(trees: Sequence[Wanting], planted: NDArray[np.intp]) -> tuple[Bools, Chances]:
    """(m, s) whether a candidate serves each tree that wants pollen, and (s,) the worth of that in trees of the list.

    planted: (m,) positions of the candidates in the pool.
    """
    short = [one for one in trees if one.wants]
    serves = np.array([one.given[planted] >= PAIRS.effective_chance for one in short], dtype=np.bool_)
    worth = np.array([one.worth * (1.0 - one.before) for one in short], dtype=np.float64)
    return serves.reshape(len(short), planted.size).T, worth


def nearest_of_each(trees: Sequence[Standing]) -> list[Standing]:
    """Of trees around the nearest of each cultivar: more of one bloom with it and carry the same pollen.

    Of those without a name all: each may be another.
    """
    nearest: dict[str, Standing] = {}
    for tree in trees:
        known = None if tree.cultivar_id is None else nearest.get(tree.cultivar_id)
        if tree.cultivar_id is not None and (known is None or tree.distance_m < known.distance_m):
            nearest[tree.cultivar_id] = tree
    return [*nearest.values(), *(tree for tree in trees if tree.cultivar_id is None)]


def _missed_by_named(
    trees: Sequence[Standing],
    sited: SitedCultivars,
    pool: NDArray[np.intp],
    table: PairTable,
    asked: NDArray[np.intp] | None,
) -> Chances:
    """(pool,) or (asked,) chance that none of some trees around, whose cultivars are known, serves each cultivar."""
    nearest = nearest_of_each(trees)
    rows = [sited.row[tree.cultivar_id] for tree in nearest if tree.cultivar_id is not None]
    sources = np.array([np.flatnonzero(pool == row)[0] for row in rows], dtype=np.intp)
    some = np.arange(pool.size) if asked is None else asked
    share = distance_shares(np.array([tree.distance_m for tree in nearest], dtype=np.float64))
    pairs = some[None, :], sources[:, None]
    given = np.where(table.fits.same_genotype[pairs], 0.0, table.chance[pairs].astype(np.float64) * share[:, None])
    return np.asarray((1.0 - given).prod(axis=0))


def _from_unnamed(tree: Standing, sited: SitedCultivars, pool: NDArray[np.intp], table: PairTable) -> Chances:
    """(pool,) chance that a tree around whose cultivar is not known serves each cultivar."""
    usual = _usual_of_kind(tree.kind, sited, pool)
    if not usual.any():
        return np.zeros(pool.size)
    return np.asarray(table.chance[:, usual].astype(np.float64).mean(axis=1) * distance_share(tree.distance_m))


def _usual(sited: SitedCultivars, pool: NDArray[np.intp]) -> Bools:
    """(pool,) what people have who have apples here: what suits, or anything where nothing does."""
    usual = sited.has_verdict("plant", "worth_trying")[pool]
    return usual if usual.any() else np.ones(pool.size, dtype=np.bool_)


def _usual_of_kind(kind: str, sited: SitedCultivars, pool: NDArray[np.intp]) -> Bools:
    """(pool,) the cultivars of a kind that one without a name may be: those in bloom at a known time that suit."""
    of_kind = np.array([sited.cultivars[row].kind == kind for row in pool], dtype=np.bool_)
    of_kind &= sited.windows.known[pool]
    living = of_kind & ~sited.has_verdict("not_here")[pool]
    donors = np.array([pollen_donor(sited.cultivars[row]) for row in pool], dtype=np.bool_)
    usual = living & (donors | sited.has_verdict("plant", "worth_trying")[pool])
    return next((one for one in (usual, living) if one.any()), of_kind)
