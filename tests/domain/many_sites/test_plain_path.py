"""The fast path from weather to advice against the plain one, at sixty sites of every depth and climate.

What is tabled by temperature rounds it to a 1/1024 C, and the stage of a bud to a thousandth of its heat. That moves
ranks by some ten-thousandths and a year or a day over the edge of its rounding here and there. Where percentiles are
told that hardly agree with the rest, a fit may stop a round sooner or later, and all moves a little more.
"""

import msgspec
import numpy as np
import pytest
from numpy.typing import NDArray

from domain.many_sites.site_numbers import Asked, site_numbers
from domain.site_climate.site import Site
from domain.suitability.columns import JudgedColumns
from tests.domain.many_sites import plain_path
from tests.domain.many_sites.tables_of_sites import Body, sixty_sites
from tests.shared import catalogue

SITES = sixty_sites()
BY_ONE = ("likely", "low", "high", "bloom_full", "harvest_first")
"""Years of ten and days, which may differ by one where one lies on the edge of its rounding."""
MOST_RANK, USUAL_RANK = 0.012, 0.0004
MOST_VERDICTS, USUAL_VERDICTS = 0.025, 0.001


def judged(body: Body) -> JudgedColumns:
    (found,) = site_numbers(msgspec.convert(body, Site), catalogue(), Asked(catalogue().advised))
    return found.judged


def by_both(body: Body) -> tuple[JudgedColumns, JudgedColumns]:
    fast = judged(body)
    with pytest.MonkeyPatch.context() as patch:
        plain_path.take(patch)
        return fast, judged(body)


def apart(fast: JudgedColumns, plain: JudgedColumns, column: str) -> NDArray[np.float64]:
    """How far a column lies apart, cultivar by cultivar; what only one of them does not know lies far apart."""
    one, other = (getattr(judged, column).astype(np.float64) for judged in (fast, plain))
    return np.where(np.isnan(one) & np.isnan(other), 0.0, np.nan_to_num(np.abs(one - other), nan=np.inf))


def alike(fast: JudgedColumns, plain: JudgedColumns) -> tuple[float, float]:
    """The largest difference of ranks and the share of verdicts that differ, both held within bounds."""
    known = (fast.verdict == plain.verdict) & (fast.bloom_full >= 0) & (plain.bloom_full >= 0)
    assert max(float(apart(fast, plain, column)[known].max(initial=0.0)) for column in BY_ONE) <= 1.0
    rank, verdicts = float(apart(fast, plain, "rank_value").max()), float((fast.verdict != plain.verdict).mean())
    assert rank <= MOST_RANK
    assert verdicts <= MOST_VERDICTS
    return rank, verdicts


@pytest.mark.parametrize("place", [0, 16, 27])
def test_fast_and_plain_advice_are_alike(place: int) -> None:
    alike(*by_both(SITES[place]))


@pytest.mark.long
def test_fast_and_plain_advice_are_alike_at_sixty_sites() -> None:
    """About a minute and a half. At most of the sites nearly nothing moves."""
    assert len(SITES) == 60
    found = np.array([alike(*by_both(body)) for body in SITES])
    ranks, verdicts = found.T
    print(f"ranks apart: middle {np.median(ranks):.4f}, most {ranks.max():.4f}; verdicts: mean {verdicts.mean():.5f}")
    assert np.median(ranks) <= USUAL_RANK
    assert verdicts.mean() <= USUAL_VERDICTS
    assert ranks.max() > 0.0, "the plain path was not taken"
