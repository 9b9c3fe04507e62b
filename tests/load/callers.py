"""Callers: a polite one who asks small things one after another, and how long each took."""

import http.client
import json
import random
import threading
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from multiprocessing import get_context
from typing import Any

Body = Mapping[str, Any]

KNOWN: Body = {"site": {"latitude": 51.3, "longitude": 0.5}, "limit": 20}
"""A question of a site that the service knows, and small as a page asks it."""
PAUSE_S = 0.05
LATE = "late"
"""By how much a pause of a polite caller was longer than it meant: what the machine itself keeps anybody waiting."""


@dataclass
class Times:
    """Seconds of answers by what was asked, and how often which status came."""

    seconds: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    statuses: Counter[str] = field(default_factory=Counter)

    @classmethod
    def of(cls, several: "Sequence[Times]") -> "Times":
        """All of several taken together."""
        together = cls()
        for one in several:
            for what, seconds in one.seconds.items():
                together.seconds[what] += seconds
            together.statuses += one.statuses
        return together

    def p95_ms(self, what: str) -> float:
        """Of 95 in a hundred answers none took longer, ms."""
        found = sorted(self.seconds[what])
        return 1000 * found[min(len(found) - 1, int(0.95 * len(found)))]

    def p50_ms(self, what: str) -> float:
        """The middle one, ms."""
        found = sorted(self.seconds[what])
        return 1000 * found[len(found) // 2]


class Caller:
    """Asks over a connection that is kept."""

    def __init__(self, port: int, times: Times) -> None:
        self._connection = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
        self._times = times

    def ask(self, what: str, method: str, path: str, body: Body | None = None) -> int:
        """Ask once and count; the status, or 0 where the connection broke."""
        content = None if body is None else json.dumps(body).encode()
        start = time.perf_counter()
        try:
            self._connection.request(method, path, content, {"content-type": "application/json"} if content else {})
            answer = self._connection.getresponse()
            answer.read()
        except (OSError, http.client.HTTPException):
            self._connection.close()
            self._times.statuses[f"{what} broken"] += 1
            return 0
        if answer.status == 200:
            self._times.seconds[what].append(time.perf_counter() - start)
        self._times.statuses[f"{what} {answer.status}"] += 1
        return answer.status


def polite(port: int, seconds: float) -> Times:
    """Look-ups and a known site, one after another with a pause, for so many seconds."""
    times = Times()
    caller = Caller(port, times)
    caller.ask("warm", "POST", "/v1/suitabilities", KNOWN)
    end, number = time.monotonic() + seconds, 0
    while time.monotonic() < end:
        number += 1
        caller.ask("look-up", "GET", "/v1/cultivars/fuji" if number % 2 else "/v1/cultivars?page_limit=20")
        weights = {"weights": {"crop": 1 + number / 1000}}
        caller.ask("known site", "POST", "/v1/suitabilities", {**KNOWN, **weights})
        paused = time.perf_counter()
        time.sleep(PAUSE_S)
        times.seconds[LATE].append(time.perf_counter() - paused - PAUSE_S)
    return times


def polite_apart(port: int, seconds: float) -> Times:
    """The same in a process of its own: what others send costs their interpreter time that no service can spare it."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        return pool.submit(polite, port, seconds).result()


def many(count: int, until: threading.Event, one: Callable[[int, random.Random], None]) -> list[threading.Thread]:
    """So many threads, each of which does one thing after another until it is told to end."""

    def go(number: int) -> None:
        rng = random.Random(number)
        while not until.is_set():
            one(number, rng)

    made = [threading.Thread(target=go, args=(number,), daemon=True) for number in range(count)]
    for thread in made:
        thread.start()
    return made


def new_place(rng: random.Random) -> Body:
    """A place that was most likely never asked of."""
    return {"latitude": round(rng.uniform(36, 58), 3), "longitude": round(rng.uniform(-10, 40), 3)}
