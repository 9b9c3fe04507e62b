"""Parents by id, from pedigrees as printed: a weak prior of traits that are inherited."""

import re
from collections.abc import Callable, Iterable, Mapping

from domain.tables.observations import Observation

_CROSS = re.compile(r"\s+[x×X]\s+")


def crossed(pedigree: str) -> list[str]:
    """The parents that a printed pedigree names, in its order."""
    return [name.strip() for name in _CROSS.split(pedigree)]


def parents_of(
    observations: Iterable[Observation],
    resolve: Callable[[str], str | None],
    sport_of: Mapping[str, str] | None = None,
) -> dict[str, tuple[str, ...]]:
    """Cultivar id to the ids of its two parents, blank where unknown; a sport has one, the cultivar it came from.

    observations: of the topic pollination. The first pedigree printed counts, except that one that names more parents
    known to `resolve` goes before.
    """
    found: dict[str, tuple[str, ...]] = {}
    for o in observations:
        names = crossed(o.published) if o.trait == "parentage" else []
        if len(names) == 2:
            ids = tuple(resolve(name) or "" for name in names)
            if sum(map(bool, ids)) > sum(map(bool, found.get(o.cultivar_id, ()))) and o.cultivar_id not in ids:
                found[o.cultivar_id] = ids
    return found | {sport: (origin,) for sport, origin in (sport_of or {}).items()}
