"""The order of an answer: by verdict, then by rank; and the best of each tree, where only some are asked for."""

from collections.abc import Iterable, Sequence
from typing import TypeVar

from domain.suitability.factors import Verdict
from domain.suitability.site_fit import SiteFit
from domain.suitability.suitability_answer import Suitability
from domain.suitability.verdicts import BEST_FIRST
from domain.traits.trait_table import TraitTable

T = TypeVar("T")


def told_rank(verdict: Verdict, rank: float) -> float | None:
    """The rank of a cultivar, rounded, as it is told; null where too little is known for one."""
    return None if verdict == "not_known" else rank


def in_order(judged: Iterable[Suitability]) -> tuple[Suitability, ...]:
    """Judgements by verdict and within a verdict by `rank_value`, best first; ties by id."""
    return tuple(sorted(judged, key=lambda one: (BEST_FIRST.index(one.verdict), -(one.rank_value or 0.0), one.id)))


def rows_in_order(fit: SiteFit, verdict: Sequence[Verdict], ranks: Sequence[float]) -> list[int]:
    """The rows of a fit in the same order. ranks: of every row, rounded as they are told."""
    places = [
        (BEST_FIRST.index(word), -(told_rank(word, rank) or 0.0), cultivar.id)
        for word, rank, cultivar in zip(verdict, ranks, fit.cultivars, strict=True)
    ]
    return sorted(range(len(places)), key=places.__getitem__)


def of_one_tree(traits: TraitTable) -> dict[str, int]:
    """Id of each cultivar of a table -> a number that it shares with its sports and with what it is a sport of."""
    families = traits.witnesses.family[traits.witnessed].tolist()
    return {cultivar.id: family for cultivar, family in zip(traits.cultivars, families, strict=True)}


def one_of_each(order: Sequence[T], kinds: Sequence[tuple[Verdict, int]]) -> dict[T, list[T]]:
    """The first of each verdict and tree, in order, each with the others that it stands for.

    Ten sports of one cultivar are one choice: whoever asks for the best ten wants ten. kinds: verdict and tree of each.
    """
    first: dict[tuple[Verdict, int], T] = {}
    stands_for: dict[T, list[T]] = {}
    for one, kind in zip(order, kinds, strict=True):
        if (head := first.setdefault(kind, one)) is one:
            stands_for[one] = []
        else:
            stands_for[head].append(one)
    return stands_for
