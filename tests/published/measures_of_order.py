"""How well an order of cultivars agrees with lists of what is recommended at a place and what is advised against.

The measure is the chance that a recommended cultivar stands above another one (area under the ROC curve), ties counting
half; chance is 0.5. It is taken list by list and averaged over lists of `LEAST_PAIRS` pairs and more, never pooled:
two long lists would be three quarters of all pairs. Its interval comes from drawing documents with replacement, since
lists of one document are one voice.

An order that only knows which cultivars are famous already wins many pairs. So each question is also asked of pairs
alike in fame (`alike_in_fame`), and fame alone is measured beside it.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

LEAST_PAIRS = 10
"""A list of fewer pairs is shown by itself and does not enter a mean: one pair would move it by more than 0.1."""

LEAST_DOCUMENTS = 3
"""An interval drawn from fewer documents than this says nothing; none is given."""

DRAWS, SEED = 2000, 20
INTERVAL = (0.05, 0.95)

Value = Callable[[str, str], float | None]
"""(list id, cultivar id) -> what to order by, None where the order does not hold the cultivar."""

Alike = Callable[[float, float], bool]


def alike_in_fame(one: float, other: float) -> bool:
    """Whether about as many lists recommend the one as the other: as many, or within a quarter of many."""
    return abs(one - other) <= 0.25 * max(one, other)


@dataclass(frozen=True)
class Question:
    """One list's question: cultivars that should stand above others there.

    documents: addresses of the list's documents; lists that share one are one voice.
    """

    list_id: str
    documents: frozenset[str]
    better: tuple[str, ...]
    worse: tuple[str, ...]


@dataclass(frozen=True)
class Found:
    """Share of one list's pairs in the right order, and how many pairs were compared."""

    list_id: str
    documents: frozenset[str]
    share: float
    pairs: int


@dataclass(frozen=True)
class Mean:
    """A mean over lists with its interval by document (None where too few); n lists, of so many documents."""

    value: float
    low: float | None
    high: float | None
    n: int


def share_in_order(question: Question, value: Value, fame: Value | None = None) -> Found | None:
    """Ask one list, of all pairs or, with `fame`, of pairs alike in it; None if there is no pair."""
    won, pairs = 0.0, 0
    worse = [(v, name) for name in question.worse if (v := value(question.list_id, name)) is not None]
    for name in question.better:
        above = value(question.list_id, name)
        if above is None:
            continue
        for below, other in worse:
            if fame is not None and not alike_in_fame(
                fame(question.list_id, name) or 0.0, fame(question.list_id, other) or 0.0
            ):
                continue
            won += 1.0 if above > below else 0.5 if above == below else 0.0
            pairs += 1
    return Found(question.list_id, question.documents, won / pairs, pairs) if pairs else None


def shares_in_order(questions: Iterable[Question], value: Value, fame: Value | None = None) -> dict[str, Found]:
    """Every list that has a pair, by its id."""
    found = (share_in_order(question, value, fame) for question in questions)
    return {one.list_id: one for one in found if one is not None}


def voices(lists: Sequence[frozenset[str]]) -> list[int]:
    """The voice of each list: lists that share a document, directly or through a third, have one."""
    voice = list(range(len(lists)))
    for one, documents in enumerate(lists):
        for other in range(one):
            if documents & lists[other]:
                voice = [voice[other] if v == voice[one] else v for v in voice]
    return voice


def mean_by_document(
    values: Mapping[str, float], documents: Mapping[str, frozenset[str]], most_votes: float = np.inf
) -> Mean | None:
    """Mean over lists, with the interval that drawing their documents anew gives; None without a list.

    values: list id -> its figure. documents: list id -> its documents. most_votes: what the lists of one voice count
    at the most.
    """
    if not values:
        return None
    names = sorted(values)
    figures = np.array([values[name] for name in names])
    voice = np.array(voices([documents[name] for name in names]))
    own = np.unique(voice)
    votes = np.array([min(1.0, most_votes / (voice == one).sum()) for one in voice])
    low = high = None
    if len(own) >= LEAST_DOCUMENTS:
        total = np.array([(votes * figures)[voice == one].sum() for one in own])
        count = np.array([votes[voice == one].sum() for one in own])
        drawn = np.random.default_rng(SEED).integers(0, len(own), (DRAWS, len(own)))
        means = total[drawn].sum(axis=1) / count[drawn].sum(axis=1)
        low, high = (float(end) for end in np.quantile(means, INTERVAL))
    return Mean(float((votes * figures).sum() / votes.sum()), low, high, len(names))


def mean_of_shares(
    found: Mapping[str, Found], least_pairs: int = LEAST_PAIRS, most_votes: float = np.inf
) -> Mean | None:
    """Mean over the lists of at least so many pairs; most_votes: as in `mean_by_document`."""
    kept = {list_id: one for list_id, one in found.items() if one.pairs >= least_pairs}
    return mean_by_document(
        {list_id: one.share for list_id, one in kept.items()},
        {list_id: one.documents for list_id, one in kept.items()},
        most_votes,
    )
