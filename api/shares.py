"""How much each of several processes has to do, told to all of them, so that who has least takes the next caller.

The processes write into one small file that each holds in memory: a place for each, with its id and its load. What a
process reads of others may be a moment old; it decides who takes a connection, and nothing else rests on it.
"""

import fcntl
import mmap
import os
from collections.abc import Collection
from pathlib import Path

PLACES = 256
"""Twice as many processes as may serve, and some: one that is replaced stands beside its replacement for a while."""
_SIZE = PLACES * 2 * 8
_OPEN_BITS = 32
FILE = "shares"
_TAKES_NONE = -1


class Share:
    """What a process has to do: requests under way, and connections open to it. One thread calls it."""

    def __init__(self, places: memoryview | None = None, mine: int | None = None) -> None:
        """Without places there are no others."""
        self._places, self._mine = places, mine
        self._under_way = self._open = 0
        self._takes = False

    @property
    def load(self) -> int:
        """Requests first; of two processes with as many, the one with more connections has more."""
        return (max(self._under_way, 0) << _OPEN_BITS) + max(self._open, 0)

    def add(self, under_way: int = 0, connections: int = 0) -> None:
        """Count requests or connections more, or fewer where negative."""
        self._under_way += under_way
        self._open += connections
        self._tell()

    def is_least(self) -> bool:
        """Whether no other process that takes connections has less to do."""
        if self._places is None:
            return True
        mine, places = self.load, self._places
        others = (n for n in range(PLACES) if places[2 * n] and n != self._mine)
        return not any(0 <= places[2 * n + 1] < mine for n in others)

    def takes(self, connections: bool) -> None:
        """Say whether this process takes connections; none does before it says so."""
        self._takes = connections
        self._tell()

    def _tell(self) -> None:
        if self._places is not None and self._mine is not None:
            self._places[2 * self._mine + 1] = self.load if self._takes else _TAKES_NONE


_OWN = Share()


def own() -> Share:
    """That of this process."""
    return _OWN


def begin(folder: Path) -> None:
    """Begin with no process; what an earlier service left in the folder is dropped."""
    (folder / FILE).unlink(missing_ok=True)


def join(folder: Path) -> None:
    """Let the others know of this process; where no place is left it knows of them alone."""
    global _OWN  # noqa: PLW0603 - a process has one, as it has one id
    with (folder / FILE).open("a+b") as kept:
        fcntl.lockf(kept, fcntl.LOCK_EX)  # released as it is closed
        if kept.seek(0, os.SEEK_END) < _SIZE:
            kept.truncate(_SIZE)
        places = memoryview(mmap.mmap(kept.fileno(), _SIZE)).cast("q")
        mine = next((n for n in range(PLACES) if not places[2 * n]), None)
        if mine is not None:
            places[2 * mine + 1] = _TAKES_NONE
            places[2 * mine] = os.getpid()
    _OWN = Share(places, mine)


def keep_only(folder: Path, now: Collection[int]) -> set[int]:
    """Count no longer with any process but these; the ids of those that were dropped."""
    if not (folder / FILE).exists():
        return set()
    gone = set()
    with (folder / FILE).open("r+b") as kept:
        fcntl.lockf(kept, fcntl.LOCK_EX)
        places = memoryview(mmap.mmap(kept.fileno(), _SIZE)).cast("q")
        for number in range(PLACES):
            if places[2 * number] and places[2 * number] not in now:
                gone.add(places[2 * number])
                places[2 * number] = 0
    return gone
