"""Which cultivars a text says to bloom together, or to serve each other where they are grown.

`blooms_with`: those that one text says to bloom at the same time. `named_partners`: those that several documents name
together, as a cross that works or as blooming at one time, which is told so that they be planted together; of diploids
whose pollen fits one way fits the other way too.

A list with one class only ("at about the same time") gives no position, and a pair named by the breeders of a mild
country may bloom a week or two apart and still meet, since bloom straggles there. What such a text says of the pair is
kept as it is, beside the positions computed from all texts.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import msgspec

from domain.adoption.reading import marked
from domain.adoption.weighing import MOST_SOURCES
from domain.tables.cultivars import Finding
from domain.tables.observations import Observation
from domain.tables.parameters import figures


class CompanionFigures(msgspec.Struct, frozen=True):
    """How many documents must name two cultivars together before it outweighs what their pedigrees foretell."""

    documents_of_partners: int


FIGURES = figures("adoption", "companions", CompanionFigures)

SAME_TIME = "same time"
POLLEN_OF = "pollen of "


def adopt(bloom: Sequence[Observation], pollination: Sequence[Observation]) -> dict[tuple[str, str], Finding]:
    """`blooms_with` and `named_partners` by cultivar: ids, space separated, in order.

    bloom: lists of one class. pollination: crosses that work, where the text tells how the two bloom.
    """
    found: dict[str, dict[str, str]] = defaultdict(dict)
    lists: dict[str, list[Observation]] = defaultdict(list)
    for observation in bloom:
        if observation.trait == "bloom_class" and observation.published == SAME_TIME:
            lists[observation.list_id].append(observation)
    for members in lists.values():
        for one in members:
            _together(found, one.cultivar_id, (other.cultivar_id for other in members), one.source_id)
    for cross in pollination:
        if cross.trait == "cross" and cross.published == "works" and marked(cross, "tells_of_bloom"):
            other = cross.scheme.removeprefix(POLLEN_OF)
            _together(found, cross.cultivar_id, (other,), cross.source_id)
            _together(found, other, (cross.cultivar_id,), cross.source_id)
    together = {
        (cultivar_id, "blooms_with"): Finding(
            value=" ".join(sorted(others)),
            agreement=1.0,
            basis="published",
            observations=len(others),
            sources=tuple(sorted(set(others.values()))),
        )
        for cultivar_id, others in found.items()
    }
    return together | _named_partners(lists, pollination)


def _named_partners(
    lists: Mapping[str, Sequence[Observation]], pollination: Sequence[Observation]
) -> dict[tuple[str, str], Finding]:
    named: dict[tuple[str, str], set[str]] = defaultdict(set)
    refused: set[tuple[str, str]] = set()
    for members in lists.values():
        for one in members:
            for other in members:
                named[one.cultivar_id, other.cultivar_id].add(one.source_id)
    for cross in pollination:
        if cross.trait == "cross":
            pair = cross.cultivar_id, cross.scheme.removeprefix(POLLEN_OF)
            if cross.published == "works":
                named[pair].add(cross.source_id)
                named[pair[::-1]].add(cross.source_id)
            else:
                refused |= {pair, pair[::-1]}
    partners: dict[str, dict[str, set[str]]] = defaultdict(dict)
    for (one_id, other_id), documents in named.items():
        if one_id != other_id and len(documents) >= FIGURES.documents_of_partners and (one_id, other_id) not in refused:
            partners[one_id][other_id] = documents
    return {
        (cultivar_id, "named_partners"): Finding(
            value=" ".join(sorted(others)),
            agreement=1.0,
            basis="published",
            observations=sum(map(len, others.values())),
            sources=tuple(sorted(set().union(*others.values())))[:MOST_SOURCES],
        )
        for cultivar_id, others in partners.items()
    }


def _together(found: dict[str, dict[str, str]], cultivar_id: str, others: Iterable[str], source_id: str) -> None:
    for other in others:
        if other != cultivar_id:
            found[cultivar_id].setdefault(other, source_id)
