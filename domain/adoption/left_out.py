"""Whether spreads are honest: each document left out in turn, how much of what it says lies in the stated range.

``python -m domain.adoption.left_out`` prints, for every adopted number and kind of source with enough values, the share
that lies within the stated 80 per cent range of what the other documents give: the middle plus and minus 1.28 times the
root of the squares of the adopted deviation and of the error that the reading itself is given. About 80 of 100 should.
Kinds of source are those of ``sources.csv``; shops, growers, the press and encyclopedias are one kind, weak voices.
Bloom and ripening have a check of their own, list by list (`timing_report`).
"""

import argparse
import csv
import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from domain.adoption import chill_needs, fruit_traits, growth, hardiness, storage_life, tolerances
from domain.adoption.reading import READING, shared_errors, table
from domain.adoption.steps import Evidence, evidence_of, groups_of, ripening_days
from domain.adoption.voices import SpreadFactor, forget_factors, kinds
from domain.adoption.weighing import FROM_MEMORY, Bound, Read, Reading, by_cultivar
from domain.tables.cultivars import Estimate
from domain.tables.loading import Tables, load
from domain.tables.observations import Observation

EIGHTY_PERCENT = 1.2816
ENOUGH = 100
"""Values from which on a trait and kind of source is judged, and its factor fitted."""
LEAST, MOST = 0.76, 0.845
"""Shares within which a factor stays as it is."""
ROUNDS = 7
FITTED = "so that about 80 of 100 values left out by document lie within the stated 80 per cent range"


class Met(NamedTuple):
    """One value of a document beside what the others give: `off` in stated standard deviations."""

    trait: str
    kind: str
    source_id: str
    cultivar_id: str
    off: float


def met(tables: Tables) -> Iterator[Met]:
    """Every value of every document that other documents speak of too."""
    evidence = evidence_of(tables)
    kind = kinds()
    for trait, cultivar_id, source_id, value, error, others in each_left_out(evidence):
        if source_id != FROM_MEMORY:
            off = (value - others.value) / math.hypot(error, others.deviation)
            yield Met(trait, kind[source_id], source_id, cultivar_id, off)


Left = tuple[str, str, str, float, float, Estimate]
"""Trait, cultivar, source, value and error of the reading, and what the other documents give."""


def each_left_out(evidence: Evidence) -> Iterator[Left]:
    """Every reading of a number beside what the other documents of the evidence give."""
    yield from _read(growth.readings(evidence.all), growth.weighed_mean)
    stored = storage_life.storage_readings(evidence.all, ripening_days(evidence))
    yield from _read(stored, lambda _, read: storage_life.keeping(read))
    yield from _read(fruit_traits.weight_readings(evidence.all), lambda _, read: fruit_traits.weight(read))
    yield from _rated(evidence.all)
    groups = groups_of(evidence)
    yield from _settled(evidence.all, groups, HARDINESS)
    yield from _settled(evidence.all, groups, CHILL)


def _read(
    told: Mapping[tuple[str, str], Sequence[Read]], weighed: Callable[[str, Sequence[Read]], Estimate]
) -> Iterator[Left]:
    for (cultivar_id, trait), read in told.items():
        for value, error, one in read:
            others = [other for other in read if other[2] is not one]
            if others:
                yield trait, cultivar_id, one.source_id, value, error, weighed(trait, others)


def _rated(observations: Sequence[Observation]) -> Iterator[Left]:
    traits, carriers = tolerances.adopted_traits(), tolerances.carriers_of(observations)
    for case, rated in tolerances.ratings(observations).items():
        for source_id in sorted({one.source_id for one in rated}):
            rest = [one for one in rated if one.source_id != source_id]
            known = carriers if case == tolerances.SCAB else frozenset()
            others = tolerances.susceptibilities(rest, known) if rest else {}
            for one in rated:
                if one.source_id == source_id and one.cultivar_id in others:
                    found = others[one.cultivar_id]
                    yield traits[case], one.cultivar_id, source_id, one.value, one.error, found


