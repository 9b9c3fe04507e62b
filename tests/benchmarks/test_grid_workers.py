"""Two workers of the grid do nearly twice what one does, and the engine costs little beside the sites.

On the wall, since that is what more workers are for; where other work holds the processors the first check says so and
is left out. The second counts processor time, which holds on a busy machine too. Figures are printed (``pytest -s``).
"""

import os
import time
from pathlib import Path
from statistics import median
from typing import Any

import pytest
from distributed import Client

from domain.grid.__main__ import MEMORY, engine
from domain.grid.run import Progress
from tests.domain.grid.surveys import FEW, answer
from tests.domain.many_sites.tables_of_sites import write

pytestmark = pytest.mark.benchmark

SITES = [{"id": f"{n}", "latitude": 46.0 + 0.25 * n, "longitude": 14.0 + 0.3 * n} for n in range(24)]
ROUNDS = 3
FREE = 0.25
"""Most load of each processor at which the wall tells anything."""


def seconds(client: Client, table: Path, folder: Path) -> tuple[float, Progress]:
    """Seconds on the wall of a run, and what it said."""
    began = time.perf_counter()
    done = answer(table, folder, client, cultivars=FEW, part_rows=1)
    return time.perf_counter() - began, done


def warm(client: Client, table: Path, folder: Path) -> None:
    """Have every worker read its tables."""
    answer(table, folder, client, cultivars=FEW, part_rows=1)


def busy() -> bool:
    return os.getloadavg()[0] > FREE * (os.cpu_count() or 1)


@pytest.mark.skipif(busy(), reason="other work holds the processors: the wall would tell of that")
@pytest.mark.skipif((os.cpu_count() or 1) < 3, reason="two workers and the engine need a processor each to tell")
def test_two_workers_do_nearly_twice_what_one_does(tmp_path: Path) -> None:
    table = write(tmp_path / "sites.parquet", SITES)
    times: dict[int, list[float]] = {1: [], 2: []}
    with engine(None, 1, MEMORY) as one, engine(None, 2, MEMORY) as two:
        for count, client in ((1, one), (2, two)):
            warm(client, table, tmp_path / f"warm {count}")
        for n in range(ROUNDS):
            for count, client in ((1, one), (2, two)):
                times[count].append(seconds(client, table, tmp_path / f"{count} {n}")[0])
    found = median(times[1]) / median(times[2])
    print(
        f"two workers {found:.2f} times one: {median(times[1]):.1f} and {median(times[2]):.1f} s of {len(SITES)} sites"
    )
    assert found >= 1.8


def test_the_engine_costs_little_beside_the_sites(tmp_path: Path) -> None:
    """Processor time of this process, which sends, gathers and writes, against that of the workers."""
    table = write(tmp_path / "sites.parquet", SITES)
    with engine(None, 2, MEMORY) as client:
        warm(client, table, tmp_path / "warm")
        before: Any = time.process_time()
        _, done = seconds(client, table, tmp_path / "told")
        mine = time.process_time() - before
    print(f"the engine: {mine / done.cpu_s:.3f} of the workers' {done.cpu_s:.1f} s, a part a site")
    assert mine < 0.1 * done.cpu_s
