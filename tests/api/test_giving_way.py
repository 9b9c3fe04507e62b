"""Long work waits, at rounds of the garbage collector, for short requests under way."""

import asyncio
import gc
import math
import threading
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from api import giving_way
from api.workers import Workers

SOON_S, LATE_S = 0.2, 20.0


@pytest.fixture
def long_wait(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Long work waits for so long at once that a test sees it waiting."""
    monkeypatch.setattr(giving_way, "LONGEST_WAIT_S", LATE_S)
    yield
    assert giving_way._SHORT.under_way == 0


def a_round() -> None:
    """What the collector calls on a thread as it begins a round."""
    (called,) = [one for one in gc.callbacks if one is giving_way._at_a_round]
    called("start", {})


def begun(work: Callable[[Callable[[], None]], None]) -> threading.Event:
    """A round on a thread of its own; the event tells that it has ended."""
    ended = threading.Event()

    def run() -> None:
        work(a_round)
        ended.set()

    threading.Thread(target=run, daemon=True).start()
    return ended


async def stays() -> dict[str, str]:
    """The caller who does not go away."""
    await asyncio.Event().wait()
    return {"type": "http.disconnect"}


def beside_a_request(told: Any) -> None:
    """Call what is told inside a short request."""

    async def app(*_: Any) -> None:
        await told()

    asyncio.run(giving_way.counting_short(app)({"type": "http", "method": "GET"}, app, app))  # type: ignore[arg-type]  # not called


@pytest.mark.usefixtures("long_wait")
def test_long_work_goes_on_when_the_short_request_ends() -> None:
    found: list[threading.Event] = []

    async def asked() -> None:
        found.append(begun(giving_way.behind))
        assert not found[0].wait(SOON_S)

    beside_a_request(asked)
    assert found[0].wait(LATE_S)


@pytest.mark.usefixtures("long_wait")
def test_what_is_not_long_waits_for_nobody() -> None:
    async def asked() -> None:
        assert begun(lambda work: work()).wait(LATE_S / 2)

    beside_a_request(asked)


@pytest.mark.usefixtures("long_wait")
def test_nobody_waits_for_a_request_whose_work_is_long() -> None:
    async def asked() -> None:
        async with giving_way.aside(), giving_way.aside():
            assert giving_way._SHORT.under_way == 0
            assert begun(giving_way.behind).wait(LATE_S / 2)

    beside_a_request(asked)


def test_nobody_waits_for_a_request_that_waits_for_an_equal_one() -> None:
    """Else a new site that two ask for would be worked out at half the speed, since the second seems to be short."""
    release, found = threading.Event(), list[int]()

    async def run() -> None:
        workers = Workers(1, 1)

        async def second(*_: Any) -> None:
            await workers.once(b"place", lambda: None, stays)

        first = asyncio.ensure_future(workers.once(b"place", lambda: release.wait(LATE_S), stays))
        await asyncio.sleep(0)
        waiting = asyncio.ensure_future(
            giving_way.counting_short(second)({"type": "http", "method": "GET"}, stays, second)
        )
        await asyncio.sleep(SOON_S)
        found.extend((workers.computing, giving_way._SHORT.under_way))
        release.set()
        await asyncio.gather(first, waiting)

    asyncio.run(run())
    assert found == [1, 0]
    assert giving_way._SHORT.under_way == 0


@pytest.mark.usefixtures("long_wait")
def test_a_round_that_begins_as_long_work_waits_does_not_wait_for_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """The event's own lock is held while it makes what it needs to wait, and a round may begin just there."""
    waits: list[float | None] = []

    def waiting(_: float) -> None:
        waits.append(giving_way._WORK.waits_from)
        a_round()

    async def asked() -> None:
        monkeypatch.setattr(giving_way._SHORT.none, "wait", waiting)
        assert begun(giving_way.behind).wait(LATE_S)

    beside_a_request(asked)
    assert waits == [math.inf]


def request_of(method: str, told: Any, *messages: dict[str, Any]) -> list[int]:
    """How many requests are short as a request of this method begins, and then as each of its messages has come or
    gone.
    """
    coming = [one for one in messages if one["type"] == "http.request"]
    going = [one for one in messages if one["type"] != "http.request"]
    seen: list[int] = []

    async def receive() -> dict[str, Any]:
        return coming.pop(0)

    async def send(_: Any) -> None:
        await told()

    async def app(_: Any, receive: Any, send: Any) -> None:
        seen.append(giving_way._SHORT.under_way)
        while coming:
            await receive()
            seen.append(giving_way._SHORT.under_way)
        for one in going:
            await send(one)
            seen.append(giving_way._SHORT.under_way)

    async def run() -> None:
        await giving_way.counting_short(app)({"type": "http", "method": method}, receive, send)

    asyncio.run(run())
    assert giving_way._SHORT.under_way == 0
    return seen


async def at_once() -> None:
    """An answer that is taken at once."""


async def later() -> None:
    """An answer that has to wait for its caller."""
    await asyncio.sleep(SOON_S)


START: dict[str, Any] = {"type": "http.response.start"}
PART, LAST = ({"type": "http.response.body", "more_body": more} for more in (True, False))
HALF, WHOLE = ({"type": "http.request", "more_body": more} for more in (True, False))


def test_a_request_is_short_from_its_whole_body_to_the_last_of_its_answer() -> None:
    assert request_of("POST", at_once, HALF, HALF, WHOLE, START, PART, LAST) == [0, 0, 0, 1, 1, 1, 1]
    assert request_of("PUT", at_once, HALF, WHOLE, START, LAST) == [0, 0, 1, 1, 1]
    assert request_of("GET", at_once, START, LAST) == [1, 1, 1]


def test_nobody_waits_for_an_answer_that_is_not_taken() -> None:
    assert request_of("GET", later, LAST) == [1, 0]


def test_a_service_that_stands_idle_counts_nothing() -> None:
    async def app(*_: Any) -> None:
        assert giving_way._SHORT.under_way == 0

    asyncio.run(giving_way.counting_short(app)({"type": "lifespan"}, app, app))  # type: ignore[arg-type]  # not called


def test_long_work_has_half_of_its_time_however_much_is_asked() -> None:
    async def asked() -> None:
        def work(one: Callable[[], None]) -> None:
            def rounds() -> None:
                for _ in range(2):  # at the second it has waited a moment ago, and computes first
                    one()
                    seen.append(giving_way._WORK.waits_from)

            giving_way.behind(rounds)

        assert begun(work).wait(LATE_S)

    seen: list[float | None] = []
    beside_a_request(asked)
    assert seen[0] == seen[1] != 0.0
