"""`python -m tests.load.new_pins`: how long eight new pins take that are sent at once, against one alone.

Two processes serve them, on whatever processors are free; callers, service and whatever else the machine does share
these, so that the ratio tells of the service only where the load printed beside it is small. A round is one new pin
alone, then eight at once, each asking for all cultivars at a place that nobody asked of; the time of the last answer
counts. Exit status 1 where the middle round is above what is asked, or an answer is refused.
"""

import argparse
import os
import random
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np

from tests.api.served import served
from tests.load.callers import Body, Caller, Times

AT_ONCE = 8
MOST_TIMES = 5.0


def inland(rng: random.Random) -> Body:
    """A place between the Rhine and the Dnieper, most likely never asked of: one at sea would be refused at once."""
    return {"latitude": round(rng.uniform(47.0, 52.0), 3), "longitude": round(rng.uniform(9.0, 30.0), 3)}


def seconds(callers: list[Caller], rng: random.Random) -> float:
    """Seconds until each of these callers has its answer to a new pin, all asking at once."""
    bodies = [{"site": inland(rng)} for _ in callers]
    with ThreadPoolExecutor(len(callers)) as pool:
        start = time.perf_counter()
        statuses = list(
            pool.map(lambda caller, body: caller.ask("pin", "POST", "/v1/suitabilities", body), callers, bodies)
        )
        passed = time.perf_counter() - start
    if set(statuses) != {200}:
        raise SystemExit(f"new pins were answered by {statuses}")
    return passed


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.load.new_pins", description=__doc__.split("\n", 1)[0])
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--processes", type=int, default=2)
    told = parser.parse_args()
    rng, times = random.Random(), Times()
    with tempfile.TemporaryDirectory() as folder, served(Path(folder), processes=told.processes) as running:
        # Connections are shared out among the processes as they come, so each round opens its own.
        def callers(count: int) -> list[Caller]:
            return [Caller(running.port, times) for _ in range(count)]

        for _ in range(2 * told.processes):
            seconds(callers(1), rng)
        loads = []
        rounds = []
        for _ in range(told.rounds):
            loads.append(os.getloadavg()[0])
            rounds.append((seconds(callers(1), rng), seconds(callers(AT_ONCE), rng)))
    alone, together = (np.array(part) for part in zip(*rounds, strict=True))
    ratios = np.quantile(together / alone, [0.25, 0.5, 0.75])
    print(
        f"one new pin alone {np.median(alone):.2f} s (quickest {alone.min():.2f}), {AT_ONCE} at once "
        f"{np.median(together):.2f} s (quickest {together.min():.2f}): {ratios[1]:.1f} times "
        f"({ratios[0]:.1f} to {ratios[2]:.1f}; asked: {MOST_TIMES:g}), {told.processes} processes on "
        f"{os.cpu_count()} processors under a load of {min(loads):.1f} to {max(loads):.1f}"
    )
    if ratios[1] > MOST_TIMES:
        sys.exit(1)


if __name__ == "__main__":
    main()
