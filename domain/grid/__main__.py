"""Answer a table of sites: ``python -m domain.grid SITES.parquet FOLDER``; see api/OPERATION.md."""

import argparse
import logging
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import dask.config
from distributed import Client, LocalCluster

from domain.common.faults import ContentFaults
from domain.grid.folder import OtherSurveyError
from domain.grid.part import OtherVersionsError, survey
from domain.grid.run import Progress, TableRefusedError, run
from domain.site_climate.site import MOST_WARMING_C

PART_ROWS = 50
MEMORY = "1GiB"
REFUSED = 2
MALLOC = ("MALLOC_TRIM_THRESHOLD_", "MALLOC_MMAP_THRESHOLD_")
HELD_BYTES = 64 * 2**20
"""Freed memory that a worker may hold. The engine sets 64 KiB: every array goes back at once, a site costs twice."""


def main(arguments: list[str] | None = None) -> int:
    """Run the command; the exit code is 2 where it is refused."""
    asked = _arguments().parse_args(arguments)
    try:
        question = survey(asked.cultivars, asked.warmer_by_c, None, asked.no_spray)
        with engine(asked.scheduler, asked.workers, asked.memory) as client:
            told = Telling()
            done = run(asked.table, asked.folder, client, question, part_rows=asked.part_rows, tell=told)
    except (ContentFaults, OtherSurveyError, OtherVersionsError, TableRefusedError, OSError) as refused:
        print(refused, file=sys.stderr)
        return REFUSED
    print(f"{done.done_rows:,} rows answered in {asked.folder}, {done.answered_rows:,} of them by this run")
    if done.answered_rows:
        each = done.cpu_s / done.answered_rows
        print(f"{done.faulty_rows:,} of these hold no site: their faults stand in the column `faults` of sites/")
        print(f"{each:.2f} s of processor time each, which is {each / 0.0036:,.0f} core hours for a million")
    return 0


@contextmanager
def engine(scheduler: str | None, workers: int, memory: str) -> Iterator[Client]:
    """The engine of a run: that at an address, or processes of this machine, which end with it."""
    if scheduler is not None:
        with Client(scheduler) as client:
            yield client
        return
    dask.config.set({f"distributed.nanny.pre-spawn-environ.{name}": HELD_BYTES for name in MALLOC})
    dask.config.set({"distributed.worker.profile.enabled": False})  # it keeps the stacks it saw: 0.2 MiB a site
    cluster = LocalCluster(
        n_workers=workers,
        threads_per_worker=1,  # a site is one thread's work, and its memory is a process's
        processes=True,
        memory_limit=memory,
        dashboard_address="127.0.0.1:0",
        silence_logs=logging.ERROR,
    )
    with cluster, Client(cluster) as client:
        yield client


class Telling:
    """Progress on the error output: one line a part, rewritten where a person looks on."""

    def __init__(self) -> None:
        self._began = time.monotonic()
        self._end = "\r" if sys.stderr.isatty() else "\n"

    def __call__(self, progress: Progress) -> None:
        """Tell how far the run has come."""
        passed = max(time.monotonic() - self._began, 1e-9)
        mine = max(progress.done_parts - progress.found_parts, 0)
        left = progress.parts - progress.done_parts
        minutes = f"{left * passed / mine / 60.0:.0f} min left" if mine else "begun"
        line = (
            f"{progress.done_parts:,} of {progress.parts:,} parts ({progress.found_parts:,} were there), "
            f"{progress.done_rows:,} of {progress.rows:,} rows, {progress.faulty_rows:,} with faults, "
            f"{minutes}, largest worker {progress.largest_mib:.0f} MiB"
        )
        print(line, end=self._end, file=sys.stderr, flush=True)


def _arguments() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m domain.grid", description="Answer a table of sites in numbers.")
    parser.add_argument("table", type=Path, help="Parquet: id, and the fields of `site` as columns")
    parser.add_argument("folder", type=Path, help="where the answers go; a run that was cut off goes on from there")
    parser.add_argument("--workers", type=int, default=2, help="processes of this machine (2)")
    parser.add_argument("--scheduler", help="address of an engine that runs already, such as tcp://host:8786")
    parser.add_argument("--memory", default=MEMORY, help=f"most memory of a process of this machine ({MEMORY})")
    parser.add_argument("--cultivars", nargs="+", metavar="NAME", help="all advised ones if left out")
    parser.add_argument(
        "--warmer-by-c", nargs="+", type=_warming, default=[0.0], metavar="C", help="climates, such as 0 2"
    )
    parser.add_argument("--no-spray", action="store_true", help="judge trees that nobody sprays")
    parser.add_argument("--part-rows", type=int, default=PART_ROWS, help=f"rows of a part ({PART_ROWS})")
    return parser


def _warming(text: str) -> float:
    by_c = float(text)
    if not 0.0 <= by_c <= MOST_WARMING_C:
        raise argparse.ArgumentTypeError(f"expected 0 to {MOST_WARMING_C:g} C")
    return by_c


if __name__ == "__main__":
    sys.exit(main())
