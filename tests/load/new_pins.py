"""`python -m tests.load.new_pins`: how long eight new pins take that are sent at once, against one alone.

Two processes serve them, on whatever processors are free; callers, service and whatever else the machine does share
these, so that the ratio tells of the service only where the load printed beside it is small. A round is one new pin
alone, then eight at once, each asking for all cultivars at a place that nobody asked of; the time of the last answer
counts. How the callers fell to the processes is told by processor time, which other work on the machine moves less:
that of the busiest process in a round of eight over what a pin alone took. Exit status 1 where the middle round is
above what is asked, or an answer is refused. Where the system does not tell processor time of processes, as Linux does
in `/proc`, that line says so.
"""

import argparse
import contextlib
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
PROCESSES = Path("/proc")


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


def processor_s(parent: int) -> list[float]:
    """Seconds of a processor that each process which a parent started has used so far; nothing where none is told."""
    found = []
    for told in PROCESSES.glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):  # gone meanwhile
            fields = told.read_text().rpartition(")")[2].split()
            if int(fields[1]) == parent:
                found.append((int(told.parent.name), (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")))
    return [spent for _, spent in sorted(found)]


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
        busiest = []
        for _ in range(told.rounds):
            loads.append(os.getloadavg()[0])
            at_first = np.array(processor_s(running.process.pid))
            one = seconds(callers(1), rng)
            before = np.array(processor_s(running.process.pid))
            rounds.append((one, seconds(callers(AT_ONCE), rng)))
            spent = np.array(processor_s(running.process.pid)) - before
            if len(spent):
                busiest.append((spent.max() / (before - at_first).sum(), spent.max() / spent.sum()))
    alone, together = (np.array(part) for part in zip(*rounds, strict=True))
    ratios = np.quantile(together / alone, [0.25, 0.5, 0.75])
    print(
        f"one new pin alone {np.median(alone):.2f} s (quickest {alone.min():.2f}), {AT_ONCE} at once "
        f"{np.median(together):.2f} s (quickest {together.min():.2f}): {ratios[1]:.1f} times "
        f"({ratios[0]:.1f} to {ratios[2]:.1f}; asked: {MOST_TIMES:g}), {told.processes} processes on "
        f"{os.cpu_count()} processors under a load of {min(loads):.1f} to {max(loads):.1f}"
    )
    if busiest:
        times, part = np.median(np.array(busiest), axis=0)
        print(f"processor time of the busiest process: {times:.1f} times that of one pin, {part:.0%} of all")
    else:
        print(f"processor time of the processes: {PROCESSES} does not tell it on this system")
    if ratios[1] > MOST_TIMES:
        sys.exit(1)


if __name__ == "__main__":
    main()
