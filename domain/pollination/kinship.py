"""Kin among cultivars, by printed pedigrees: parent and child, full and half siblings.

What follows for pollen where genotypes are unknown is Mendel's law on the S locus: a child has one allele of each
parent, so parent and child share one for sure, full siblings both in one case of four and none in one, half siblings
one in one case of two.
"""

import re
from collections.abc import Mapping, Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from domain.tables.cultivars import Cultivar
from reference_tables.spelling import fold

Kin = Literal["unrelated", "parent_and_child", "full_siblings", "half_siblings"]
KIN: tuple[Kin, ...] = ("unrelated", "parent_and_child", "full_siblings", "half_siblings")
UNRELATED, PARENT_AND_CHILD, FULL_SIBLINGS, HALF_SIBLINGS = range(4)

_CROSS = re.compile(r"\s+[x×X]\s+")
_NO_NAME = frozenset({"unknown", "open pollinated", "op", "seedling", ""})


def printed_parents(cultivar: Cultivar) -> tuple[str, ...]:
    """Names of the parents as printed, those unknown left out; none where no text gives a pedigree."""
    finding = cultivar.findings.get("parentage")
    if finding is None:
        return ()
    names = (name.strip() for name in _CROSS.split(finding.value))
    return tuple(name for name in names if fold(name) not in _NO_NAME)


def kin_of(
    cultivars: Sequence[Cultivar], by_id: Mapping[str, Cultivar], group: NDArray[np.int64], roots: Sequence[str]
) -> NDArray[np.int8]:
    """Kin (cultivars, cultivars) of each pair, an index of KIN. group, roots: sport group and its original."""
    named: dict[str, int] = {}
    for cultivar, number, root in zip(cultivars, group.tolist(), roots, strict=True):
        for one in (cultivar, by_id.get(root, cultivar)):
            for name in (one.name, *(alias.name for alias in one.aliases)):
                named.setdefault(fold(name), number)
    parents = [
        frozenset(named.get(fold(name), fold(name)) for name in printed_parents(by_id.get(root, cultivar)))
        for cultivar, root in zip(cultivars, roots, strict=True)
    ]
    kin = np.zeros((len(cultivars), len(cultivars)), dtype=np.int8)
    told = [n for n, names in enumerate(parents) if names]
    groups = group.tolist()
    for place, n in enumerate(told):
        for m in told[:place]:
            shared = len(parents[n] & parents[m])
            if shared:
                kin[n, m] = kin[m, n] = FULL_SIBLINGS if shared == 2 else HALF_SIBLINGS
        for m, number in enumerate(groups):
            if number in parents[n]:
                kin[n, m] = kin[m, n] = PARENT_AND_CHILD
    return kin
