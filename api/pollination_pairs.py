"""Which cultivar pollinates which, in both directions."""

from api.advisor import Advisor, Versions
from api.computations import computation
from domain.pollination.pairs_answer import (
    PollinationPairs,
    PollinationPairsRequest,
    pollination_pairs,
    requested_cultivars,
)
from domain.pollination.site_windows import site_windows


class PollinationPairsAnswer(PollinationPairs, frozen=True, kw_only=True):
    """Every pair of the cultivars, each with itself too."""

    versions: Versions


def judge_pollination_pairs(asked: PollinationPairsRequest, advisor: Advisor) -> PollinationPairsAnswer:
    """Judge every pair of some cultivars in both directions: genes, pollen, and bloom together at the site."""
    windows = None
    if asked.site is not None:
        conditions = advisor.conditions(asked.site, also=lambda: requested_cultivars(asked, advisor.tables))
        windows = site_windows(advisor.catalogue, conditions, requested_cultivars(asked, advisor.tables))
    return advisor.answer(PollinationPairsAnswer, pollination_pairs(asked, advisor.tables, windows))


POLLINATION_PAIRS = computation(
    "/v1/pollination-pairs",
    judge_pollination_pairs,
    operation_id="judgePollinationPairs",
    title="Which cultivar pollinates which",
    summary="Which cultivar pollinates which",
    tag="advice",
    examples=("bramley-and-company-pollination-pairs",),
    light=True,
)
