"""The cycle of stripped trees against what was published of Batu, and the ends of the calendar.

The spans are entered from the abstracts of Notodimedjo et al. 1981 and Acta Horticulturae 49:109-111 (1975), so that
these two are no check from outside; that two crops a year fit is stated there apart from the spans.
"""

import pytest

from domain.common.season_days import day_of_year
from domain.tree_year.leaf_stripping import cycles


def days_between(one: str, other: str) -> int:
    return (day_of_year(other) - day_of_year(one)) % 365


@pytest.mark.fitted_on
@pytest.mark.parametrize("day", ["01-01", "06-15", "12-20"])
def test_spans_are_those_published(day: str) -> None:
    (cycle,) = cycles((day,))
    assert 21 <= days_between(day, cycle.bud_break.from_day) <= days_between(day, cycle.bud_break.to_day) <= 28
    assert days_between(day, cycle.bloom.from_day) == 28
    assert days_between(cycle.bloom.from_day, cycle.picking.from_day) >= 4 * 30
    assert days_between(cycle.bloom.to_day, cycle.picking.to_day) <= 5 * 31


def test_two_crops_a_year_fit_and_three_would_not() -> None:
    """Two crops a year by stripping (both abstracts, and Odhiambo 1988 for the Kenya highlands)."""
    assert not any(cycle.overlaps for cycle in cycles(("01-10", "07-10")))
    assert any(cycle.overlaps for cycle in cycles(("01-10", "05-10", "09-10")))
