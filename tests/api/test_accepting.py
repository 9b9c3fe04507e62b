"""Connections are taken by the process that has least to do, and nobody waits for one that takes none."""

import asyncio
import errno
import os
import socket
import time
from collections.abc import Callable, Coroutine
from functools import partial
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from uvicorn.server import ServerState

from api import accepting, metrics, shares
from api.accepting import LETS_OTHERS_S, MOST_LOOKS, NEW_FOR_S, Accepting, TakingTurns
from api.asgi import Receive, Scope, Send, answer
from api.connections import BoundedProtocol
from api.server import Together, listening
from api.settings import COUNTS_FOLDER
from api.watching import with_watching

AT_ONCE = 8
HANGS_S = 2 * MOST_LOOKS * LETS_OTHERS_S
"""All that callers wait together for a process that hangs: each time half as long as before."""


class Taken(asyncio.Protocol):
    """A connection that a process has taken, and works on until it is told that it is done."""

    def __init__(self, by: "Process") -> None:
        self.by, self.stopped = by, False

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        self.by.taken.append(self)
        self.by.share.add(connections=1)
        self.transport = transport

    def shutdown(self) -> None:
        self.stopped = True


class Process:
    """A process as far as it takes connections; several share a loop here."""

    def __init__(self, loop: asyncio.AbstractEventLoop, heard: socket.socket, share: shares.Share) -> None:
        self.taken: list[Taken] = []
        self.share = share
        self.accepting = Accepting(loop, heard.dup(), lambda: Taken(self), share)


class Failing(socket.socket):
    """A socket that gives no connection the first time."""

    fails: int | None = None

    def accept(self) -> tuple[socket.socket, Any]:
        if self.fails is not None:
            number, self.fails = self.fails, None
            raise OSError(number, os.strerror(number))
        return super().accept()


def table() -> memoryview:
    """Places that processes share."""
    return memoryview(bytearray(shares.PLACES * 16)).cast("q")


def share(places: memoryview, number: int) -> shares.Share:
    """The share of a process with this number."""
    places[2 * number] = 100 + number
    return shares.Share(places, number)


def in_loop(body: Callable[[asyncio.AbstractEventLoop, socket.socket], Coroutine[Any, Any, None]]) -> None:
    """Do this in a loop of its own, with a socket that listens."""

    async def run() -> None:
        with listening("127.0.0.1", 0) as heard:
            await body(asyncio.get_running_loop(), heard)

    with asyncio.Runner(loop_factory=TakingTurns) as runner:
        runner.run(run())


async def until(true: Callable[[], bool], seconds: float = 20) -> None:
    """Wait for it."""
    async with asyncio.timeout(seconds):
        while not true():
            await asyncio.sleep(0.002)


async def taken(*processes: Process, count: int) -> None:
    """Wait until they have taken so many together."""
    await until(lambda: sum(len(one.taken) for one in processes) == count)


def callers(heard: socket.socket, count: int = AT_ONCE) -> list[socket.socket]:
    """So many who call at once."""
    return [socket.create_connection(heard.getsockname()) for _ in range(count)]


def test_callers_who_come_at_once_are_shared_out() -> None:
    async def body(loop: asyncio.AbstractEventLoop, heard: socket.socket) -> None:
        places = table()
        first, second = (Process(loop, heard, share(places, number)) for number in range(2))
        callers(heard)
        await taken(first, second, count=AT_ONCE)
        assert len(first.taken) == len(second.taken)

    in_loop(body)


def test_who_has_more_to_do_takes_fewer() -> None:
    async def body(loop: asyncio.AbstractEventLoop, heard: socket.socket) -> None:
        places = table()
        busy, idle = (Process(loop, heard, share(places, number)) for number in range(2))
        busy.share.add(under_way=4)
        callers(heard)
        await taken(busy, idle, count=AT_ONCE)
        assert (len(busy.taken), len(idle.taken)) == (2, 6)
        busy.share.add(under_way=-4)
        # Nothing is under way any more: the one with more connections open has more to do.
        await until(lambda: busy.share.load == 2 and idle.share.load == 6)
        callers(heard, 1)
        await taken(busy, idle, count=AT_ONCE + 1)
        assert (len(busy.taken), len(idle.taken)) == (3, 6)

    in_loop(body)


