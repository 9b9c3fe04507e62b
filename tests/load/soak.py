"""`python -m tests.load.soak --minutes 20`: full load, and the memory of the service beside it.

New places, lists, known places, look-ups and records without a pause. Memory is flat where that of the last quarter is
no more than a tenth above that of the second.
"""

import argparse
import random
import tempfile
import threading
import time
from pathlib import Path
from statistics import mean

from tests.api.served import served
from tests.load.callers import KNOWN, Caller, Times, many, new_place

CALLERS = 6
MOST_GROWTH = 1.10
EVERY_S = 2.0


def memory_mb(process: int) -> float:
    """Resident memory of a process, MB. Linux alone tells it so."""
    for line in Path(f"/proc/{process}/status").read_text().splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1000
    raise OSError("the system tells no memory")


def main() -> None:
    """Load, watch, print."""
    parser = argparse.ArgumentParser(prog="python -m tests.load.soak", description=__doc__.split("\n", 1)[0])
    parser.add_argument("--minutes", type=float, default=20.0)
    parser.add_argument("--remembered-sites", type=int, default=8, help="few, so that the plateau is soon reached")
    told = parser.parse_args()
    with (
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder), remembered_sites=told.remembered_sites) as running,
    ):
        until, times = threading.Event(), Times()
        callers = [Caller(running.port, times) for _ in range(CALLERS)]

        def once(number: int, rng: random.Random) -> None:
            caller, site = callers[number], new_place(rng)
            kind = rng.random()
            if kind < 0.3:
                caller.ask("new site", "POST", "/v1/suitabilities", {"site": site, "limit": 20})
            elif kind < 0.4:
                caller.ask("list", "POST", "/v1/planting-lists", {"site": site, "space": {"rectangle_m": [12, 15]}})
            elif kind < 0.7:
                caller.ask("known site", "POST", "/v1/suitabilities", {**KNOWN, "weights": {"crop": rng.uniform(1, 9)}})
            else:
                caller.ask("look-up", "GET", "/v1/cultivars?page_limit=100")

        threads = many(CALLERS, until, once)
        found: list[float] = []
        end = time.monotonic() + 60 * told.minutes
        while time.monotonic() < end:
            time.sleep(EVERY_S)
            found.append(memory_mb(running.process.pid))
        until.set()
        for thread in threads:
            thread.join(120)
    quarter = len(found) // 4
    second, last = mean(found[quarter : 2 * quarter]), mean(found[-quarter:])
    print(f"{dict(times.statuses)}")
    print(
        f"memory after {told.minutes:g} minutes: second quarter {second:.0f} MB, last {last:.0f} MB, most "
        f"{max(found):.0f} MB: {last / second:.2f} times"
    )
    if last > MOST_GROWTH * second:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
