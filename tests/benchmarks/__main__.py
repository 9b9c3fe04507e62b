"""Figures that no bound holds, since they depend on the machine: `python -m tests.benchmarks` prints them.

Start-up and the first requests in processor seconds, and the memory of a process after start, after one site, and after
as many new sites as it remembers.
"""

import resource
import sys
import time
from collections.abc import Callable
from typing import Any

START = time.process_time()


def megabytes() -> float:
    """Largest memory so far, MB."""
    largest = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return largest / (1e6 if sys.platform == "darwin" else 1e3)


def show(what: str, seconds: float) -> None:
    print(f"{what:44s} {seconds:7.3f} s of processor time, memory up to {megabytes():6.0f} MB")


def timed(what: str, call: Callable[[], object]) -> None:
    start = time.process_time()
    call()
    show(what, time.process_time() - start)


def main() -> None:
    """Start the application in this process and ask it."""
    from litestar.testing import TestClient  # noqa: PLC0415 - loading is part of what is measured

    from api.application import create_app  # noqa: PLC0415 - loading is part of what is measured
    from api.settings import Settings  # noqa: PLC0415 - loading is part of what is measured

    show("modules loaded", time.process_time() - START)
    made: list[Any] = []
    timed("application made", lambda: made.append(create_app()))
    sites = Settings().remembered_sites
    with TestClient(made[0]) as client:

        def ask(latitude: float) -> None:
            site = {"latitude": latitude, "longitude": -77.0}
            client.post("/v1/suitabilities", json={"site": site}).raise_for_status()

        def ask_many(count: int) -> None:
            for step in range(count):
                ask(40.0 + step / 100)

        timed("first readiness", lambda: client.get("/readyz").raise_for_status())
        timed("first new site", lambda: ask(42.0))
        timed("second new site", lambda: ask(42.1))
        timed("the same again", lambda: ask(42.1))
        timed(f"{sites} new sites more", lambda: ask_many(sites))


if __name__ == "__main__":
    main()
