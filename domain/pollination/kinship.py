"""Kin among cultivars, by printed pedigrees: parent and child, full and half siblings; and who is known as partners.

What follows for pollen where genotypes are unknown is Mendel's law on the S locus: a child has one allele of each
parent, so parent and child share one for sure, full siblings both in one case of four and none in one, half siblings
one in one case of two. Where several texts name two cultivars as partners, that they fit is known better than by
their kinship; it counts for diploids, since pollen of another ploidy fits one way only.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from domain.tables.cultivars import Cultivar
from reference_tables.spelling import fold

Kin = Literal["unrelated", "parent_and_child", "full_siblings", "half_siblings", "named_partners"]
KIN: tuple[Kin, ...] = ("unrelated", "parent_and_child", "full_siblings", "half_siblings", "named_partners")
UNRELATED, PARENT_AND_CHILD, FULL_SIBLINGS, HALF_SIBLINGS, NAMED_PARTNERS = range(5)

REMEMBERED_CATALOGUES = 2
"""Catalogues whose names are kept looked up."""

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
    """Kin (cultivars, cultivars) of each pair, an index of KIN. group, roots: sport group and its original.

    by_id: the catalogue, whose names parents are known by, so that a pair is of the same kin in any company.
    """
    named = _originals(_Catalogue(by_id))
    numbers = dict(zip(roots, group.tolist(), strict=True))
    parents: list[frozenset[int | str]] = []
    for cultivar, root in zip(cultivars, roots, strict=True):
        names = [fold(name) for name in printed_parents(by_id.get(root, cultivar))]
        known = [named.get(name, name) for name in names]
        parents.append(frozenset(numbers.get(original, original) for original in known))
    kin = np.zeros((len(cultivars), len(cultivars)), dtype=np.int8)
    members: defaultdict[int | str, list[int]] = defaultdict(list)
    for n, number in enumerate(group.tolist()):
        members[number].append(n)
    children: defaultdict[int | str, list[int]] = defaultdict(list)
    for n, names_of in enumerate(parents):
        for m, shared in Counter(child for parent in names_of for child in children[parent]).items():
            kin[n, m] = kin[m, n] = FULL_SIBLINGS if shared == 2 else HALF_SIBLINGS
        for parent in names_of:
            for m in members.get(parent, ()):
                kin[n, m] = kin[m, n] = PARENT_AND_CHILD
            children[parent].append(n)
    _of_partners(kin, cultivars)
    return kin


@dataclass(frozen=True, eq=False)
class _Catalogue:
    """A catalogue, known by itself and not by what it holds."""

    by_id: Mapping[str, Cultivar]

    def __hash__(self) -> int:
        return id(self.by_id)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Catalogue) and self.by_id is other.by_id


@lru_cache(maxsize=REMEMBERED_CATALOGUES)
def _originals(catalogue: _Catalogue) -> Mapping[str, str]:
    """Folded name -> id of the cultivar that it names, or of the one that this is a sport of.

    A denomination goes before another name.
    """
    found: dict[str, str] = {}
    cultivars = [(cultivar, sport_group(cultivar, catalogue.by_id)) for cultivar in catalogue.by_id.values()]
    for cultivar, root in cultivars:
        found.setdefault(fold(cultivar.name), root)
    for cultivar, root in cultivars:
        for alias in cultivar.aliases:
            found.setdefault(fold(alias.name), root)
    return found


def sport_group(cultivar: Cultivar, by_id: Mapping[str, Cultivar]) -> str:
    """Id of the original cultivar: follows `sport_of` to its root (the root itself need not be in the catalogue)."""
    root, seen = cultivar.id, {cultivar.id}
    parent = cultivar.sport_of
    while parent is not None and parent not in seen:
        root = parent
        seen.add(parent)
        parent = by_id[parent].sport_of if parent in by_id else None
    return root


def first_of_each(rows: Iterable[int], groups: Sequence[Hashable] | NDArray[np.int64]) -> set[int]:
    """Of some rows the first of each group. groups: of every row, that of its sports."""
    first: dict[Hashable, int] = {}
    for row in rows:
        first.setdefault(groups[row], row)
    return set(first.values())


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
