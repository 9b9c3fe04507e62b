"""What is remembered of the sites asked last, bounded in number and in bytes; equal new sites are computed once."""

import dataclasses
import threading
import weakref
from collections import OrderedDict
from collections.abc import Callable, Collection, Iterable, Mapping
from concurrent.futures import Future
from functools import cache, partial
from types import FunctionType
from typing import Any, Generic, NamedTuple, TypeVar

import msgspec
import numpy as np
from numpy.lib.array_utils import byte_bounds

from api import metrics
from domain.common.kept import Growing

T = TypeVar("T")

_NO_ARRAYS = (type(None), str, bytes, int, float, FunctionType, partial, msgspec.Struct)
"""What need not be looked through: structs are what is asked and answered, and functions read what else is held."""


class SiteMemory(Generic[T]):
    """Results by key, the least recently used forgotten first. Safe to use from several threads."""

    def __init__(self, name: str, most: int, most_bytes: int) -> None:
        self._name, self._most, self._most_bytes = name, most, most_bytes
        self._known: OrderedDict[bytes, Remembered[T]] = OrderedDict()
        self._in_use: weakref.WeakValueDictionary[bytes, T] = weakref.WeakValueDictionary()
        self._under_way: dict[bytes, Future[T]] = {}
        self._lock = threading.Lock()

    def __contains__(self, key: bytes) -> bool:
        with self._lock:
            return key in self._known or key in self._in_use

    def get(self, key: bytes, compute: Callable[[], T]) -> T:
        """The result of a key. Who asks for one that is being computed waits for it, and shares what it raises."""
        with self._lock:
            if key in self._known:
                self._known.move_to_end(key)
                return self._known[key].thing
            if (in_use := self._in_use.get(key)) is not None:  # forgotten here, and still held by a request
                return in_use
            shared = self._under_way.get(key)
            if shared is None:
                mine: Future[T] = Future()
                self._under_way[key] = mine
        if shared is not None:
            return shared.result()
        try:
            made = compute()
        except BaseException as fault:
            mine.set_exception(fault)
            raise
        else:
            mine.set_result(made)
            self._keep(key, made)
        finally:
            with self._lock:
                del self._under_way[key]
        return made

    def _keep(self, key: bytes, made: T) -> None:
        """Remember, and forget what is over. Counting bytes takes a while, in which nobody is kept waiting."""
        with self._lock:
            self._known[key], self._in_use[key] = Remembered(made), made
            while len(self._known) > self._most:
                self._known.popitem(last=False)
            known = list(self._known.items())
        arrays = [one.arrays() for _, one in known]
        while (held_bytes := _together(arrays)) > self._most_bytes and len(known) > 1:
            with self._lock:
                self._known.pop(known.pop(0)[0], None)
            arrays.pop(0)
        metrics.REMEMBERED.labels(self._name).set(len(self._known))
        metrics.REMEMBERED_BYTES.labels(self._name).set(held_bytes)


class Looked(NamedTuple):
    """What was found in a thing: bytes of its arrays by identity, what in it grows, and the editions of that."""

    arrays: Mapping[int, int]
    growing: tuple[Growing, ...]
    edition: int


class Remembered(Generic[T]):
    """A thing and the arrays in it; it is looked through again only where what grows in it has grown."""

    def __init__(self, thing: T) -> None:
        self.thing = thing
        self._looked = Looked({}, (), -1)

    def arrays(self) -> Mapping[int, int]:
        """Bytes of each array that the thing holds, by its identity."""
        looked = self._looked
        if _editions(looked.growing) != looked.edition:
            self._looked = looked = _look_through(self.thing)
        return looked.arrays


def array_bytes(thing: Any) -> int:
    """Bytes of all arrays that a thing of frozen records, mappings and sequences holds, each counted once."""
    return _together([_look_through(thing).arrays])


def _together(arrays: Iterable[Mapping[int, int]]) -> int:
    """Bytes of the arrays of several things, each counted once."""
    by_identity: dict[int, int] = {}
    for of_one in arrays:
        by_identity.update(of_one)
    return sum(by_identity.values())


def _editions(growing: Iterable[Growing]) -> int:
    return sum(one.edition for one in growing)


def _with_arrays(parts: Collection[Any]) -> list[Any]:
    """Those that may have arrays in them: of a site some ten thousand parts are records of an answer, which have none.

    By their kinds, of which there are few: to ask each of them takes ten times as long.
    """
    kinds = set(map(type, parts))
    have_none = {kind for kind in kinds if _has_none(kind)}
    return [] if kinds == have_none else [part for part in parts if type(part) not in have_none]


@cache
def _has_none(kind: type) -> bool:
    """Whether things of a kind need not be looked through."""
    return issubclass(kind, _NO_ARRAYS)


@cache
def _fields(kind: type) -> tuple[str, ...] | None:
    """Names of the fields of a kind of record; None of what is none."""
    return tuple(field.name for field in dataclasses.fields(kind)) if dataclasses.is_dataclass(kind) else None


def _look_through(thing: Any) -> Looked:
    seen: set[int] = set()
    arrays: dict[int, int] = {}
    growing: list[tuple[Growing, int]] = []
    parts = [thing]
    while parts:
        part = parts.pop()
        kind: type = type(part)
        if id(part) in seen or _has_none(kind):
            continue
        seen.add(id(part))
        if isinstance(part, np.ndarray):
            if isinstance(part.base, np.ndarray):
                parts.append(part.base)
            elif part.flags.forc:
                arrays[id(part)] = int(part.nbytes)
            else:
                low, high = byte_bounds(part)  # windows that overlap lie in the bytes of what they are cut from
                arrays[id(part)] = min(int(part.nbytes), high - low)
        elif (fields := _fields(type(part))) is not None:  # type: ignore[arg-type]  # a kind is its own key
            parts += [getattr(part, name, None) for name in fields]
        elif isinstance(part, Mapping):
            parts += _with_arrays(list(part.values()))  # taken at once: another request may fill it meanwhile
        elif isinstance(part, tuple | list):
            parts += _with_arrays(tuple(part))
        elif isinstance(part, Growing):
            growing.append((part, part.edition))  # before what it holds: what comes meanwhile is looked for next time
            parts += part.held
    return Looked(arrays, tuple(one for one, _ in growing), sum(edition for _, edition in growing))
