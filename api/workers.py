"""Computations a few at a time, with a short line before them, so that work that was asked for has an end.

A computation takes from milliseconds to seconds of a processor. More than a few at a time only wait for each other, and
a line without an end keeps everybody waiting for callers who have long gone. So whoever finds the line full is refused
at once and told when to come back, and a caller who hangs up while waiting loses the place. Look-ups of the catalogue
and the service's own addresses do not come here.

There are two lines. The short one takes what ends soon: reading a body, and what is asked of a site that is known. The
long one takes new sites, lists, layouts and reviews, and stands behind whatever is short (`giving_way.py`). (Its
threads are not made to stand behind by the system: one that holds the interpreter and gets no processor would keep all
others waiting.)
"""

import asyncio
import contextvars
import sys
import time
from collections import deque
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

from api import giving_way, metrics
from api.problems import RETRY_AFTER_S, SERVICE_BUSY, Refusal
from api.watching import current

SWITCH_S = 0.0005
"""How long a thread may keep the interpreter while another waits; the usual 5 ms are longer than a look-up takes."""

T = TypeVar("T")


class Line:
    """A few threads that compute, and the line before them. One event loop calls it."""

    def __init__(self, name: str, at_a_time: int, most_waiting: int, long: bool = False) -> None:
        self._pool = ThreadPoolExecutor(at_a_time, f"{name}-computation")
        self._name, self._at_a_time, self._most_waiting = name, at_a_time, most_waiting
        self._waiting: deque[asyncio.Future[None]] = deque()
        self._long = long
        self.computing = 0

    @property
    def waiting(self) -> int:
        """How many computations wait for a thread."""
        return len(self._waiting)

    @property
    def full(self) -> bool:
        """Whether the next caller would be refused."""
        return self.computing >= self._at_a_time and self.waiting >= self._most_waiting

    async def run(self, work: Callable[[], T], receive: Callable[[], Awaitable[Any]], has_waited: bool = False) -> T:
        """Do the work on one of the threads, when its turn comes. receive: tells when the caller has gone.

        Raises Refusal (503) at once where the line is full, but for a caller who `has_waited` already, and whatever the
        work raises.
        """
        if self.full and not has_waited:
            raise busy()
        if self._long:
            async with giving_way.aside():
                return await self._in_turn(lambda: giving_way.behind(work), receive)
        return await self._in_turn(work, receive)

    async def _in_turn(self, work: Callable[[], T], receive: Callable[[], Awaitable[Any]]) -> T:
        """Do the work when a thread is free."""
        if self.computing < self._at_a_time:
            self.computing += 1
        else:
            await self._turn(receive)
        self._told()
        loop = asyncio.get_running_loop()
        doing = self._pool.submit(contextvars.copy_context().run, _counted, work)
        # The thread is free when the work ends, which is later than a caller's task that is cancelled meanwhile.
        doing.add_done_callback(lambda _: loop.call_soon_threadsafe(self._next))
        made: T = await asyncio.wrap_future(doing)
        return made

    async def _turn(self, receive: Callable[[], Awaitable[Any]]) -> None:
        """Wait in the line. Raises Refusal when the caller goes away."""
        turn = asyncio.get_running_loop().create_future()
        self._waiting.append(turn)
        self._told()
        left = asyncio.ensure_future(gone(receive))
        try:
            await asyncio.wait({turn, left}, return_when=asyncio.FIRST_COMPLETED)
            if left.done():
                raise Refusal(SERVICE_BUSY, "The caller has gone.")
        except BaseException:
            if turn.done():
                self._next()
            else:
                self._waiting.remove(turn)
            raise
        finally:
            left.cancel()

    def _next(self) -> None:
        """Give a thread that is free to whoever has waited longest."""
        if self._waiting:
            self._waiting.popleft().set_result(None)
        else:
            self.computing -= 1
        self._told()

    def _told(self) -> None:
        metrics.COMPUTING.labels(self._name).set(self.computing)
        metrics.WAITING.labels(self._name).set(self.waiting)


class Workers:
    """The two lines of a process, and what is shared between callers who ask for the same."""

    def __init__(self, at_a_time: int, most_waiting: int) -> None:
        self.short = Line("short", 1, most_waiting)
        self.long = Line("long", at_a_time, most_waiting, long=True)
        self._under_way: dict[bytes, asyncio.Event] = {}
        sys.setswitchinterval(min(sys.getswitchinterval(), SWITCH_S))

    @property
    def computing(self) -> int:
        """Computations under way."""
        return self.short.computing + self.long.computing

    @property
    def waiting(self) -> int:
        """Computations that wait for a thread."""
        return self.short.waiting + self.long.waiting

    @property
    def full(self) -> bool:
        """Whether the next computation may be refused."""
        return self.long.full or self.short.full

    async def once(
        self, key: bytes, work: Callable[[], T], receive: Callable[[], Awaitable[Any]], has_waited: bool = False
    ) -> T | None:
        """Do long work; None where another caller did what this key stands for meanwhile, so that it is known now.

        Who waits for another holds no thread and no place in the line. receive, has_waited, raises: as `Line.run`.
        """
        if (doing := self._under_way.get(key)) is not None:
            waited = asyncio.ensure_future(doing.wait())
            left = asyncio.ensure_future(gone(receive))
            try:
                async with giving_way.aside():  # else what it waits for would wait for it
                    await asyncio.wait({waited, left}, return_when=asyncio.FIRST_COMPLETED)
                if left.done():
                    raise Refusal(SERVICE_BUSY, "The caller has gone.")
                return None
            finally:
                waited.cancel()
                left.cancel()
        mine = self._under_way[key] = asyncio.Event()
        try:
            return await self.long.run(work, receive, has_waited)
        finally:
            del self._under_way[key]
            mine.set()


def busy(why: str = "As many computations are waiting as may wait") -> Refusal:
    """The refusal of whoever finds the line full."""
    detail = f"{why}; ask again in {RETRY_AFTER_S} seconds."
    return Refusal(SERVICE_BUSY, detail, headers={"Retry-After": str(RETRY_AFTER_S)})


async def gone(receive: Callable[[], Awaitable[Any]]) -> None:
    """Return when the caller has gone."""
    while (await receive())["type"] != "http.disconnect":
        pass


def _counted(work: Callable[[], T]) -> T:
    """The work, its processor time counted to the request that it is done for."""
    start, watched = time.thread_time(), current()
    try:
        return work()
    finally:
        if watched is not None:
            watched.computed_s += time.thread_time() - start
