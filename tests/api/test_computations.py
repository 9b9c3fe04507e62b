"""How answers of computations are written."""

import msgspec
import pytest

from api.computations import ITEMS_AT_A_TIME, encoded


class Item(msgspec.Struct, frozen=True):
    name: str
    parts: tuple[int, ...] = ()


class Told(msgspec.Struct, frozen=True, tag_field="type", tag="Told"):
    first: tuple[Item, ...]
    between: str
    second: tuple[Item | None, ...]
    mixed: tuple[float, ...] | None = None


@pytest.mark.parametrize(
    "size", [0, 1, ITEMS_AT_A_TIME, ITEMS_AT_A_TIME + 1, 2 * ITEMS_AT_A_TIME, 3 * ITEMS_AT_A_TIME - 1]
)
def test_an_answer_in_parts_is_that_of_the_encoder(size: int) -> None:
    items = tuple(Item(f'"[],{n}\u00e4', tuple(range(n % 60))) for n in range(size))
    told = Told(items, '"first":[]', (None, *items[1:]), tuple(n / 3 for n in range(size)))
    assert encoded(told) == msgspec.json.encode(told)
    assert msgspec.json.decode(encoded(told), type=Told) == told
