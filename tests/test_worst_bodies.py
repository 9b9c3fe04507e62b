"""The search for dear bodies: it turns up all that may be asked, and tells by its exit what went wrong."""

from typing import Any

import msgspec
import pytest
from msgspec import inspect

from api.resources import OPERATIONS
from tests.worst_bodies import __main__ as search
from tests.worst_bodies.addresses import ADDRESSES, Address, first
from tests.worst_bodies.measuring import Cost

TURNED_BY_OTHERS = {
    "site.apples_bloom_here": "the older name of bloom_here",
    "unknown_names": "of names that are known it changes nothing",
}
"""Fields that no gene turns, and why."""


def told(body: Any, before: str = "") -> set[str]:
    """The fields of a body, and those of objects and lists of objects in it."""
    if isinstance(body, list):
        return {found for one in body for found in told(one, before)}
    if not isinstance(body, dict):
        return set()
    return {f"{before}{name}" for name in body} | {
        found for name, value in body.items() if not before for found in told(value, f"{name}.")
    }


def fields(model: type[msgspec.Struct]) -> set[str]:
    """The fields of a request, and of the structs that it holds."""
    found = set()
    for field in inspect.type_info(model).fields:  # type: ignore[attr-defined]  # a struct's
        found.add(field.encode_name)
        found |= {f"{field.encode_name}.{one}" for one in _inner(field.type)}
    return found


def _inner(kind: Any) -> set[str]:
    if isinstance(kind, inspect.UnionType):
        structs = [one for one in kind.types if isinstance(one, inspect.StructType) and one.tag is None]
        return {name for one in structs for name in _inner(one)}
    if isinstance(kind, inspect.ListType | inspect.VarTupleType):
        return _inner(kind.item_type)
    if isinstance(kind, inspect.Metadata):
        return _inner(kind.type)
    return {one.encode_name for one in kind.fields} if isinstance(kind, inspect.StructType) else set()


@pytest.mark.parametrize("address", ADDRESSES, ids=lambda one: one.path)
def test_every_field_that_may_be_told_is_turned_by_a_gene(address: Address) -> None:
    usual = [first(address, {}), *(first(address, genes) for genes in address.known)]
    bodies = [address.body(genes) for genes in usual]
    for genes in usual:
        bodies += [address.body(genes | {name: one}) for name, values in address.genes.items() for one in values]
    turned = {found for body in bodies for found in told(body)}
    operation = next(one for one in OPERATIONS.values() if one.path == address.path and one.body is not None)
    assert operation.body is not None
    assert fields(operation.body) - turned - set(TURNED_BY_OTHERS) == set()
    assert {form.media_type for form in operation.forms} <= set(address.genes.get("form", []))


class Answering:
    """In the place of the meter: every request gets one status."""

    unit_s = 0.02

    def __init__(self, status: int) -> None:
        self.status = status

    def __enter__(self) -> "Answering":
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def cost(self, path: str, body: Any, form: str) -> Cost:
        return Cost(self.status, 0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("status", "only", "ends"),
    [(200, "cultivar-names", 0), (500, "cultivar-names", 1), (422, "cultivar-names", 1), (200, "no-such-address", 2)],
)
def test_the_search_ends_by_what_it_found(monkeypatch: pytest.MonkeyPatch, status: int, only: str, ends: int) -> None:
    monkeypatch.setattr(search, "Meter", lambda: Answering(status))
    monkeypatch.setattr(search, "alone", lambda address, genes: {"units": 0.0, "memory_mb": 0.0})
    monkeypatch.setattr("sys.argv", ["worst_bodies", "--only", only, "--tries", "2"])
    with pytest.raises(SystemExit) as ended:
        search.main()
    assert ended.value.code == ends
