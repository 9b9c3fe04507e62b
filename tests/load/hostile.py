"""`python -m tests.load.hostile`: every kind of malice at once, and what a polite caller waits beside it.

The service has little patience and few connections to give, as it would be set where it is reached without a proxy. It
must answer nothing with 500, and go on.
"""

import argparse
import os
import random
import socket
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from tests.api.served import Served, served
from tests.load.callers import LATE, Times, many, polite_apart

HEAD = b"POST /v1/%s HTTP/1.1\r\nHost: local\r\nContent-Type: application/json\r\nConnection: close\r\n"


def whole(path: bytes, body: bytes) -> bytes:
    """A request with its body."""
    return HEAD % path + b"Content-Length: %d\r\n\r\n%s" % (len(body), body)


def malformed(rng: random.Random) -> bytes:
    """Bytes that are no HTTP, or no JSON."""
    return rng.choice(
        [
            rng.randbytes(200) + b"\r\n\r\n",
            b"GET / HTTP/9.9\r\n\r\n",
            b"GET /\x00 HTTP/1.1\r\nHost: l\r\n\r\n",
            whole(b"suitabilities", b'{"site": {"latitude": NaN}}'),
            whole(b"suitabilities", b'{"site": ' + rng.randbytes(50)),
            whole(b"planting-lists", b'{"site": {"latitude": 1e400, "longitude": 0}, "space": {"tree_count": 3}}'),
            HEAD % b"suitabilities" + b"Content-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
        ]
    )


def nested(rng: random.Random) -> bytes:
    """Bodies nested deep."""
    depth = rng.choice([100, 300, 1_000, 60_000])
    return whole(b"site-climates", b'{"site": ' * depth + b"1" + b"}" * depth)


def huge(rng: random.Random) -> bytes:
    """Bodies beyond every bound, or with very many members."""
    if rng.random() < 0.5:
        return whole(b"suitabilities", b" " * rng.choice([300_000, 9_000_000]))
    return whole(b"plot-layouts", b"{" + b", ".join(b'"m%d": 1' % n for n in range(20_000)) + b"}")


def unknown(rng: random.Random) -> bytes:
    """A stock of names that nobody knows, for each of which names like it might be looked for."""
    names = [f'"{field}": "no such {field} %d"' for field in ("cultivar", "rootstock", "tree_form")]
    items = ", ".join("{" + ", ".join(name % rng.randrange(10**6) for name in names) + "}" for _ in range(1_500))
    site = '{"site": {"latitude": 51.2, "longitude": 0.8}, "space": {"tree_count": 4}, "stock": ['
    return whole(b"planting-lists", f"{site}{items}]}}".encode())


def slow(rng: random.Random) -> bytes:
    """The beginning of a request that never ends."""
    return rng.choice([b"GET / HT", HEAD % b"suitabilities" + b"Content-Length: 9000\r\n\r\n{", b""])


def gone(rng: random.Random) -> bytes:
    """A dear request, whose caller hangs up."""
    ring = ", ".join(f"[{20 + rng.random() / 1e4}, {44 + rng.random() / 1e4}]" for _ in range(3))
    return whole(
        b"planting-lists",
        f'{{"site": {{"latitude": {rng.uniform(36, 58):.3f}, "longitude": 9}}, "space": {{"plot": {{"type": "Polygon", '
        f'"coordinates": [[{ring}, [20, 44]]]}}}}, "lists": 5}}'.encode(),
    )


KINDS: tuple[tuple[Callable[[random.Random], bytes], float], ...] = (
    (malformed, 5.0),
    (nested, 20.0),
    (huge, 20.0),
    (unknown, 20.0),
    (slow, 8.0),
    (gone, 0.05),
)
"""What is sent, and how many seconds its sender stays."""
TURNS = 3
"""Alone and beside take turns, since other work of the machine comes and goes."""


def send(running: Served, content: bytes, stays_s: float, seen: Counter[str], kind: str) -> None:
    """Send and wait for an answer as long as its sender stays."""
    try:
        with socket.create_connection(("127.0.0.1", running.port), timeout=stays_s) as connection:
            connection.sendall(content)
            answer = connection.recv(200)
        seen[f"{kind} {answer[9:12].decode('latin-1') or 'closed'}"] += 1
    except OSError as error:
        seen[f"{kind} {type(error).__name__}"] += 1
    time.sleep(0.05)


def main() -> None:
    """Be hostile and polite at once, and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.load.hostile", description=__doc__.split("\n", 1)[0])
    parser.add_argument("--minutes", type=float, default=60.0)
    parser.add_argument("--callers", type=int, default=10)
    told = parser.parse_args()
    bounds = {"headers_timeout_s": 5, "body_timeout_s": 5, "connections": 200}
    with tempfile.TemporaryDirectory() as folder, served(Path(folder), **bounds) as running:
        seen = Counter[str]()

        def once(number: int, rng: random.Random) -> None:
            make, stays_s = KINDS[number % len(KINDS)]
            send(running, make(rng), stays_s, seen, make.__name__)

        alone, beside = [], []
        for _ in range(TURNS):
            alone.append(polite_apart(running.port, 10))
            until = threading.Event()
            threads = many(told.callers, until, once)
            beside.append(polite_apart(running.port, 60 * told.minutes / TURNS))
            until.set()
            for thread in threads:
                thread.join(60)
        failures = [line for line in running.lines() if line["level"] == "error"]
    print(f"hostile: {dict(sorted(seen.items()))}")
    quiet, troubled = Times.of(alone), Times.of(beside)
    print(f"polite: {dict(troubled.statuses)}; failures in the log: {len(failures)}; load {os.getloadavg()[0]:.0f}")
    for what in ("look-up", "known site"):
        ratio = troubled.p95_ms(what) / quiet.p95_ms(what)
        print(f"{what}: p95 alone {quiet.p95_ms(what):.1f}, beside {troubled.p95_ms(what):.1f} ms: {ratio:.1f} times")
    print(f"woken late by the machine: p95 alone {quiet.p95_ms(LATE):.1f}, beside {troubled.p95_ms(LATE):.1f} ms")
    if failures or any(" 500" in status for status in (*seen, *troubled.statuses)):
        raise SystemExit(1)


if __name__ == "__main__":
    main()
