"""Which cultivar pollinates which, in both directions."""

from typing import Any

from litestar import Request, post
from litestar.di import NamedDependency
from litestar.params import RawBody

from api import queries, strict_bodies
from api.advisor import Advisor, Versions
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


@post(
    "/pollination-pairs",
    status_code=200,
    operation_id="judgePollinationPairs",
    summary="Which cultivar pollinates which",
    tags=["advice"],
    sync_to_thread=True,
)
def judge_pollination_pairs(
    request: Request[Any, Any, Any], body: RawBody, advisor: NamedDependency[Advisor]
) -> PollinationPairsAnswer:
    """Judge every pair of some cultivars in both directions: genes, pollen, and bloom together at the site."""
    queries.read(request, queries.NoQuery)
    asked = strict_bodies.read(request, body, PollinationPairsRequest)
    windows = None
    if asked.site is not None:
        conditions = advisor.conditions(asked.site, also=lambda: requested_cultivars(asked, advisor.tables))
        windows = site_windows(advisor.catalogue, conditions, requested_cultivars(asked, advisor.tables))
    return advisor.answer(PollinationPairsAnswer, pollination_pairs(asked, advisor.tables, windows))
