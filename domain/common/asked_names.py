"""Names in a request, of cultivars or rootstocks, become ids; any other is told, with the names most like it."""

from collections.abc import Iterable, Sequence
from typing import Literal, NamedTuple, Protocol

from domain.common.faults import ContentFault, ContentFaults, pointer

MOST_WITH_NEAREST = 50
"""Unknown names of one list for which the nearest are looked for, which costs a millisecond each."""
ENOUGH_FAULTS = MOST_WITH_NEAREST
"""Where a list has more, it is refused without looking at the rest of it: no more are told."""


UnknownNames = Literal["refuse", "report"]


class Names(Protocol):
    """What is needed of an index of names."""

    def resolve(self, name: str) -> str | None:
        """The id that a name means, or None."""

    def nearest(self, name: str, n: int = 5) -> tuple[str, ...]:
        """The denominations most like a name, best first."""


def resolve_names(
    names: Names, asked: Sequence[str], *where: str | int, once: bool = True, what: str = "cultivar"
) -> tuple[str, ...]:
    """The ids of the names of one list, in its order. `where` leads to the list: ``"wanted", "must_include"``.

    Raises ContentFaults with every unknown name and, where each cultivar may stand only `once`, with every name that
    means a cultivar already named, be it by an alias; of very many as many as are told.
    """
    ids = [names.resolve(name) for name in asked]
    known = [one for one in ids if one is not None]
    if len(set(known) if once else known) == len(ids):
        return tuple(known)
    named = [(pointer(*where, place), name) for place, name in enumerate(asked)]
    return resolve_each(names, named, once=once, what=what)


def resolve_each(
    names: Names, asked: Iterable[tuple[str, str]], once: bool = True, what: str = "cultivar"
) -> tuple[str, ...]:
    """As `resolve_names`, for names that stand in objects of their own: pairs of pointer and name."""
    faults: list[ContentFault] = []
    found: dict[str, str] = {}
    ids: list[str] = []
    for place, name in asked:
        if len(faults) > ENOUGH_FAULTS:
            break
        cultivar_id = names.resolve(name)
        if cultivar_id is None:
            faults.append(unknown_name(names, place, name, what, faults_before=len(faults)))
            continue
        if once and cultivar_id in found:
            first = found[cultivar_id]
            same = "is named twice" if first == name else f"is the {what} already named as “{first}”"
            faults.append(ContentFault(place, f"“{name}” {same}; expected each {what} once."))
        found.setdefault(cultivar_id, name)
        ids.append(cultivar_id)
    if faults:
        raise ContentFaults(faults)
    return tuple(ids)


class KnownNames(NamedTuple):
    """Names of a stock: id -> spelling of each that is known, once; those nobody knows; those that name one again."""

    asked: dict[str, str]
    unknown: tuple[str, ...]
    again: tuple[str, ...]


def known_names(names: Names, asked: Sequence[str]) -> KnownNames:
    """The names of a list that are known, in its order, and what else stands in it."""
    known: dict[str, str] = {}
    unknown: list[str] = []
    again: list[str] = []
    for name in asked:
        found = names.resolve(name)
        if found is None:
            unknown.append(name)
        elif found in known:
            again.append(name)
        else:
            known[found] = name
    return KnownNames(known, tuple(unknown), tuple(again))


def unknown_name(
    names: Names, place: str, name: str, what: str = "cultivar", *, faults_before: int = 0
) -> ContentFault:
    """The fault of a name that nothing of its kind bears, with the nearest where not too many faults stand before."""
    return ContentFault(place, _unknown(name, what), names.nearest(name) if faults_before < MOST_WITH_NEAREST else ())


def _unknown(name: str, what: str) -> str:
    return f"No {what} is known by the name “{name}”."
