"""The measures of order themselves, on orders made up so that the figure is known."""

import pytest

from tests.published.measures_of_order import (
    Question,
    alike_in_fame,
    mean_by_document,
    mean_of_shares,
    share_in_order,
    shares_in_order,
    voices,
)

LIST = Question("x", frozenset({"u"}), ("a", "b"), ("c", "d", "e"))


def test_pairs_in_order_count_one_ties_half_and_unknown_none() -> None:
    value = {"a": 0.9, "b": 0.2, "c": 0.2, "d": 0.5, "e": None}
    found = share_in_order(LIST, lambda _list, name: value[name])
    assert found is not None
    assert found.pairs == 4
    assert found.share == pytest.approx((2 + 0.5) / 4)


def test_an_order_that_knows_nothing_wins_half() -> None:
    found = share_in_order(LIST, lambda _list, _name: 0.3)
    assert found is not None
    assert found.share == 0.5


def test_matched_pairs_take_from_fame_what_it_wins() -> None:
    """An order by fame alone wins most pairs, and no more than chance among cultivars of equal fame."""
    fame = {"a": 9.0, "b": 3.0, "c": 1.0, "d": 3.0, "e": 9.0}
    every = share_in_order(LIST, lambda _list, name: fame[name])
    matched = share_in_order(LIST, lambda _list, name: fame[name], lambda _list, name: fame[name])
    assert every is not None
    assert matched is not None
    assert every.share > matched.share
    assert matched.pairs == 2  # a with e, b with d
    assert matched.share == 0.5
    assert alike_in_fame(9, 8)
    assert not alike_in_fame(3, 2)


def test_lists_of_one_document_are_one_voice() -> None:
    assert len(set(voices([frozenset("ab"), frozenset("bc"), frozenset("cd"), frozenset("e")]))) == 2


def test_the_mean_is_over_lists_and_long_lists_weigh_no_more() -> None:
    long = Question("long", frozenset({"u"}), tuple("abcdefghij"), tuple("klmnopqrst"))
    short = Question("short", frozenset({"v"}), ("k", "l", "m", "n"), ("a", "b", "c"))
    too_short = Question("too short", frozenset({"w"}), ("k",), ("a",))
    found = shares_in_order([long, short, too_short], lambda _list, name: -float(ord(name)))
    mean = mean_of_shares(found)
    assert mean is not None
    assert (mean.value, mean.n) == (0.5, 2)
    assert mean.low is None  # two documents make no interval


def test_the_interval_holds_the_mean_and_widens_when_lists_share_a_document() -> None:
    values = {name: 0.4 + 0.05 * index for index, name in enumerate("abcdefgh")}
    apart = mean_by_document(values, {name: frozenset({name}) for name in values})
    shared = mean_by_document(values, {name: frozenset({str(index // 2)}) for index, name in enumerate(values)})
    assert apart is not None
    assert shared is not None
    assert apart.low is not None
    assert apart.high is not None
    assert shared.low is not None
    assert shared.high is not None
    assert apart.low < apart.value < apart.high
    assert shared.high - shared.low > apart.high - apart.low
    assert mean_by_document({}, {}) is None
