"""Sizes of trees by rootstock against the order that trials found and that no size was fitted to.

The trials are the North American ones of 1994, 1999 and 2002 and one of New York; what was adopted rests on those of
2010 and 2015, on services and on heights of gardens. Left out: Supporter 1 and V.3, whose adopted sizes cite those of
1999 and 1994, and clones of M.9 other than the common one. A stock that a trial calls smaller is smaller; two that it
calls similar lie within the tolerance, as a share.
"""

import pytest

from domain.tables.rootstocks import rootstocks
from tests.published.cases import cases

ORDERS = cases("rootstock_orders.csv")
MISSED = {
    ("mark", "bud-9"): "Mark is known from one percentage of an extension table, half of a tree on seedling",
    ("mark", "p-2"): "Mark is known from one percentage of an extension table, half of a tree on seedling",
    ("mark", "m-9"): "Mark is known from one percentage of an extension table, half of a tree on seedling",
    ("mark", "ottawa-3"): "Mark is known from one percentage of an extension table, half of a tree on seedling",
    ("cg-4013", "m-26"): "the trial of 2010 found it little larger with Honeycrisp and smaller with Fuji",
    ("m-9", "g-16"): "the organic trial of 2015 found G.16 smaller than M.9 NAKBT337",
}
"""What is known to miss, each with its reason; a miss that is gone fails, so that it leaves this list."""


def _holds(case: dict[str, str]) -> bool:
    ratio = rootstocks()[case["rootstock"]].size / rootstocks()[case["other"]].size
    tolerance = float(case["tolerance"])
    match case["relation"]:
        case "smaller":
            return ratio < 1.0
        case "larger":
            return ratio > 1.0
        case _:
            return abs(ratio - 1.0) <= tolerance


@pytest.mark.parametrize(
    "case",
    [
        pytest.param(
            case,
            id=f"{case['source']}-{case['rootstock']}-{case['other']}",
            marks=[pytest.mark.xfail(strict=True, reason=MISSED[case["rootstock"], case["other"]])]  # each has its own
            if (case["rootstock"], case["other"]) in MISSED
            else [],
        )
        for case in ORDERS
    ],
)
def test_order_of_sizes_in_trials(case: dict[str, str]) -> None:
    assert _holds(case), case["why"]
