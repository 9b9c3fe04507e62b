"""Several cultivars on one trunk, or the scion by which a lone tree sets fruit."""

from functools import partial
from typing import Any

from litestar import Request, post
from litestar.di import NamedDependency
from litestar.params import RawBody

from api import queries, strict_bodies
from api.advisor import Advisor, Versions
from domain.pollination.site_windows import site_windows
from domain.trunks.trunk_answer import MultiCultivarTree, MultiCultivarTreeRequest
from domain.trunks.trunks import candidates, multi_cultivar_tree, worth_at_site
from domain.year_of_work.calendars import jobs_here


class MultiCultivarTreeAnswer(MultiCultivarTree, frozen=True, kw_only=True):
    """The cultivars of one trunk, in which year and where each is grafted, and the work that keeps them in balance."""

    versions: Versions


@post(
    "/multi-cultivar-trees",
    status_code=200,
    operation_id="chooseMultiCultivarTree",
    summary="Several cultivars on one trunk",
    tags=["space"],
    sync_to_thread=True,
)
def choose_multi_cultivar_tree(
    request: Request[Any, Any, Any], body: RawBody, advisor: NamedDependency[Advisor]
) -> MultiCultivarTreeAnswer:
    """Choose cultivars that live together on one trunk and pollinate each other, or a scion for a lone tree."""
    queries.read(request, queries.NoQuery)
    asked = strict_bodies.read(request, body, MultiCultivarTreeRequest)
    windows = worth = jobs = None
    if asked.site is not None:
        conditions = advisor.conditions(asked.site, also=lambda: candidates(asked, advisor.tables, {}))
        worth = worth_at_site(asked, advisor.catalogue, conditions)
        jobs = partial(jobs_here, advisor.catalogue, conditions)
        windows = site_windows(advisor.catalogue, conditions, candidates(asked, advisor.tables, worth))
    return advisor.answer(MultiCultivarTreeAnswer, multi_cultivar_tree(asked, advisor.tables, windows, worth, jobs))
