"""The order of an answer: by verdict, what is known in that part of the world first, then by rank; one of each tree.

What those who speak of a part of the world name, and is met there clearly more often than elsewhere, stands before what
only its traits speak for: it can be had there, and seen. That moves no rank, and nothing if nobody asks for the proven.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import TypeVar

import msgspec

from domain.suitability.factors import Verdict
from domain.suitability.site_fit import SiteFit
from domain.suitability.suitability_answer import OfOneTree, Suitability
from domain.suitability.suitability_request import Weights
from domain.suitability.verdicts import BEST_FIRST
from domain.traits.trait_table import TraitTable

T = TypeVar("T")
Place = tuple[int, bool, float, str]


def place(verdict: Verdict, known_here: bool, rank_value: float | None, cultivar_id: str) -> Place:
    """Where a cultivar stands, the least first; ties by id."""
    return BEST_FIRST.index(verdict), not known_here, -(rank_value or 0.0), cultivar_id


def told_rank(verdict: Verdict, rank: float) -> float | None:
    """The rank of a cultivar, rounded, as it is told; null where too little is known for one."""
    return None if verdict == "not_known" else rank


def in_order(judged: Iterable[Suitability], weights: Weights) -> tuple[Suitability, ...]:
    """Judgements, the best first."""
    heard = weights.proven_in_like_climates > 0.0
    return tuple(sorted(judged, key=lambda one: place(one.verdict, heard and one.known_here, one.rank_value, one.id)))


def rows_in_order(fit: SiteFit, verdict: Sequence[Verdict], ranks: Sequence[float], weights: Weights) -> list[int]:
    """The rows of a fit in the same order. ranks: of every row, rounded as they are told."""
    known = (fit.known_here & (weights.proven_in_like_climates > 0.0)).tolist()
    places = [
        place(word, known_here, told_rank(word, rank), cultivar.id)
        for word, known_here, rank, cultivar in zip(verdict, known, ranks, fit.cultivars, strict=True)
    ]
    return sorted(range(len(places)), key=places.__getitem__)


def of_one_tree(traits: TraitTable) -> dict[str, int]:
    """Id of each cultivar of a table -> a number that it shares with its sports and with what it is a sport of."""
    families = traits.witnesses.family[traits.witnessed].tolist()
    return {cultivar.id: family for cultivar, family in zip(traits.cultivars, families, strict=True)}


def one_of_each(order: Sequence[T], kinds: Sequence[tuple[Verdict, int]]) -> tuple[list[T], dict[T, list[T]]]:
    """The order with the first of each verdict and tree in its place and its others behind all of that verdict.

    Ten sports of one cultivar are one choice: side by side they would take the first ten places, and what differs
    would not be read. kinds: verdict and tree of each. Beside: the first of each -> its others.
    """
    first: dict[tuple[Verdict, int], T] = {}
    beside: dict[T, list[T]] = {}
    stand: dict[Verdict, tuple[list[T], list[T]]] = {}
    for one, kind in zip(order, kinds, strict=True):
        ahead, behind = stand.setdefault(kind[0], ([], []))
        if kind in first:
            behind.append(one)
            beside.setdefault(first[kind], []).append(one)
        else:
            first[kind] = one
            ahead.append(one)
    return [one for ahead, behind in stand.values() for one in (*ahead, *behind)], beside


def with_sports_behind(judged: Sequence[Suitability], trees: Mapping[str, int]) -> tuple[Suitability, ...]:
    """Judgements in their order with one of each tree in its place, each with those that stand behind it."""
    by_id = {one.id: one for one in judged}
    ids, beside = one_of_each(list(by_id), [(one.verdict, trees[one.id]) for one in judged])
    return tuple(
        msgspec.structs.replace(
            by_id[one],
            sports_beside=tuple(OfOneTree(cultivar=by_id[other].cultivar, id=other) for other in beside.get(one, ())),
        )
        for one in ids
    )
