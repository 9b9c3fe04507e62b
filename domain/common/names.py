"""Names of cultivars: from whatever a caller writes to the id of one cultivar, or to the nearest names."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import lru_cache

from rapidfuzz import fuzz, process

from reference_tables.spelling import fold, keys, loose_keys

REMEMBERED_NAMES = 4096
"""Spellings that are kept looked up: many lists ask for the same."""


class NameIndex:
    """Resolves denominations, synonyms and trade designations; built once from the tables.

    A denomination goes before a synonym, an exact spelling (accents, hyphens, apostrophes, case and trade marks
    forgiven) before a loose one (also without the species' name, a possessive s, or the trade's variants of Reinette
    and Calville). A loose spelling that fits two cultivars fits none.
    """

    def __init__(self, denominations: Mapping[str, str], aliases: Iterable[tuple[str, str]]) -> None:
        """`denominations`: id -> name; `aliases`: (id, other name) pairs."""
        self._denominations = dict(denominations)
        pairs = [*((name, identity) for identity, name in denominations.items()), *((a, i) for i, a in aliases)]
        self._exact: dict[str, str] = {identity.replace("-", ""): identity for identity in denominations}
        loose: defaultdict[str, set[str]] = defaultdict(set)
        for name, identity in pairs:
            for spelled in keys(name):
                self._exact.setdefault(spelled, identity)
            for spelled in loose_keys(name):
                loose[spelled].add(identity)
        self._loose = {spelled: next(iter(ids)) for spelled, ids in loose.items() if len(ids) == 1}
        folded = {fold(name): identity for name, identity in reversed(pairs)}
        self._sorted_names, self._folded_ids = [_words_sorted(name) for name in folded], list(folded.values())
        self._found = lru_cache(maxsize=REMEMBERED_NAMES)(self._resolve)

    def resolve(self, name: str) -> str | None:
        """Id of the cultivar, None for a name that no cultivar has."""
        return self._found(name)

    def _resolve(self, name: str) -> str | None:
        exact = next((self._exact[spelled] for spelled in keys(name) if spelled in self._exact), None)
        return exact or next((self._loose[spelled] for spelled in loose_keys(name) if spelled in self._loose), None)

    def nearest(self, name: str, n: int = 5) -> tuple[str, ...]:
        """Denominations of the cultivars with the most similar names, best first."""
        # a cultivar is found once however many of its names are similar, so more names are asked for than returned
        sought = _words_sorted(fold(name))
        if not sought:  # nothing of it can be compared with names in Latin letters
            return ()
        found = process.extract(sought, self._sorted_names, scorer=fuzz.ratio, limit=4 * n)
        ids = dict.fromkeys(self._folded_ids[index] for _, _, index in found)
        return tuple(self._denominations[identity] for identity in list(ids)[:n])


def _words_sorted(folded: str) -> str:
    """The words of a name in the order of the alphabet: names that differ in the order of words alone are alike."""
    return " ".join(sorted(folded.split()))
