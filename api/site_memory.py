"""What is remembered of the sites asked last, bounded in number and in bytes; equal new sites are computed once."""

import dataclasses
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from concurrent.futures import Future
from typing import Any, Generic, TypeVar

import numpy as np

T = TypeVar("T")


class SiteMemory(Generic[T]):
    """Results by key, the least recently used forgotten first. Safe to use from several threads."""

    def __init__(self, most: int, most_bytes: int) -> None:
        self._most, self._most_bytes = most, most_bytes
        self._known: OrderedDict[bytes, T] = OrderedDict()
        self._under_way: dict[bytes, Future[T]] = {}
        self._lock = threading.Lock()

    def __contains__(self, key: bytes) -> bool:
        with self._lock:
            return key in self._known

    def get(self, key: bytes, compute: Callable[[], T]) -> T:
        """The result of a key. Who asks for one that is being computed waits for it, and shares what it raises."""
        with self._lock:
            if key in self._known:
                self._known.move_to_end(key)
                return self._known[key]
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
        with self._lock:
            self._known[key] = made
            while len(self._known) > self._most or (
                len(self._known) > 1 and array_bytes(list(self._known.values())) > self._most_bytes
            ):
                self._known.popitem(last=False)


def array_bytes(thing: Any) -> int:
    """Bytes of all arrays that a thing of frozen records, mappings and sequences holds, each counted once."""
    counted: set[int] = set()

    def of(part: Any) -> int:
        if id(part) in counted or part is None or isinstance(part, str | bytes | int | float):
            return 0
        counted.add(id(part))
        if isinstance(part, np.ndarray):
            base = part.base if isinstance(part.base, np.ndarray) else part
            if base is not part:
                return of(base)
            return int(part.nbytes)
        if dataclasses.is_dataclass(part) and not isinstance(part, type):
            return sum(of(getattr(part, field.name, None)) for field in dataclasses.fields(part))
        if isinstance(part, Mapping):
            return sum(of(value) for value in part.values())
        if isinstance(part, tuple | list):
            return sum(of(value) for value in part)
        return of(getattr(part, "held", None)) if hasattr(part, "held") else 0

    return of(thing)
