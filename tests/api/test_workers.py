"""A few computations at a time, a short line before them, look-ups apart from both."""

import asyncio
import json
import threading
from collections.abc import Callable
from typing import Any

import httpx
import pytest

from api import review_streams
from api.advisor import Advisor
from api.application import create_app
from api.computations import LONG_BODY_BYTES
from api.problems import RETRY_AFTER_S, SERVICE_BUSY, Refusal
from api.settings import Settings
from api.workers import Line, Workers
from tests.api.test_problems import assert_problem

SUITABILITIES = "/v1/suitabilities"


async def stays() -> dict[str, str]:
    """The caller who does not go away."""
    await asyncio.Event().wait()
    return {"type": "http.disconnect"}


def new_place(number: int) -> dict[str, Any]:
    """A question of a place of its own."""
    return {"site": {"latitude": 44 + number / 10, "longitude": 20.5}, "limit": 1}


async def until(holds: Callable[[], bool]) -> None:
    for _ in range(500):
        if holds():
            return
        await asyncio.sleep(0.01)
    raise AssertionError("it never came to hold")


def test_work_waits_its_turn_and_a_full_line_refuses() -> None:
    release, done = threading.Event(), list[str]()

    def work(name: str) -> Callable[[], str]:
        def waiting() -> str:
            release.wait(10)
            done.append(name)
            return name

        return waiting

    async def run() -> None:
        workers = Line("long", at_a_time=1, most_waiting=2)
        first, second, third = (asyncio.ensure_future(workers.run(work(name), stays)) for name in "abc")
        await until(lambda: workers.full)
        assert (workers.computing, workers.waiting) == (1, 2)
        with pytest.raises(Refusal) as refused:
            await workers.run(work("d"), stays)
        assert refused.value.kind is SERVICE_BUSY
        assert dict(refused.value.headers or {}) == {"Retry-After": str(RETRY_AFTER_S)}
        release.set()
        assert list(await asyncio.gather(first, second, third)) == ["a", "b", "c"]
        assert done == ["a", "b", "c"]
        await until(lambda: workers.computing == 0)
        assert await workers.run(work("e"), stays) == "e"

    asyncio.run(run())


def test_a_stream_stands_in_the_line_though_it_is_full() -> None:
    """It comes before whoever comes later, and nobody looks again and again whether there is room."""
    release, done = threading.Event(), list[str]()

    async def run() -> None:
        workers = Workers(at_a_time=1, most_waiting=1)
        first = asyncio.ensure_future(workers.long.run(lambda: release.wait(10), stays))
        second = asyncio.ensure_future(workers.long.run(lambda: done.append("second"), stays))
        await until(lambda: workers.long.full)
        streamed = asyncio.ensure_future(review_streams._in_turn(workers, lambda: done.append("streamed")))
        await until(lambda: workers.long.waiting == 2)
        release.set()
        await asyncio.gather(first, second, streamed)
        assert done == ["second", "streamed"]

    asyncio.run(run())


@pytest.mark.parametrize("how", ["hangs up", "is cancelled"])
def test_work_of_a_caller_who_has_gone_is_dropped(how: str) -> None:
    release, done = threading.Event(), list[str]()

    async def run() -> None:
        workers, hangs_up = Line("long", at_a_time=1, most_waiting=2), asyncio.Event()

        async def goes() -> dict[str, str]:
            await hangs_up.wait()
            return {"type": "http.disconnect"}

        first = asyncio.ensure_future(workers.run(lambda: release.wait(10), stays))
        await until(lambda: workers.computing == 1)
        gone = asyncio.ensure_future(workers.run(lambda: done.append("gone"), goes))
        last = asyncio.ensure_future(workers.run(lambda: done.append("last"), stays))
        await until(lambda: workers.waiting == 2)
        if how == "hangs up":
            hangs_up.set()
            with pytest.raises(Refusal):
                await gone
        else:
            gone.cancel()
            with pytest.raises(asyncio.CancelledError):
                await gone
        assert workers.waiting == 1
        release.set()
        await asyncio.gather(first, last)
        assert done == ["last"]
        await until(lambda: workers.computing == 0)

    asyncio.run(run())


def test_what_fails_gives_its_thread_back() -> None:
    def fail() -> None:
        raise LookupError("no")

    async def run() -> None:
        workers = Line("long", at_a_time=1, most_waiting=0)
        for _ in range(3):
            with pytest.raises(LookupError):
                await workers.run(fail, stays)
            await until(lambda: workers.computing == 0)

    asyncio.run(run())


