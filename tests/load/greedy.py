"""`python -m tests.load.greedy`: what a polite caller waits for, alone and beside ten greedy ones.

The greedy ask without a pause for lists and for all cultivars at new places. Callers and service share the processors
of one machine, so the ratio says more than the milliseconds. Exit status 1 where it is above what is asked, or where
the polite caller is refused.
"""

import argparse
import random
import sys
import tempfile
import threading
from pathlib import Path

from tests.api.served import served
from tests.load.callers import Caller, Times, many, new_place, polite_apart

GREEDY = 10
MOST_TIMES = 3.0


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.load.greedy", description=__doc__.split("\n", 1)[0])
    parser.add_argument("--seconds", type=float, default=40.0)
    parser.add_argument("--processes", type=int, default=1)
    told = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, served(Path(folder), processes=told.processes) as running:
        alone = polite_apart(running.port, told.seconds / 2)
        until, greed = threading.Event(), Times()
        callers = [Caller(running.port, greed) for _ in range(GREEDY)]

        def take(number: int, rng: random.Random) -> None:
            site = new_place(rng)
            if number % 2:
                callers[number].ask("list", "POST", "/v1/planting-lists", {"site": site, "space": {"tree_count": 12}})
            else:
                callers[number].ask("new site", "POST", "/v1/suitabilities", {"site": site})

        threads = many(GREEDY, until, take)
        beside = polite_apart(running.port, told.seconds)
        until.set()
        for thread in threads:
            thread.join(120)
    print(f"greedy: {dict(greed.statuses)}; polite: {dict(beside.statuses)}")
    slow = False
    for what in ("look-up", "known site"):
        ratio = beside.p95_ms(what) / alone.p95_ms(what)
        print(
            f"{what}: alone p50 {alone.p50_ms(what):.1f}, p95 {alone.p95_ms(what):.1f} ms; beside ten greedy p50 "
            f"{beside.p50_ms(what):.1f}, p95 {beside.p95_ms(what):.1f} ms: {ratio:.1f} times (asked: {MOST_TIMES:g})"
        )
        slow |= not ratio <= MOST_TIMES
    if slow or any(not told.endswith(" 200") for told in beside.statuses):
        sys.exit(1)


if __name__ == "__main__":
    main()
