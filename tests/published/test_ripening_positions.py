"""Ripening positions against documents left out, and against the order that every grower knows.

Sources: every dated list of reference_tables/observations/ripening.csv, each named by its source_id in sources.csv,
left out in turn by its address. The order of `KNOWN_ORDER` is common practice, no source.
"""

import numpy as np
import pytest

from domain.adoption import ripening_positions
from domain.adoption import steps as adoption
from domain.adoption.timing_report import (
    KNOWN_ORDER,
    RIPENING_LIST_ERROR,
    LeftOut,
    pooled_median,
    ripening_documents,
    small,
)
from domain.tables import loading as tables


@pytest.fixture(scope="module")
def left_out(evidence: adoption.Evidence) -> list[LeftOut]:
    return ripening_documents(evidence.of("ripening"), tables.load().sources)


def test_dated_lists_left_out_are_foretold_within_six_days(left_out: list[LeftOut]) -> None:
    dated = [one for one in small(left_out) if one.by_day]
    assert len(dated) >= 20
    assert pooled_median(dated) <= 6.0
    assert pooled_median(dated) <= 0.6 * pooled_median(dated, constant=True)


def test_order_of_dated_lists_of_nine_names_and_more_is_foretold(left_out: list[LeftOut]) -> None:
    correlations = [one.rank_correlation for one in small(left_out) if one.by_day and len(one.published) >= 9]
    assert len(correlations) >= 8
    assert np.median(correlations) >= 0.85


def test_collections_of_single_trees_are_foretold_better_than_by_a_constant(left_out: list[LeftOut]) -> None:
    noisy = [one for one in left_out if one.name.startswith("ca-ns-kentville")]
    assert len(noisy) == 2
    assert pooled_median(noisy) <= 0.8 * pooled_median(noisy, constant=True)
    assert all(one.rank_correlation >= 0.35 for one in noisy)


def test_spread_covers_about_two_in_three_errors(left_out: list[LeftOut]) -> None:
    lists = small(left_out)
    inside = np.concatenate([one.errors <= np.hypot(one.spread, RIPENING_LIST_ERROR) for one in lists])
    assert 0.6 <= np.mean(inside) <= 0.8


def test_the_first_the_middle_and_the_last_stand_in_the_order_growers_know(evidence: adoption.Evidence) -> None:
    adopted = ripening_positions.adopt(evidence.of("ripening"))
    first, middle, last = ([adopted[name, "ripening_offset_days"].value for name in group] for group in KNOWN_ORDER)
    assert max(first) < min(middle) - 14
    assert max(middle) < min(last) - 7


def test_a_trap_of_plain_medians_is_passed(evidence: adoption.Evidence) -> None:
    """Days from Golden Delicious of the earliest and the latest in trade (common practice, no source)."""
    adopted = ripening_positions.adopt(evidence.of("ripening"))
    assert adopted["golden-delicious", "ripening_offset_days"].value == 0.0
    for name, low, high in (
        ("lodi", -80, -50), ("gala", -32, -14), ("granny-smith", 12, 38), ("cripps-pink", 15, 45),
    ):  # fmt: skip
        assert low <= adopted[name, "ripening_offset_days"].value <= high, name


def test_minnewashta_and_delicious_are_one_cultivar_each(evidence: adoption.Evidence) -> None:
    assert evidence.resolve("Zestar!") == evidence.resolve("Minnewashta") == "minnewashta"
    assert evidence.resolve("Red Delicious") == evidence.resolve("Delicious") == "delicious"
    adopted = ripening_positions.adopt(evidence.of("ripening"))
    assert adopted["minnewashta", "ripening_offset_days"].value < adopted["gala", "ripening_offset_days"].value
    assert adopted["delicious", "ripening_offset_days"].observations >= 5
