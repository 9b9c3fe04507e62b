"""Which cultivars a text says to bloom together, or to serve each other where they are grown: `blooms_with`.

A list with one class only ("at about the same time") gives no position, and a pair named by the breeders of a mild
country may bloom a week or two apart and still meet, since bloom straggles there. What such a text says of the pair is
kept as it is, beside the positions computed from all texts.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from domain.adoption.reading import marked
from domain.tables.cultivars import Finding
from domain.tables.observations import Observation

SAME_TIME = "same time"
POLLEN_OF = "pollen of "


def adopt(bloom: Sequence[Observation], pollination: Sequence[Observation]) -> dict[tuple[str, str], Finding]:
    """`blooms_with` by cultivar: ids, space separated, in order.

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
    return {
        (cultivar_id, "blooms_with"): Finding(
            value=" ".join(sorted(others)),
            agreement=1.0,
            basis="published",
            observations=len(others),
            sources=tuple(sorted(set(others.values()))),
        )
        for cultivar_id, others in found.items()
    }


def _together(found: dict[str, dict[str, str]], cultivar_id: str, others: Iterable[str], source_id: str) -> None:
    for other in others:
        if other != cultivar_id:
            found[cultivar_id].setdefault(other, source_id)
