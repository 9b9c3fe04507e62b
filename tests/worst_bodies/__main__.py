"""`python -m tests.worst_bodies`: the dearest accepted request of every address, found by a directed search.

The search starts from the dear bodies found by hand (the first values of all genes, and those named beside them) and
from random ones, and goes on from the dearest, changing one or two genes at a time. Equal seeds ask the same as long as
the costs order the same. The dearest of each address are then measured again, each in a process of its own, since the
memory that a process holds already hides what a request needs. Exit status 1 where one passes the ceiling, where one
fails, or where nothing of an address is answered.
"""

import argparse
import json
import os
import random
import subprocess
import sys
from dataclasses import dataclass, field
from statistics import median
from typing import Any

from tests.worst_bodies.addresses import ADDRESSES, JSON, Address, first
from tests.worst_bodies.measuring import Cost, Meter

MOST_UNITS = 200.0
MOST_MB = 150.0
BEST_KEPT = 4
MEASURED_AGAIN = 2

Genes = dict[str, Any]


def main() -> None:
    """Search, measure again, print a line for each address."""
    parser = argparse.ArgumentParser(prog="python -m tests.worst_bodies", description=__doc__.split("\n", 1)[0])
    parser.add_argument("--seed", type=int, default=14)
    parser.add_argument("--tries", type=int, default=60, help="requests of an address beside the known ones")
    parser.add_argument("--skip", type=int, default=0, help="known ones left out, of a search done in parts")
    parser.add_argument(
        "--again", type=int, default=3, help="measurements of each of the dearest, the middle one counts"
    )
    parser.add_argument("--only", help="a part of the address")
    parser.add_argument("--one", help=argparse.SUPPRESS)
    told = parser.parse_args()
    if told.one:
        return print(json.dumps(measured_alone(json.loads(told.one))))
    chosen = [address for address in ADDRESSES if told.only is None or told.only in address.path]
    if not chosen:
        parser.error(f"no address has “{told.only}” in it")
    wrong = False
    with Meter() as meter:
        print(f"a unit of work: {1000 * meter.unit_s:.1f} ms")
        for address in chosen:
            found = search(meter, address, told.tries, told.seed, told.skip)
            print(f"{address.path}: {len(found.answered)} answered, {found.refused} refused", flush=True)
            wrong |= bool(found.failed) or not found.answered
            wrong |= report(address, found.answered, told.again)
    sys.exit(1 if wrong else 0)


@dataclass
class Found:
    """What was answered, the dearest first, how many were refused, and the genes of what failed."""

    answered: list[tuple[Cost, Genes]] = field(default_factory=list)
    refused: int = 0
    failed: list[Genes] = field(default_factory=list)


def search(meter: Meter, address: Address, tries: int, seed: int, skip: int = 0) -> Found:
    """Ask the known bodies, then others made of the dearest."""
    rng = random.Random(f"{seed} {address.path}")
    found = Found()
    asked: set[str] = set()
    known = [first(address, {}), *(first(address, genes) for genes in address.known)][skip:]
    for turn in range(len(known) + tries):
        genes = known[turn] if turn < len(known) else next_genes(rng, address, found.answered)
        mark = json.dumps(genes, sort_keys=True)
        if mark in asked:
            continue
        asked.add(mark)
        cost = meter.cost(address.path, address.body(genes), form(genes))
        print(f"  {cost.status} {cost.units:.1f} units, {cost.memory_mb:.0f} MB: {changed(address, genes)}", flush=True)
        if cost.status == 200:
            found.answered.append((cost, genes))
            found.answered.sort(key=lambda one: -worst_share(one[0]))
        elif cost.status >= 500:
            print(f"{address.path} failed with {cost.status}: {mark}")
            found.failed.append(genes)
        else:
            found.refused += 1
    return found


def changed(address: Address, genes: Genes) -> str:
    """The genes that differ from the first value of each."""
    return json.dumps({name: value for name, value in genes.items() if value != address.genes[name][0]})


def form(genes: Genes) -> str:
    """The form in which the answer is asked for."""
    named: str = genes.get("form", JSON)
    return named


def worst_share(cost: Cost) -> float:
    """How much of the ceiling of work or memory is used, whichever is more."""
    return max(cost.units / MOST_UNITS, cost.memory_mb / MOST_MB)


def next_genes(rng: random.Random, address: Address, answered: list[tuple[Cost, Genes]]) -> Genes:
    """One of five at random; else one of the dearest with one or two genes changed."""
    if not answered or rng.random() < 0.2:
        return {name: rng.choice(values) for name, values in address.genes.items()}
    made = dict(rng.choice(answered[:BEST_KEPT])[1])
    for name in rng.sample(sorted(address.genes), rng.choice([1, 1, 2, 3])):
        made[name] = rng.choice(address.genes[name])
    return made


def report(address: Address, found: list[tuple[Cost, Genes]], times: int) -> bool:
    """Measure the dearest again and print them; True where one passes the ceiling."""
    over = False
    by_work = sorted(found, key=lambda one: -one[0].units)[:MEASURED_AGAIN]
    by_memory = sorted(found, key=lambda one: -one[0].memory_mb)[:1]
    for cost, genes in [*by_work, *(one for one in by_memory if one not in by_work)]:
        again = [alone(address, genes) for _ in range(times)]
        units, memory = median(one["units"] for one in again), median(one["memory_mb"] for one in again)
        passed = units > MOST_UNITS or memory > MOST_MB
        over |= passed
        print(
            f"  {'OVER ' if passed else ''}{units:6.1f} units ({cost.units:.1f} in the search), {memory:5.0f} MB "
            f"({cost.memory_mb:.0f}): {changed(address, genes)}",
            flush=True,
        )
    return over


def alone(address: Address, genes: Genes) -> dict[str, float]:
    """The cost of a body in a process of its own."""
    told = json.dumps({"path": address.path, "genes": genes})
    command = [sys.executable, "-m", "tests.worst_bodies", "--one", told]
    done = subprocess.run(command, capture_output=True, text=True, check=True, env=dict(os.environ))
    found: dict[str, float] = json.loads(done.stdout)
    return found


def measured_alone(told: dict[str, Any]) -> dict[str, float]:
    """The cost of a body in this process, after the unit was measured in it."""
    address = next(one for one in ADDRESSES if one.path == told["path"])
    with Meter() as meter:
        cost = meter.cost(address.path, address.body(told["genes"]), form(told["genes"]))
    return {"units": cost.units, "memory_mb": cost.memory_mb}


if __name__ == "__main__":
    main()
