"""Kin among cultivars, by printed pedigrees: parent and child, full and half siblings; and who is known as partners.

What follows for pollen where genotypes are unknown is Mendel's law on the S locus: a child has one allele of each
parent, so parent and child share one for sure, full siblings both in one case of four and none in one, half siblings
one in one case of two. Where several texts name two cultivars as partners, that they fit is known better than by
their kinship; it counts for diploids, since pollen of another ploidy fits one way only.
"""

import re
from collections.abc import Mapping, Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from domain.tables.cultivars import Cultivar
from reference_tables.spelling import fold

Kin = Literal["unrelated", "parent_and_child", "full_siblings", "half_siblings", "named_partners"]
KIN: tuple[Kin, ...] = ("unrelated", "parent_and_child", "full_siblings", "half_siblings", "named_partners")
UNRELATED, PARENT_AND_CHILD, FULL_SIBLINGS, HALF_SIBLINGS, NAMED_PARTNERS = range(5)

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
    _of_partners(kin, cultivars)
    return kin


def _of_partners(kin: NDArray[np.int8], cultivars: Sequence[Cultivar]) -> None:
    """Mark in place those whom texts name as partners, both of them diploid as far as is known."""
    row = {cultivar.id: n for n, cultivar in enumerate(cultivars)}
    diploid = [ploidy is None or ploidy.value == "2" for ploidy in (one.findings.get("ploidy") for one in cultivars)]
    for n, cultivar in enumerate(cultivars):
        named = cultivar.findings.get("named_partners")
        for other in named.value.split() if named else ():
            m = row.get(other)
            if m is not None and diploid[n] and diploid[m]:
                kin[n, m] = NAMED_PARTNERS
