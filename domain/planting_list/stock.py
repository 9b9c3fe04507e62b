"""A nursery's stock as it is told: trees of a cultivar on a rootstock, in a form, and how many there are of them."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from domain.common.asked_names import ENOUGH_FAULTS, Names, UnknownNames, unknown_name
from domain.common.faults import ContentFault, ContentFaults, pointer
from domain.planting_list.list_request import StockItem
from domain.tables.rootstocks import rootstock_names, rootstocks
from domain.tables.tree_forms import tree_form_names, tree_forms

AsSold = frozenset[tuple[str, str]]
"""Pairs of the ids of a rootstock and a form in which a tree can be had."""


@dataclass(frozen=True)
class InStock:
    """Trees of a cultivar that are sold alike, by the ids of rootstock and form; None for any, and for any number."""

    rootstock: str | None
    form: str | None
    count: int | None

    def holds(self, trees: int) -> bool:
        """Whether there are so many of them."""
        return self.count is None or self.count >= trees

    def gives(self, rootstock: str, form: str) -> bool:
        """Whether a tree on this rootstock in this form is one of them."""
        return self.rootstock in (None, rootstock) and self.form in (None, form)


Stock = Mapping[str, tuple[InStock, ...]]
"""Id of each cultivar in stock -> its trees, sold out ones left out."""


def stock_told(names: Names, items: Sequence[StockItem], unknown: UnknownNames) -> Stock:
    """Resolve a stock; items alike are one, of the sum of their counts.

    Raises ContentFaults with the names that are not known, of very many as many as are told, unless those are to be
    reported: such an item is left out.
    """
    faults: list[ContentFault] = []
    found: dict[str, dict[tuple[str | None, str | None], int | None]] = {}
    for place, item in enumerate(items):
        if len(faults) > ENOUGH_FAULTS:
            break
        ids: list[str | None] = []
        missing = False
        for field, name, index in _named(item, names):
            known = None if name is None else index.resolve(name)
            if name is not None and known is None:
                missing = True
                if unknown == "refuse":
                    where, what = pointer("stock", place, field), field.replace("_", " ")
                    faults.append(unknown_name(index, where, name, what, faults_before=len(faults)))
            ids.append(known)
        cultivar, rootstock, form = ids
        if missing or cultivar is None or item.count == 0:
            continue
        alike = found.setdefault(cultivar, {})
        before = alike.get((rootstock, form), 0)
        alike[rootstock, form] = None if before is None or item.count is None else before + item.count
    if faults:
        raise ContentFaults(faults)
    return {
        cultivar: tuple(InStock(rootstock, form, count) for (rootstock, form), count in alike.items())
        for cultivar, alike in found.items()
    }


def _named(item: StockItem, names: Names) -> tuple[tuple[str, str | None, Names], ...]:
    """Of each field with a name: the field, the name and the index of its kind."""
    return (
        ("cultivar", item.cultivar, names),
        ("rootstock", item.rootstock, rootstock_names()),
        ("tree_form", item.tree_form, tree_form_names()),
    )


def not_known(names: Names, items: Iterable[StockItem]) -> dict[tuple[str, str], Names]:
    """Names of a stock that nothing of their kind bears, each once in its order, and their fields -> the index."""
    return {
        (name, field): index
        for item in items
        for field, name, index in _named(item, names)
        if name is not None and index.resolve(name) is None
    }


def as_sold(items: Iterable[InStock], commonly: frozenset[str] | None, trees: int) -> AsSold:
    """In what so many alike trees can be had. commonly: rootstocks where none is told; None for all that are sold."""
    usual = commonly if commonly is not None else {one.id for one in rootstocks().values() if one.commonly_sold_in}
    return frozenset(
        (rootstock, form)
        for one in items
        if one.holds(trees)
        for rootstock in (usual if one.rootstock is None else (one.rootstock,))
        for form in (tree_forms() if one.form is None else (one.form,))
    )


def supply(items: Sequence[InStock], rootstock: str, form: str, trees: int) -> InStock | None:
    """From what so many trees of a kind are taken: enough of them, told most closely; None where there are none."""
    fitting = [one for one in items if one.gives(rootstock, form)]
    return min(fitting, key=lambda one: (not one.holds(trees), one.rootstock is None, one.form is None), default=None)


def less(items: Sequence[InStock], taken: InStock, trees: int) -> tuple[InStock, ...]:
    """What is left of a stock when so many trees of some are taken."""
    left = taken if taken.count is None else replace(taken, count=max(taken.count - trees, 0))
    return tuple(left if one is taken else one for one in items if one is not taken or left.count != 0)


def alike_in_a_group(stock: Iterable[Sequence[InStock]], fixed: int, trees: int, most_groups: int) -> int:
    """Of how many trees alike a group is, so that the most trees stand in at most so many groups: the fewest that do.

    stock: of each cultivar that may be chosen; no cultivar has more than two groups. fixed: groups that stand anyway.
    """
    of_each = [[one.count for one in items] for items in stock]

    def planted(each: int) -> int:
        groups = sum(min(sum(2 if count is None else count // each for count in counts), 2) for counts in of_each)
        return each * min(fixed + groups, most_groups)

    return max(range(1, math.ceil(trees / most_groups) + 1), key=planted)
