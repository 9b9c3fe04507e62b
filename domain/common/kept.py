"""A small memory of what was computed from one thing; it goes when the thing goes."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

T = TypeVar("T")


class Growing:
    """What comes to hold more while the thing that it is part of is remembered, and tells when it has."""

    @property
    def held(self) -> tuple[Any, ...]:
        """Everything that it holds now."""
        raise NotImplementedError

    @property
    def edition(self) -> int:
        """Another number whenever it holds other things; it never falls."""
        raise NotImplementedError


class Kept(Growing):
    """The last few results of each kind, computed once each. Safe to use from several threads."""

    def __init__(self, most_of_a_kind: int = 3) -> None:
        self._most = most_of_a_kind
        self._by_kind: dict[str, OrderedDict[Hashable, Any]] = {}
        self._edition = 0
        self._lock = threading.Lock()

    def get(self, kind: str, key: Hashable, compute: Callable[[], T]) -> T:
        """The result kept under this kind and key, computed where there is none."""
        with self._lock:
            results = self._by_kind.setdefault(kind, OrderedDict())
            if key in results:
                results.move_to_end(key)
                kept: T = results[key]
                return kept
        # Outside the lock: two threads may both compute it, and find the same.
        made = compute()
        with self._lock:
            results[key] = made
            self._edition += 1
            while len(results) > self._most:
                results.popitem(last=False)
        return made

    @property
    def edition(self) -> int:
        """Rises with every result that is kept."""
        return self._edition

    @property
    def held(self) -> tuple[Any, ...]:
        """Everything that is kept now."""
        with self._lock:
            return tuple(result for results in self._by_kind.values() for result in results.values())

    def clear(self, *kinds: str) -> None:
        """Forget everything of these kinds, or all."""
        with self._lock:
            self._edition += 1
            for kind in kinds or tuple(self._by_kind):
                self._by_kind.pop(kind, None)