def test_who_has_more_to_do_takes_none_while_another_takes_all() -> None:
    """Patience is for who waits, and is not worn down by callers whom another process took."""

    async def body(loop: asyncio.AbstractEventLoop, heard: socket.socket) -> None:
        places = table()
        busy, idle = (Process(loop, heard, share(places, number)) for number in range(2))
        busy.share.add(under_way=50)
        for count in range(1, 21):
            callers(heard, 1)
            await asyncio.sleep(0.015)
            await taken(busy, idle, count=count)
        assert (len(busy.taken), len(idle.taken)) == (0, 20)

    in_loop(body)


@pytest.mark.parametrize("number", [errno.EPERM, errno.EPROTO, errno.ENETDOWN, errno.EMFILE])
def test_an_error_of_one_connection_does_not_end_the_taking(monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    """accept(2) names more errors than want of means, such as a firewall's EPERM."""
    monkeypatch.setattr(accepting, "FAILED_FOR_S", 0.02)

    async def body(loop: asyncio.AbstractEventLoop, heard: socket.socket) -> None:
        with Failing(fileno=heard.dup().detach()) as failing:
            failing.fails = number
            process = Process(loop, heard, shares.Share())
            process.accepting.close()
            process.accepting = Accepting(loop, failing, lambda: Taken(process), process.share)
            callers(heard)
            await taken(process, count=AT_ONCE)
            assert failing.fails is None
            process.accepting.close()

    in_loop(body)


def test_a_connection_that_cannot_begin_is_closed(monkeypatch: pytest.MonkeyPatch) -> None:
    async def body(loop: asyncio.AbstractEventLoop, heard: socket.socket) -> None:
        begin = loop.connect_accepted_socket
        failed: list[socket.socket] = []

        async def fail_once(make: Callable[[], Taken], connection: socket.socket) -> Any:
            if not failed:
                failed.append(connection)
                raise OSError(errno.EINVAL, "no more a connection")
            return await begin(make, connection)

        monkeypatch.setattr(loop, "connect_accepted_socket", fail_once)
        unhandled: list[Any] = []
        loop.set_exception_handler(lambda _, told: unhandled.append(told))
        process = Process(loop, heard, shares.Share())
        waiting = callers(heard, 2)
        await taken(process, count=1)
        assert failed[0].fileno() == -1
        waiting[0].settimeout(5)
        assert await asyncio.to_thread(waiting[0].recv, 1) == b""
        assert unhandled == []

    in_loop(body)


def test_a_new_connection_counts_until_its_request_does() -> None:
    async def body(loop: asyncio.AbstractEventLoop, heard: socket.socket) -> None:
        own = shares.own()
        before = own.load >> 32
        seen: list[int] = []

        async def app(scope: Scope, receive: Receive, send: Send) -> None:
            seen.append((own.load >> 32) - before)
            await asyncio.sleep(NEW_FOR_S / 4)
            seen.append((own.load >> 32) - before)
            await asyncio.sleep(NEW_FOR_S)
            seen.append((own.load >> 32) - before)
            await answer(send, 204, [])

        config = uvicorn.Config(with_watching(app, ["/"]), lifespan="off", log_config=None)
        config.load()
        taking = Accepting(loop, heard.dup(), partial(BoundedProtocol, config, ServerState(), {}), own)
        (caller,) = callers(heard, 1)
        await until(lambda: (own.load >> 32) - before == 1)
        caller.sendall(b"GET / HTTP/1.1\r\nHost: local\r\nConnection: close\r\n\r\n")
        assert (await asyncio.to_thread(caller.recv, 100)).startswith(b"HTTP/1.1 204")
        assert seen == [2, 1, 1]
        await until(lambda: own.load >> 32 == before)
        taking.close()

    in_loop(body)


@pytest.mark.parametrize("other", ["hangs", "takes none", "is gone"])
def test_nobody_waits_for_a_process_that_takes_none(tmp_path: Path, other: str) -> None:
    """One that hangs costs all callers together a fifth of a second; one that stops or is gone, nothing."""

    async def body(loop: asyncio.AbstractEventLoop, heard: socket.socket) -> None:
        shares.begin(tmp_path)
        shares.join(tmp_path)
        theirs = shares.own()
        theirs.takes(True)
        if other == "takes none":
            theirs.takes(False)
        elif other == "is gone":
            assert shares.keep_only(tmp_path, set()) == {os.getpid()}
        shares.join(tmp_path)
        mine = Process(loop, heard, shares.own())
        mine.share.add(under_way=1)
        start = time.monotonic()
        callers(heard, 40)
        await taken(mine, count=40)
        waited = time.monotonic() - start
        if other == "hangs":
            assert waited >= HANGS_S / 2
        else:
            assert mine.accepting._looks == 0
            assert mine.accepting._most_looks == MOST_LOOKS

    in_loop(body)


def test_who_waits_when_a_process_stops_is_taken_and_told() -> None:
    async def body(loop: asyncio.AbstractEventLoop, heard: socket.socket) -> None:
        process = Process(loop, heard, shares.Share())
        callers(heard)
        process.accepting.close()
        process.accepting.close()
        await process.accepting.wait_closed()
        assert len(process.taken) == AT_ONCE
        assert all(one.stopped for one in process.taken)
        waiting = callers(heard, 1)
        await asyncio.sleep(0.05)
        assert len(process.taken) == AT_ONCE
        assert waiting

    in_loop(body)


def test_a_folder_of_an_earlier_service_counts_for_nothing(tmp_path: Path) -> None:
    shares.begin(tmp_path)
    shares.join(tmp_path)
    shares.own().takes(True)
    shares.begin(tmp_path)
    shares.join(tmp_path)
    shares.own().add(under_way=3)
    assert shares.own().is_least()


def test_where_no_place_is_left_a_process_still_knows_of_the_others(tmp_path: Path) -> None:
    shares.begin(tmp_path)
    for _ in range(shares.PLACES):
        shares.join(tmp_path)
        shares.own().takes(True)
    shares.join(tmp_path)
    one_more = shares.own()
    one_more.takes(True)
    assert one_more.is_least()
    one_more.add(under_way=1)
    assert not one_more.is_least()


def test_a_replacement_that_failed_leaves_no_place(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """It was never among those that serve, so that nobody sees it go; its load would be the least for ever."""
    monkeypatch.setenv(COUNTS_FOLDER, str(tmp_path))
    monkeypatch.setattr(shares, "_OWN", shares.own())
    forgotten: list[int] = []
    monkeypatch.setattr(metrics, "forget", forgotten.append)
    shares.begin(tmp_path)
    ids = {"serves": 70_001, "serves too": 70_002, "failed": 70_003}
    joined = {}
    for name, number in ids.items():
        monkeypatch.setattr(os, "getpid", lambda number=number: number)
        shares.join(tmp_path)
        joined[name] = shares.own()
        joined[name].takes(True)
    joined["serves"].add(under_way=1)
    joined["serves too"].add(under_way=1)
    assert not joined["serves"].is_least()

    parent = Together.__new__(Together)  # without the handlers of signals that its making sets
    parent.signal_queue = []
    parent.processes = [type("Worker", (), {"pid": ids[name]})() for name in ("serves", "serves too")]
    parent._counted = parent._pids()
    parent.handle_signals()
    assert forgotten == [ids["failed"]]
    assert joined["serves"].is_least()
    joined["serves"].add(under_way=1)
    assert not joined["serves"].is_least()  # the other one's place is kept
