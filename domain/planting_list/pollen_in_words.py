"""By what the trees of a list are pollinated: the best sources of each, and a sentence."""

from collections.abc import Mapping, Sequence

import numpy as np
from msgspec.structs import asdict

from domain.fruit.kinds import KINDS
from domain.planting_list.chosen_list import ChosenList
from domain.planting_list.list_answer import PollinationPartner, Served, ServedCode, Stands
from domain.planting_list.partners import partner
from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.wishes import Standing
from domain.pollination.pairs import FIGURES as PAIRS
from domain.pollination.pairs import distance_share
from domain.pollination.pairs_in_words import explain
from domain.tables.words import Value, say

MOST_PARTNERS = 4


class PollenOfTrees:
    """The pollen of the trees of one list."""

    def __init__(self, chosen: ChosenList) -> None:
        self._chosen = chosen
        place = {int(row): position for position, row in enumerate(chosen.found.pool)}
        self._around = _places(chosen.wishes.standing, place, chosen.sited, near=False)
        self._nearby = _places(chosen.wishes.nearby, place, chosen.sited, near=True)
        self._nearest_m = self._nearest()
        self.partners_of = self._partners()

    def _partners(self) -> dict[int, tuple[PollinationPartner, ...]]:
        """Of each tree the best sources, surest first; those without effect only if there is no other."""
        best = {position: self._best_sources(position) for position in dict.fromkeys(self._chosen.trees)}
        pairs = explain(
            self._chosen.table, [(position, one[1]) for position, sources in best.items() for one in sources]
        )
        told, found = iter(pairs), {}
        for position, sources in best.items():
            all_told = [partner(next(told), stands, metres) for stands, _, metres in sources]
            some = tuple(one for one in all_told if one.verdict in ("effective", "partial"))
            found[position] = some or tuple(all_told)
        return found

    def _best_sources(self, position: int) -> list[tuple[Stands, int, float | None]]:
        """The best few sources of a tree, surest first: where each stands, its position, and how far (m) if told."""
        sources: dict[tuple[Stands, int], tuple[float, float | None]] = {}
        listed = [
            (other, self._apart(position, other)) for other in dict.fromkeys(self._chosen.trees) if other != position
        ]
        everywhere: tuple[tuple[Stands, list[tuple[int, float | None]]], ...] = (
            ("list", listed),
            ("established", self._around),
            ("nearby", self._nearby),
        )
        for stands, trees in everywhere:
            for source, distance_m in trees:
                share = 1.0 if distance_m is None else distance_share(distance_m)
                chance = float(self._chosen.table.chance[position, source]) * share
                if chance > sources.get((stands, source), (-1.0, None))[0]:
                    sources[stands, source] = (chance, distance_m)
        best = sorted(sources.items(), key=lambda item: -item[1][0])[:MOST_PARTNERS]
        return [(stands, source, metres) for (stands, source), (_, metres) in best]

    def _apart(self, position: int, other: int) -> float | None:
        """Distance (m) between the nearest trees of two cultivars of the list; None where it is not laid out."""
        if self._nearest_m is None:
            return None
        positions, nearest_m = self._nearest_m
        return round(nearest_m[positions[position]][positions[other]], 1)

    def _nearest(self) -> tuple[dict[int, int], list[list[float]]] | None:
        """The place of each cultivar of the list in a table of distances (m) between their nearest trees."""
        if self._chosen.laid.apart_m is None:
            return None
        positions, starts = np.unique(np.sort(self._chosen.trees), return_index=True)
        order = np.argsort(self._chosen.trees, kind="stable")
        by_row = np.minimum.reduceat(self._chosen.laid.apart_m[np.ix_(order, order)], starts, axis=0)
        nearest: list[list[float]] = np.minimum.reduceat(by_row, starts, axis=1).tolist()
        return {int(position): place for place, position in enumerate(positions)}, nearest

    def served(self, one: int) -> Served:
        """By what a tree of the list is pollinated, in a sentence."""
        position = self._chosen.trees[one]
        partners = self.partners_of[position]
        if not self._chosen.table.windows.known[position]:
            return _served("bloom_here_unknown")
        serving = [partner for partner in partners if partner.verdict == "effective"]
        if serving:
            first = serving[0]
            return _served("served_by", cultivar=first.cultivar, id=first.id, stands=first.stands)
        partial = [
            each for each in partners if each.probability is not None and each.probability >= PAIRS.ineffective_chance
        ][:2]
        if partial and self._chosen.pollinated[one] >= PAIRS.effective_chance:
            names, ids = tuple(each.cultivar for each in partial), tuple(each.id for each in partial)
            return _served("served_by_several", cultivars=names, ids=ids)
        unnamed = [
            tree for tree in (*self._chosen.wishes.standing, *self._chosen.wishes.nearby) if tree.cultivar_id is None
        ]
        if unnamed and self._chosen.pollinated[one] >= PAIRS.effective_chance:
            return _served("served_by_unnamed", kind=KINDS[unnamed[0].kind].name)
        own = float(self._chosen.table.self_chance[position])
        if self.served_if_neighbours(one):
            beside = 1.0 - (1.0 - own) * (1.0 - float(self._chosen.found.outside.neighbourhood[position]))
            return _served("served_if_neighbours", alone=10.0 * own, beside=10.0 * beside)
        if self._chosen.wishes.neighbourhood == "settled" and self._chosen.pollinated[one] >= PAIRS.effective_chance:
            return _served("served_by_neighbourhood")
        if own >= PAIRS.effective_chance:
            return _served("sets_alone")
        return _served("sets_partly_alone" if own >= PAIRS.ineffective_chance else "no_sure_source")

    def served_if_neighbours(self, one: int) -> bool:
        """Whether all that can be said of the pollen of a tree is that it stands alone among unknown neighbours."""
        if self._chosen.wishes.neighbourhood != "unknown" or len(self._chosen.trees) > 1:
            return False
        named = any(each.verdict in ("effective", "partial") for each in self.partners_of[self._chosen.trees[one]])
        unnamed = any(tree.cultivar_id is None for tree in (*self._chosen.wishes.standing, *self._chosen.wishes.nearby))
        return not named and not (unnamed and self._chosen.pollinated[one] >= PAIRS.effective_chance)


def _places(
    trees: Sequence[Standing], place: Mapping[int, int], sited: SitedCultivars, near: bool
) -> list[tuple[int, float | None]]:
    """Positions in the pool of the trees around whose cultivar is known, and how far they stand where that is told."""
    return [
        (place[sited.row[tree.cultivar_id]], tree.distance_m if near else None)
        for tree in trees
        if tree.cultivar_id is not None
    ]


def _served(code: ServedCode, **values: Value) -> Served:
    return Served(**asdict(say(code, **values)))
