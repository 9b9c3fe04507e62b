"""Long computations stop for a moment while something short is asked, so that it need not share the interpreter.

Python hands its interpreter on after half a millisecond at the soonest, and a short computation asks for it anew after
each call of numpy: 8 ms of work beside a long computation took 60. So a long one looks, whenever the collector of
garbage begins a round, whether a short request is under way, and waits for its end. A round begins on the thread that
makes one object too many, wherever its work is just then; when a short request comes, few more are too many. Having
waited, it computes for at least as long, so that however much is asked it keeps half of its time.

A request is short but for the time that its work is in the long line (`workers.py`), from the whole body on and to the
last of its answer: a body that is slow to come, or an answer that is slow to be taken, holds nobody up. To tag an
answer, code it and send it counts as well: it is little work, but hands the interpreter on at each of its steps.
"""

import asyncio
import gc
import math
import threading
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from contextvars import ContextVar
from typing import Any, TypeVar

from api.asgi import BODY_NOT_READ, App, Message, Receive, Scope, Send

LONGEST_WAIT_S = 0.04
"""How long a computation waits at once at most: what a short request takes, and some more."""

T = TypeVar("T")

FULL_ROUNDS = 50
"""A round through everything comes after so many middle ones, not after ten: it holds all up for 10 to 40 ms."""
_USUAL = (*gc.get_threshold()[:2], FULL_ROUNDS)
_AT_ONCE = (40, *_USUAL[1:])
"""How many new objects make a round begin: as the interpreter has it, and for long work to notice something short."""


class _Short:
    """How many short requests are under way. The event loop alone counts."""

    def __init__(self) -> None:
        self.under_way = 0
        self.none = threading.Event()
        self.none.set()

    def add(self, requests: int) -> None:
        self.under_way += requests
        if not self.under_way:
            self.none.set()
            gc.set_threshold(*_USUAL)
        elif requests > 0:
            self.none.clear()
            if _LONG.under_way:
                gc.set_threshold(*_AT_ONCE)


class _Long:
    """How many threads do long work."""

    def __init__(self) -> None:
        self.under_way = 0
        self._counting = threading.Lock()

    def add(self, threads: int) -> None:
        with self._counting:
            self.under_way += threads


class _LongWork(threading.local):
    """Of a thread that does long work: from when on it may wait again; None of any other."""

    waits_from: float | None = None


_SHORT, _LONG, _WORK = _Short(), _Long(), _LongWork()


class _Request:
    """Whether a request counts as short just now."""

    def __init__(self) -> None:
        self.counts = False

    def count(self, counts: bool) -> None:
        if counts != self.counts:
            self.counts = counts
            _SHORT.add(1 if counts else -1)


_CURRENT: ContextVar[_Request | None] = ContextVar("request", default=None)


def counting_short(app: App) -> App:
    """Count every request as short from when it has come whole until its answer is sent, but for what is done `aside`.

    One whose body is not read is whole at once.
    """

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await app(scope, receive, send)
        request, whole = _Request(), scope["method"] in BODY_NOT_READ

        async def received() -> Message:
            nonlocal whole
            message = await receive()
            if not whole and not message.get("more_body", False):
                whole = True
                request.count(True)
            return message

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.body" and not message.get("more_body", False):
                # Once it is handed on, or has to wait for a caller who takes nothing.
                asyncio.get_running_loop().call_soon(request.count, False)
            await send(message)

        token = _CURRENT.set(request)
        request.count(whole)
        try:
            await app(scope, received, sent)
        finally:
            request.count(False)
            _CURRENT.reset(token)

    return wrapped


@asynccontextmanager
async def aside() -> AsyncIterator[None]:
    """Inside, the request of this task is a long one; of a task that was not counted as short nothing changes."""
    request = _CURRENT.get()
    if request is None or not request.counts:  # so that one inside another counts off nothing
        yield
        return
    request.count(False)
    try:
        yield
    finally:
        request.count(True)


def behind(work: Callable[[], T]) -> T:
    """Do long work, which stands behind what is short."""
    _WORK.waits_from = 0.0
    _LONG.add(1)
    try:
        give_way()
        return work()
    finally:
        _LONG.add(-1)
        _WORK.waits_from = None


def give_way() -> None:
    """Wait where this thread does long work, something short is under way, and it has computed for long enough.

    For loops that make no objects which stay, so that no round of the collector begins in them.
    """
    if not _SHORT.under_way or _WORK.waits_from is None:
        return
    began = time.perf_counter()
    if began >= _WORK.waits_from:
        _WORK.waits_from = math.inf  # a round that begins as it waits must not wait too: it would wait for itself
        _SHORT.none.wait(LONGEST_WAIT_S)
        ended = time.perf_counter()
        _WORK.waits_from = ended + (ended - began)


def _at_a_round(phase: str, _: dict[str, Any]) -> None:
    """Called by the collector, on the thread whose objects made it begin."""
    if phase == "start":
        give_way()


gc.set_threshold(*_USUAL)
gc.callbacks.append(_at_a_round)