class _Settled(NamedTuple):
    """A trait that is settled with a prior: its name, the traits it is read from, and the two functions of its room."""

    trait: str
    read: frozenset[str]
    signs: Callable[[Observation], Reading | Bound | None]
    adopt: Callable[[Iterable[Observation], Mapping[str, str]], Mapping[tuple[str, str], Estimate]]


HARDINESS = _Settled(hardiness.TRAIT, hardiness.TRAITS, hardiness.signs, hardiness.adopt)
CHILL = _Settled(chill_needs.TRAIT, chill_needs.TRAITS, chill_needs.signs, chill_needs.adopt)


def _settled(observations: Iterable[Observation], groups: Mapping[str, str], of: _Settled) -> Iterator[Left]:
    shared = shared_errors(of.trait)
    for cultivar_id, told in by_cultivar(observations, of.read).items():
        if cultivar_id not in groups:
            continue
        for source_id in sorted({one.source_id for one in told}):
            found = [sign for o in told if o.source_id == source_id and isinstance(sign := of.signs(o), Reading)]
            rest = [one for one in told if one.source_id != source_id]
            if not found or not any(of.signs(one) for one in rest):
                continue
            value = sum(sign.value for sign in found) / len(found)
            error = sum(math.hypot(sign.error, shared[sign.kind]) for sign in found) / len(found)
            others = of.adopt(rest, {cultivar_id: groups[cultivar_id]})[cultivar_id, of.trait]
            yield of.trait, cultivar_id, source_id, value, error, others


def shares(found: Iterable[Met]) -> dict[tuple[str, str], tuple[int, float, float]]:
    """(trait, kind of source) -> values, share within the stated range, factor on spreads that would make it 0.8."""
    off: defaultdict[tuple[str, str], list[float]] = defaultdict(list)
    for one in found:
        off[one.trait, one.kind].append(abs(one.off))
    return {
        key: (len(values), sum(z <= EIGHTY_PERCENT for z in values) / len(values), _eightieth(values) / EIGHTY_PERCENT)
        for key, values in sorted(off.items())
    }


def _eightieth(values: Sequence[float]) -> float:
    return sorted(values)[min(len(values) - 1, int(0.8 * len(values)))]


def fit() -> None:
    """Set the factors of ``spread_factors.csv`` so that four of five values lie within, from what stands."""
    tables = load()
    for _ in range(ROUNDS):
        standing = {(o.trait, o.kind): o.factor for o in table("spread_factors", SpreadFactor, ("trait", "kind"))}
        found = {key: told for key, told in shares(met(tables)).items() if told[0] >= ENOUGH}
        with (READING / "spread_factors.csv").open("w", encoding="utf-8", newline="") as lines:
            writer = csv.writer(lines, lineterminator="\n")
            writer.writerow(("trait", "kind", "factor", "values", "basis", "sources", "note"))
            for (trait, kind), (count, share, factor) in found.items():
                old = standing.get((trait, kind), 1.0)
                new = old if LEAST <= share <= MOST else old * math.sqrt(factor)
                writer.writerow((trait, kind, f"{new:.2f}", count, "fitted", "", FITTED))
        forget_factors()


def main() -> None:
    """Print the table, or fit the factors first."""
    parser = argparse.ArgumentParser(prog="python -m domain.adoption.left_out", description=__doc__)
    parser.add_argument("--fit", action="store_true", help="set the factors of spread_factors.csv anew")
    if parser.parse_args().fit:
        fit()
    print(f"{'trait':34}{'kind of source':16}{'values':>7}{'within':>8}{'factor':>8}")
    for (trait, kind), (count, share, factor) in shares(met(load())).items():
        few = "" if count >= ENOUGH else "   (too few to judge)"
        print(f"{trait:34}{kind:16}{count:7}{share:8.2f}{factor:8.2f}{few}")


if __name__ == "__main__":
    main()
