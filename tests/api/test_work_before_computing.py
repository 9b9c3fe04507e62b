"""What is done to a body before anything is computed grows no faster than the body."""

import json
import time
from collections.abc import Callable
from statistics import median
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from api.repeated_members import repeated_members
from api.site_climates import SiteClimatesRequest
from domain.common.faults import ContentFaults
from domain.site_climate.records_csv import records_of_csv

MOST_GROWTH = 64


def cpu_s(work: Callable[[], object]) -> float:
    """The median of five runs, so that one that was disturbed does not count."""
    times = []
    for _ in range(5):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return median(times)


def growth(body: Callable[[int], Any], work: Callable[[Any], object]) -> float:
    """How much more a body costs that is 16 times as long: 16 where the cost is in proportion, 256 by its square."""
    small, large = body(2_500), body(40_000)
    return cpu_s(lambda: work(large)) / cpu_s(lambda: work(small))


def columns(count: int) -> str:
    return ",".join(f"c{n}" for n in range(count)) + ",c0\n"


def members(count: int) -> bytes:
    return ("{" + ", ".join(f'"m{n}": {n}' for n in range(count)) + ', "m0": 0}').encode()


def nested(count: int) -> bytes:
    return b'{"a": ' * count + b"0" + b"}" * count


def refused_columns(text: str) -> str:
    with pytest.raises(ContentFaults) as refused:
        records_of_csv(text)
    return refused.value.faults[0].detail


def test_columns_of_a_file_are_compared_in_proportion_to_their_number() -> None:
    assert refused_columns(columns(9)) == "The column c0 is named twice."
    assert growth(columns, refused_columns) < MOST_GROWTH


@pytest.mark.parametrize(("body", "twice"), [(members, ("m0",)), (nested, ())])
def test_members_are_compared_in_proportion_to_their_number(
    body: Callable[[int], bytes], twice: tuple[str, ...]
) -> None:
    assert repeated_members(body(5)) == twice
    assert growth(body, repeated_members) < MOST_GROWTH


def test_looking_for_members_named_twice_costs_less_than_decoding_records() -> None:
    hours = [n % 240 / 10 for n in range(20 * 365 * 24)]
    body = json.dumps({"site": {"hourly_records": {"first_day": "2001-01-01", "temperature_c": hours}}}).encode()
    decoder = msgspec.json.Decoder(SiteClimatesRequest)
    assert cpu_s(lambda: repeated_members(body)) < cpu_s(lambda: decoder.decode(body))


def told_by_another_reader(text: str) -> set[str]:
    found: set[str] = set()

    def object_of(pairs: list[tuple[str, Any]]) -> None:
        names = [name for name, _ in pairs]
        found.update(name for name in names if names.count(name) > 1)

    json.loads(text, object_pairs_hook=object_of)
    return found


class Pairs(dict[str, Any]):
    """Encoded as an object that may name a member twice."""

    def __init__(self, pairs: list[tuple[str, Any]]) -> None:
        super().__init__(pairs or {})
        self.pairs = pairs

    def items(self) -> Any:
        return self.pairs


NAMES = st.sampled_from(["a", "b", "\\", '"', 'a":', "{", "}", "\\\\", '\\"', "é", "a\\", "\u2028", "\n", "", ":"])
ANY = st.recursive(
    NAMES | st.integers() | st.none(),
    lambda inner: st.lists(inner, max_size=3) | st.lists(st.tuples(NAMES, inner), max_size=4).map(Pairs),
    max_leaves=20,
)


@given(document=ANY, ascii_only=st.booleans(), indent=st.sampled_from([None, 1]))
@settings(max_examples=150, deadline=None, derandomize=True)
def test_what_is_named_twice_is_what_the_standard_library_finds(
    document: Any, ascii_only: bool, indent: int | None
) -> None:
    text = json.dumps(document, ensure_ascii=ascii_only, indent=indent)
    assert set(repeated_members(text.encode())) == told_by_another_reader(text)


def test_an_escaped_name_is_the_same_name() -> None:
    assert repeated_members(rb'{"a": 1, "\u0061": 2}') == ("a",)
    assert repeated_members(rb'{"\ud800": 1, "b": {"\ud800": 2}}') == ()
