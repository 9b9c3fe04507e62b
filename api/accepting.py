"""Taking connections: one at a time, and by the process that has least to do.

Several processes listen on one socket. Left to the event loop, whichever wakes first takes all connections that wait,
so that eight callers who come at once may stand in one line while another process idles. Here a process takes one
connection when it wakes, and lets one that has less to do go before it for a moment. Whoever waits is taken all the
same when that moment is over: a process that hangs keeps nobody out.
"""

import asyncio
import contextlib
import logging
import os
import socket
from collections.abc import Callable
from pathlib import Path
from typing import Any

from api import shares
from api.settings import COUNTS_FOLDER

LETS_OTHERS_S = 0.004
"""How long a process waits before it looks again whether it has least to do: a few rounds of an event loop."""
MOST_LOOKS = 24
"""How often it looks before it takes a connection all the same, and half as often before each one that follows. A
process that computes wakes within some 20 ms, later where others use its processors.
"""
NEW_FOR_S = 0.1
"""How long a connection counts as a request under way at most: from its first request on, that one counts for it."""
FAILED_FOR_S = 1.0
"""How long no connection is taken after the system gave none, for want of means or for what befell that one."""
MOST_LAST_TAKEN = 2048
"""Connections that waited when the process stops and are still taken, at most."""

log = logging.getLogger("api.accepting")


class Accepting:
    """Takes connections of a socket that listens until it is closed, and those that wait then."""

    def __init__(
        self, loop: asyncio.AbstractEventLoop, heard: socket.socket, make: Callable[[], Any], share: shares.Share
    ) -> None:
        """make: the protocol of a connection; it has a `shutdown`, as the server's have, and calls what is set as its
        `on_first_request` when that has begun, if it tells of requests.
        """
        self._loop, self._heard, self._make, self._share = loop, heard, make, share
        self._looks, self._most_looks = 0, MOST_LOOKS
        self._later: asyncio.TimerHandle | None = None
        self._closed = False
        self._beginning: set[asyncio.Task[None]] = set()
        heard.setblocking(False)
        share.takes(True)
        loop.add_reader(heard, self._look)

    def close(self) -> None:
        """Take what waits, and then nothing more: who has been let in by the system is not turned away."""
        if self._closed:
            return
        self._closed = True
        if self._later is not None:
            self._later.cancel()
        self._loop.remove_reader(self._heard)
        self._share.takes(False)
        with contextlib.suppress(OSError):  # no means for more
            for _ in range(MOST_LAST_TAKEN):
                if not self._take():
                    break

    async def wait_closed(self) -> None:
        """Until every connection that was taken has begun."""
        if self._beginning:
            await asyncio.wait(self._beginning)

    def _look(self) -> None:
        """A connection waits, or did a moment ago: take it, unless another process should."""
        self._loop.remove_reader(self._heard)
        least = self._share.is_least()
        if not least and self._looks < self._most_looks:
            self._looks += 1
            return self._look_after(LETS_OTHERS_S)
        self._looks = 0
        try:
            taken = self._take()
        except OSError as error:  # whatever it is: without its reader this process would take none for good
            log.warning("no connection could be taken: %s", error)
            return self._look_after(FAILED_FOR_S)
        self._most_looks = self._most_looks // 2 if taken and not least else MOST_LOOKS
        self._loop.add_reader(self._heard, self._look)

    def _look_after(self, seconds: float) -> None:
        self._later = self._loop.call_later(seconds, self._look)

    def _take(self) -> bool:
        """Take one connection; whether one waited. Raises OSError where the system gives none."""
        try:
            connection, _ = self._heard.accept()
        except (BlockingIOError, InterruptedError):
            return False
        except ConnectionAbortedError:
            return True
        begun = self._loop.create_task(self._begin(connection, _New(self._loop, self._share)))
        self._beginning.add(begun)
        begun.add_done_callback(self._beginning.discard)
        return True

    async def _begin(self, connection: socket.socket, new: "_New") -> None:
        def made() -> Any:
            protocol = self._make()
            protocol.on_first_request = new.is_over
            return protocol

        try:
            connection.setblocking(False)
            _, protocol = await self._loop.connect_accepted_socket(made, connection)
        except OSError as error:
            connection.close()
            log.warning("a connection that was taken could not begin: %s", error)
            return
        if self._closed:
            protocol.shutdown()


class _New:
    """A connection that counts as a request under way, until that is over."""

    def __init__(self, loop: asyncio.AbstractEventLoop, share: shares.Share) -> None:
        self._share = share
        share.add(under_way=1)
        self._later: asyncio.TimerHandle | None = loop.call_later(NEW_FOR_S, self.is_over)

    def is_over(self) -> None:
        """Count it no longer; once over, it stays so."""
        if self._later is not None:
            self._later.cancel()
            self._later = None
            self._share.add(under_way=-1)


class TakingTurns(asyncio.SelectorEventLoop):
    """The event loop of a process that serves: connections are taken as told above."""

    async def create_server(  # type: ignore[override]  # as the server calls it, and all it asks of it
        self, protocol_factory: Callable[[], Any], *, sock: socket.socket, **_: Any
    ) -> Accepting:
        """Take connections of the socket."""
        return Accepting(self, sock, protocol_factory, shares.own())


def alone() -> asyncio.AbstractEventLoop:
    """The event loop of the only process."""
    return TakingTurns()


def together() -> asyncio.AbstractEventLoop:
    """The event loop of one of several processes."""
    shares.join(Path(os.environ[COUNTS_FOLDER]))
    return TakingTurns()
