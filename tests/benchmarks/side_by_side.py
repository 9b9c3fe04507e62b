"""What whole requests cost here and in another checkout, in one run: `python -m tests.benchmarks.side_by_side`.

Each checkout answers in a process of its own; the rounds alternate, so that a busy moment meets both, and processor
time of the whole process is counted, in units of work: the sine of the hours of 200 years, timed in the same round.
``--keep`` puts the medians, with the quarters about them, into ``costs.csv`` by commit and processor.
"""

import argparse
import csv
import json
import os
import platform
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import IO, NamedTuple

import numpy as np

from tests.benchmarks.whole_requests import CASES

HERE = Path(__file__).parents[2]
COSTS = Path(__file__).with_name("costs.csv")
COLUMNS = ("commit", "processor", "wide_vectors", "case", "sines", "low", "high", "rounds")


class Cost(NamedTuple):
    """Middle and quarters of the rounds, in sines."""

    middle: float
    low: float
    high: float

    @classmethod
    def of(cls, rounds: list[float]) -> "Cost":
        low, middle, high = np.quantile(rounds, [0.25, 0.5, 0.75]).tolist()
        return cls(middle, low, high)

    def __str__(self) -> str:
        return f"{self.middle:6.2f} ({self.low:.2f} to {self.high:.2f})"


class Asked:
    """The application of a checkout in a process of its own."""

    def __init__(self, checkout: Path, *, narrow: bool) -> None:
        more = {"PYTHONPATH": str(checkout), "OPENBLAS_NUM_THREADS": "1", "PYTHONHASHSEED": "0"}
        if narrow:
            more["NPY_DISABLE_CPU_FEATURES"] = " ".join(wide())
        worker = Path(__file__).with_name("whole_requests.py")
        self._process = subprocess.Popen(
            [sys.executable, "-P", str(worker)],
            cwd=checkout,
            env=os.environ | more,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        self.start = json.loads(self._read())

    def seconds(self, case: str) -> float:
        """Processor seconds of asking a case once."""
        into: IO[str] | None = self._process.stdin
        if into is None:
            raise RuntimeError("the process takes no cases")
        into.write(case + "\n")
        into.flush()
        return float(self._read())

    def _read(self) -> str:
        line = self._process.stdout.readline() if self._process.stdout else ""
        if not line:
            raise SystemExit("the asked process ended: its message stands above")
        return line

    def close(self) -> None:
        if self._process.stdin:
            self._process.stdin.close()
        self._process.wait()


def wide() -> list[str]:
    """The features of 512 bits that the numeric library uses here."""
    found = np.show_config(mode="dicts")["SIMD Extensions"]["found"]
    return [name for name in found if "AVX512" in name or name == "X86_V4"]


def measured(asked: list[Asked], cases: list[str], rounds: int) -> Iterator[tuple[str, list[Cost]]]:
    """The cost of each case in each process, in turn; each is asked once before."""
    for case in cases:
        spent: list[list[float]] = [[] for _ in asked]
        for one in asked:
            one.seconds(case)
        for _ in range(rounds):
            sines = [one.seconds("sine") for one in asked]
            for one, rounds_of_it in zip(asked, spent, strict=True):
                rounds_of_it.append(one.seconds(case) / (sum(sines) / len(sines)))
        costs = [Cost.of(rounds_of_it) for rounds_of_it in spent]
        print(f"{case:40s}", *costs, flush=True)
        if len(asked) == 2:
            print(f"{'':40s} the first is {costs[0].middle / costs[1].middle:.2f} of the second", flush=True)
        yield case, costs


def processor() -> str:
    """Name of the processor, as it tells it itself."""
    told = Path("/proc/cpuinfo")
    lines = told.read_text(encoding="utf-8").splitlines() if told.exists() else []
    names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.processor() or platform.machine()


def commit_of(checkout: Path) -> str:
    """Short name of the commit of a checkout, with a plus where files differ from it."""

    def git(*words: str) -> str:
        return subprocess.run(["git", *words], cwd=checkout, capture_output=True, text=True, check=True).stdout.strip()

    changed = [line for line in git("status", "--porcelain").splitlines() if not line.endswith(COSTS.name)]
    return git("rev-parse", "--short=8", "HEAD") + ("+" if changed else "")


def keep(commit: str, case: str, cost: Cost, rounds: int, *, narrow: bool) -> None:
    """Put what a case costs at a commit on this processor into the table, in place of what it had."""
    own = (commit, processor(), "no" if narrow or not wide() else "yes")
    rows: dict[tuple[str, ...], dict[str, str]] = {}
    if COSTS.exists():
        with COSTS.open(encoding="utf-8", newline="") as file:
            rows = {tuple(row[column] for column in COLUMNS[:4]): row for row in csv.DictReader(file)}
    figures = (f"{cost.middle:.2f}", f"{cost.low:.2f}", f"{cost.high:.2f}", str(rounds))
    rows[*own, case] = dict(zip(COLUMNS, (*own, case, *figures), strict=True))
    with COSTS.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows.values())


def main() -> None:
    """Measure this checkout, and another beside it where one is named."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.side_by_side", description=__doc__)
    parser.add_argument("--against", type=Path, help="another checkout of the program")
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--narrow", action="store_true", help="without vectors of 512 bits")
    parser.add_argument("--keep", action="store_true", help="write the medians into costs.csv")
    parser.add_argument("cases", nargs="*", help="all if none is named; a part of a name is enough")
    arguments = parser.parse_args()
    cases = [case for case in CASES if not arguments.cases or any(part in case for part in arguments.cases)]
    checkouts = [HERE] if arguments.against is None else [HERE, arguments.against.resolve()]
    asked = [Asked(checkout, narrow=arguments.narrow) for checkout in checkouts]
    wide_vectors = "without" if arguments.narrow or not wide() else "with"
    print(f"{processor()}, {wide_vectors} vectors of 512 bits; sines of the hours of 200 years, median (quarters)")
    commits = [commit_of(checkout) for checkout in checkouts]
    for one, commit in zip(asked, commits, strict=True):
        loaded, ready = one.start["loaded"], one.start["ready"]
        print(f"{commit}: libraries loaded {loaded:.2f} s, ready {ready:.2f} s of processor time")
    try:
        for case, costs in measured(asked, cases, arguments.rounds):
            for commit, cost in zip(commits, costs, strict=True) if arguments.keep else ():
                keep(commit, case, cost, arguments.rounds, narrow=arguments.narrow)
    finally:
        for one in asked:
            one.close()


if __name__ == "__main__":
    main()