def test_look_ups_are_served_while_the_line_is_full(monkeypatch: pytest.MonkeyPatch) -> None:
    release = threading.Event()
    conditions = Advisor.conditions

    def waiting(*told: Any, **named: Any) -> Any:
        release.wait(20)
        return conditions(*told, **named)

    monkeypatch.setattr(Advisor, "conditions", waiting)

    async def run() -> None:
        app: Any = create_app(Settings(computations_at_a_time=1, waiting_computations=1))
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://local") as client:
            ready = (await client.get("/readyz")).json()
            assert (ready["computing"], ready["waiting"]) == (0, 0)
            asked = [asyncio.ensure_future(client.post(SUITABILITIES, json=new_place(n))) for n in range(2)]
            while (await client.get("/readyz")).status_code == 200:
                await asyncio.sleep(0.01)
            refused = await client.post(SUITABILITIES, json=new_place(2))
            assert_problem(refused, "service-busy")
            assert refused.headers["retry-after"] == str(RETRY_AFTER_S)
            assert (await client.get("/readyz")).headers["retry-after"] == str(RETRY_AFTER_S)
            for address in ("/healthz", "/v1/cultivars/fuji", "/v1/cultivars?use=cider", "/openapi.json"):
                assert (await client.get(address)).status_code == 200
            release.set()
            assert [answer.status_code for answer in await asyncio.gather(*asked)] == [200, 200]
            assert (await client.get("/readyz")).status_code == 200

    asyncio.run(run())


@pytest.mark.parametrize("blanks", [0, 2 * LONG_BODY_BYTES])
def test_equal_new_sites_are_worked_out_once_and_take_one_place(monkeypatch: pytest.MonkeyPatch, blanks: int) -> None:
    release, worked_out = threading.Event(), list[Any]()
    conditions = Advisor._conditions

    def waiting(advisor: Advisor, site: Any, key: Any) -> Any:
        worked_out.append(site)
        release.wait(20)
        return conditions(advisor, site, key)

    monkeypatch.setattr(Advisor, "_conditions", waiting)

    async def run() -> None:
        app: Any = create_app(Settings(computations_at_a_time=2, waiting_computations=8))
        body = json.dumps(new_place(0)).encode() + b" " * blanks
        headers = {"content-type": "application/json"}
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://local") as client:
            posts = (client.post(SUITABILITIES, content=body, headers=headers) for _ in range(8))
            asked = [asyncio.ensure_future(post) for post in posts]
            for _ in range(100):
                await asyncio.sleep(0.01)
            ready = await client.get("/readyz")
            assert (ready.status_code, ready.json()["computing"], ready.json()["waiting"]) == (200, 1, 0)
            release.set()
            answers = await asyncio.gather(*asked)
            assert {answer.status_code for answer in answers} == {200}
            assert len({answer.content for answer in answers}) == 1
            assert len(worked_out) == 1

    asyncio.run(run())


def test_a_known_site_is_answered_while_new_ones_wait(monkeypatch: pytest.MonkeyPatch) -> None:
    release = threading.Event()
    conditions = Advisor._conditions

    def waiting(advisor: Advisor, site: Any, key: Any) -> Any:
        if site.latitude != 44:
            release.wait(20)
        return conditions(advisor, site, key)

    monkeypatch.setattr(Advisor, "_conditions", waiting)

    async def run() -> None:
        app: Any = create_app(Settings(computations_at_a_time=1, waiting_computations=3))
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://local") as client:
            known = await client.post(SUITABILITIES, json=new_place(0))
            asked = [asyncio.ensure_future(client.post(SUITABILITIES, json=new_place(n))) for n in range(1, 5)]
            while (await client.get("/readyz")).status_code == 200:
                await asyncio.sleep(0.01)
            again = await asyncio.wait_for(client.post(SUITABILITIES, json=new_place(0)), 10)
            assert again.content == known.content
            other_weights = new_place(0) | {"weights": {"crop": 3.25}}
            assert (await asyncio.wait_for(client.post(SUITABILITIES, json=other_weights), 10)).status_code == 200
            release.set()
            assert {answer.status_code for answer in await asyncio.gather(*asked)} == {200}

    asyncio.run(run())
