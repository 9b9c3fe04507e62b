"""Computations a few at a time, with a short line before them, so that work that was asked for has an end.

A computation takes from milliseconds to seconds of a processor. More than a few at a time only wait for each other, and
a line without an end keeps everybody waiting for callers who have long gone. So whoever finds the line full is refused
at once and told when to come back, and a caller who hangs up while waiting loses the place. Look-ups of the catalogue
and the service's own addresses do not come here.
"""

import asyncio
from collections import deque
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

from api.problems import SERVICE_BUSY, Refusal

RETRY_AFTER_S = 5
"""What a refused caller is told to wait: about what a full line takes."""

T = TypeVar("T")


class Workers:
    """The threads that compute, and the line before them. One event loop calls it."""

    def __init__(self, at_a_time: int, most_waiting: int) -> None:
        self._pool = ThreadPoolExecutor(at_a_time, thread_name_prefix="computation")
        self._at_a_time, self._most_waiting = at_a_time, most_waiting
        self._line: deque[asyncio.Future[None]] = deque()
        self.computing = 0

    @property
    def waiting(self) -> int:
        """How many computations wait for a thread."""
        return len(self._line)

    @property
    def full(self) -> bool:
        """Whether the next caller would be refused."""
        return self.computing >= self._at_a_time and self.waiting >= self._most_waiting

    async def run(self, work: Callable[[], T], receive: Callable[[], Awaitable[Any]]) -> T:
        """Do the work on one of the threads, when its turn comes. receive: tells when the caller has gone.

        Raises Refusal (503) at once where the line is full, and whatever the work raises.
        """
        if self.full:
            raise busy()
        if self.computing < self._at_a_time:
            self.computing += 1
        else:
            await self._turn(receive)
        loop = asyncio.get_running_loop()
        doing = self._pool.submit(work)
        # The thread is free when the work ends, which is later than a caller's task that is cancelled meanwhile.
        doing.add_done_callback(lambda _: loop.call_soon_threadsafe(self._next))
        return await asyncio.wrap_future(doing)

    async def _turn(self, receive: Callable[[], Awaitable[Any]]) -> None:
        """Wait in the line. Raises Refusal when the caller goes away."""
        turn = asyncio.get_running_loop().create_future()
        self._line.append(turn)
        gone = asyncio.ensure_future(_gone(receive))
        try:
            await asyncio.wait({turn, gone}, return_when=asyncio.FIRST_COMPLETED)
            if gone.done():
                raise Refusal(SERVICE_BUSY, "The caller has gone.")
        except BaseException:
            if turn.done():
                self._next()
            else:
                self._line.remove(turn)
            raise
        finally:
            gone.cancel()

    def _next(self) -> None:
        """Give a thread that is free to whoever has waited longest."""
        if self._line:
            self._line.popleft().set_result(None)
        else:
            self.computing -= 1


def busy() -> Refusal:
    """The refusal of whoever finds the line full."""
    detail = f"As many computations are waiting as may wait; ask again in {RETRY_AFTER_S} seconds."
    return Refusal(SERVICE_BUSY, detail, headers={"Retry-After": str(RETRY_AFTER_S)})


async def _gone(receive: Callable[[], Awaitable[Any]]) -> None:
    while (await receive())["type"] != "http.disconnect":
        pass
