"""Whether spreads are honest: each document left out in turn, how much of what it says lies in the stated range.

``python -m domain.adoption.left_out`` prints, for every adopted number and kind of source with enough values, the share
that lies within the stated 80 per cent range of what the other documents give: the middle plus and minus 1.28 times the
root of the squares of the adopted deviation and of the error that the reading itself is given. About 80 of 100 should.
Kinds of source are those of ``sources.csv``; shops, growers, the press and encyclopedias are one kind, weak voices.
Bloom and ripening have a check of their own, list by list (`timing_report`).
"""

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from domain.adoption import chill_needs, fruit_traits, growth, hardiness, tolerances
from domain.adoption.reading import shared_errors
from domain.adoption.steps import Evidence, _groups, evidence_of
from domain.adoption.voices import weak_voices
from domain.adoption.weighing import FROM_MEMORY, Bound, Read, Reading, by_cultivar
from domain.tables.cultivars import Estimate
from domain.tables.loading import Tables, load
from domain.tables.observations import Observation

EIGHTY_PERCENT = 1.2816
ENOUGH = 100
WEAK = "weak voice"


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
    kinds = {
        source_id: WEAK if source_id in weak_voices() else source.kind for source_id, source in tables.sources.items()
    }
    for trait, cultivar_id, source_id, value, error, others in _left_out(evidence):
        if source_id != FROM_MEMORY:
            off = (value - others.value) / math.hypot(error, others.deviation)
            yield Met(trait, kinds[source_id], source_id, cultivar_id, off)


Left = tuple[str, str, str, float, float, Estimate]
"""Trait, cultivar, source, value and error of the reading, and what the other documents give."""


def _left_out(evidence: Evidence) -> Iterator[Left]:
    yield from _read(growth.readings(evidence.all), lambda trait, read: growth.weighed_mean(trait, read))
    yield from _read(fruit_traits.storage_readings(evidence.all), lambda _, read: fruit_traits.keeping(read))
    yield from _read(fruit_traits.weight_readings(evidence.all), lambda _, read: fruit_traits.weight(read))
    yield from _rated(evidence.all)
    groups = _groups(evidence)
    yield from _settled(evidence.all, groups, hardiness.TRAIT, hardiness.TRAITS, hardiness.signs, hardiness.adopt)
    yield from _settled(evidence.all, groups, chill_needs.TRAIT, chill_needs.TRAITS, chill_needs.signs, chill_needs.adopt)


def _read(
    told: Mapping[tuple[str, str], Sequence[Read]], weighed: Callable[[str, Sequence[Read]], Estimate]
) -> Iterator[Left]:
    for (cultivar_id, trait), read in told.items():
        for value, error, one in read:
            others = [other for other in read if other[2] is not one]
            if others:
                yield trait, cultivar_id, one.source_id, value, error, weighed(trait, others)


def _rated(observations: Sequence[Observation]) -> Iterator[Left]:
    traits = tolerances.adopted_traits()
    for case, rated in tolerances.ratings(observations).items():
        for source_id in sorted({one.source_id for one in rated}):
            rest = [one for one in rated if one.source_id != source_id]
            others = tolerances.susceptibilities(rest) if rest else {}
            for one in rated:
                if one.source_id == source_id and one.cultivar_id in others:
                    found = others[one.cultivar_id]
                    yield traits[case], one.cultivar_id, source_id, one.value, one.error, found


def _settled(
    observations: Iterable[Observation],
    groups: Mapping[str, str],
    trait: str,
    read: frozenset[str],
    signs: Callable[[Observation], Reading | Bound | None],
    adopt: Callable[[Iterable[Observation], Mapping[str, str]], Mapping[tuple[str, str], Estimate]],
) -> Iterator[Left]:
    shared = shared_errors(trait)
    for cultivar_id, told in by_cultivar(observations, read).items():
        if cultivar_id not in groups:
            continue
        for source_id in sorted({one.source_id for one in told}):
            found = [sign for one in told if one.source_id == source_id and isinstance(sign := signs(one), Reading)]
            rest = [one for one in told if one.source_id != source_id]
            if not found or not any(signs(one) for one in rest):
                continue
            value = sum(sign.value for sign in found) / len(found)
            error = sum(math.hypot(sign.error, shared[sign.kind]) for sign in found) / len(found)
            others = adopt(rest, {cultivar_id: groups[cultivar_id]})[cultivar_id, trait]
            yield trait, cultivar_id, source_id, value, error, others


def shares(found: Iterable[Met]) -> dict[tuple[str, str], tuple[int, float, float]]:
    """(trait, kind of source) -> values, share within the stated range, factor on all spreads that would make it 0.8."""
    off: defaultdict[tuple[str, str], list[float]] = defaultdict(list)
    for one in found:
        off[one.trait, one.kind].append(abs(one.off))
    return {
        key: (len(values), sum(z <= EIGHTY_PERCENT for z in values) / len(values), _eightieth(values) / EIGHTY_PERCENT)
        for key, values in sorted(off.items())
    }


def _eightieth(values: Sequence[float]) -> float:
    return sorted(values)[min(len(values) - 1, int(0.8 * len(values)))]


def main() -> None:
    """Print the table."""
    print(f"{'trait':34}{'kind of source':16}{'values':>7}{'within':>8}{'factor':>8}")
    for (trait, kind), (count, share, factor) in shares(met(load())).items():
        few = "" if count >= ENOUGH else "   (too few to judge)"
        print(f"{trait:34}{kind:16}{count:7}{share:8.2f}{factor:8.2f}{few}")


if __name__ == "__main__":
    main()
