"""How values, limits and votes are weighed into one."""

import numpy as np
import pytest

from domain.adoption.weighing import Bound, Reading, basis_of, by_document, elected, middle, pooled, settle, votes_of
from tests.domain.adoption.made_up import observed

GRID = np.arange(-20.0, 120.0, 0.25)
PRIOR = (50.0, 10.0)


def test_without_evidence_the_prior_stands() -> None:
    mean, spread = settle(PRIOR, [], [], {}, GRID)
    assert mean == pytest.approx(50.0, abs=0.1)
    assert spread == pytest.approx(10.0, abs=0.1)


def test_one_reading_pulls_as_its_error_allows() -> None:
    mean, spread = settle(PRIOR, [Reading(40.0, 6.0, "forcing", "a")], [], {"forcing": 8.0}, GRID)
    # normal theory with a total error of 10 gives 45 and 7.1; the share of gross errors weakens it a little
    assert 45.0 <= mean < 46.5
    assert 7.0 <= spread < 8.0


def test_many_readings_of_one_kind_cannot_outrun_their_shared_error() -> None:
    copies = [Reading(20.0, 3.0, "place", str(number)) for number in range(50)]
    mean, spread = settle(PRIOR, copies, [], {"place": 8.0}, GRID)
    assert mean > 25.0
    assert spread > 5.0


def test_a_gross_error_does_not_carry_the_value_away() -> None:
    sound = [Reading(50.0, 4.0, "forcing", "a"), Reading(48.0, 4.0, "fit", "b")]
    wild = Reading(110.0, 4.0, "table", "c")
    mean, _ = settle(PRIOR, [*sound, wild], [], {"forcing": 2.0, "fit": 2.0, "table": 2.0}, GRID)
    assert mean == pytest.approx(49.0, abs=3.0)


def test_limits_move_the_value_to_their_own_side_only() -> None:
    crops = Bound(35.0, 6.0, True, "gulf", "a")
    fails = Bound(60.0, 6.0, False, "florida", "b")
    assert settle(PRIOR, [], [crops], {}, GRID)[0] < 45.0
    assert settle(PRIOR, [], [fails], {}, GRID)[0] > 55.0
    far = Bound(110.0, 6.0, True, "north", "c")
    assert settle(PRIOR, [], [far], {}, GRID)[0] == pytest.approx(50.0, abs=0.2)


def test_a_region_named_often_is_one_limit() -> None:
    once = settle(PRIOR, [], [Bound(35.0, 6.0, True, "gulf", "a")], {}, GRID)
    often = settle(PRIOR, [], [Bound(35.0, 6.0, True, "gulf", str(number)) for number in range(9)], {}, GRID)
    assert often == pytest.approx(once)


def test_disagreement_widens_a_pooled_value() -> None:
    agreeing = pooled([0.5, 0.5, 0.5], [0.15] * 3, 0.05)
    quarrelling = pooled([0.1, 0.5, 0.9], [0.15] * 3, 0.05)
    assert agreeing[0] == pytest.approx(quarrelling[0])
    assert quarrelling[1] > 1.5 * agreeing[1]


def test_votes_keep_the_losing_side() -> None:
    finding = elected({"yellow": 1.0, "red": 3.0}, [observed("a", "skin", "red"), observed("a", "skin", "yellow")])
    assert finding.value == "red"
    assert finding.agreement == 0.75
    assert finding.conflicts == ("yellow (0.25)",)


def test_memory_is_named_only_where_no_text_was_read() -> None:
    assert basis_of(["from-memory"]) == "from-memory"
    assert basis_of(["from-memory", "a-text"]) == "published"
    assert basis_of([], "imputed") == "imputed"


def test_a_document_that_prints_a_value_twice_has_one_vote() -> None:
    book, other = observed("x", "vigour", "weak", source_id="book"), observed("x", "vigour", "weak", source_id="other")
    read = by_document([(2.0, 0.5, book), (4.0, 0.7, book), (5.0, 0.5, other)])
    assert [value for value, _, _ in read] == [3.0, 5.0]
    assert votes_of([("tip", 1.0, book), ("spur", 1.0, book), ("tip", 1.0, other)]) == {"tip": 1.5, "spur": 0.5}


def test_the_middle_does_not_follow_one_value_far_off() -> None:
    assert middle([6.5], [3.0]) == 6.5
    assert middle([4.0, 8.0], [3.0, 3.0]) == pytest.approx(6.0)
    assert middle([7.0, 33.6, 6.5, 6.5, 6.5], [3.0] * 5) == pytest.approx(6.5)
    assert middle([6.0, 30.0, 8.0], [3.0, 300.0, 3.0]) == pytest.approx(7.0, abs=0.1)
