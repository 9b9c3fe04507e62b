"""Connections are taken by the process that has least to do, and nobody waits for one that takes none."""

import asyncio
import os
import socket
import time
from collections.abc import Callable, Coroutine
from pathlib import Path
from typing import Any

import pytest

from api import shares
from api.accepting import LETS_OTHERS_S, MOST_LOOKS, Accepting, TakingTurns
from api.server import listening

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


def callers(heard: socket.socket, count: int = AT_ONCE) -> list[socket.socket]:
    """So many who call at once."""
    return [socket.create_connection(heard.getsockname()) for _ in range(count)]


def test_callers_who_come_at_once_are_shared_out() -> None:
    async def body(loop: asyncio.AbstractEventLoop, heard: socket.socket) -> None:
        places = table()
        first, second = (Process(loop, heard, share(places, number)) for number in range(2))
        callers(heard)
        await until(lambda: len(first.taken) + len(second.taken) == AT_ONCE)
        assert len(first.taken) == len(second.taken)

    in_loop(body)


def test_who_has_more_to_do_takes_fewer() -> None:
    async def body(loop: asyncio.AbstractEventLoop, heard: socket.socket) -> None:
        places = table()
        busy, idle = (Process(loop, heard, share(places, number)) for number in range(2))
        busy.share.add(under_way=4)
        callers(heard)
        await until(lambda: len(busy.taken) + len(idle.taken) == AT_ONCE)
        assert (len(busy.taken), len(idle.taken)) == (2, 6)
        busy.share.add(under_way=-4)
        # Nothing is under way any more: the one with more connections open has more to do.
        await until(lambda: busy.share.load == 2 and idle.share.load == 6)
        callers(heard, 1)
        await until(lambda: len(busy.taken) + len(idle.taken) == AT_ONCE + 1)
        assert (len(busy.taken), len(idle.taken)) == (3, 6)

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
            shares.forget(tmp_path, os.getpid())
        shares.join(tmp_path)
        mine = Process(loop, heard, shares.own())
        mine.share.add(under_way=1)
        start = time.monotonic()
        callers(heard, 40)
        await until(lambda: len(mine.taken) == 40)
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
