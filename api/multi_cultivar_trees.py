"""Several cultivars on one trunk, or the scion by which a lone tree sets fruit."""

from functools import partial

from api.advisor import Advisor, Versions
from api.computations import computation
from domain.trunks.trunk_answer import MultiCultivarTree, MultiCultivarTreeRequest
from domain.trunks.trunk_candidates import names_asked
from domain.trunks.trunks import multi_cultivar_tree
from domain.year_of_work.calendars import jobs_here


class MultiCultivarTreeAnswer(MultiCultivarTree, frozen=True, kw_only=True):
    """The cultivars of one trunk, in which year and where each is grafted, and the work that keeps them in balance."""

    versions: Versions


def choose_multi_cultivar_tree(asked: MultiCultivarTreeRequest, advisor: Advisor) -> MultiCultivarTreeAnswer:
    """Choose cultivars that live together on one trunk and pollinate each other, or a scion for a lone tree."""
    at = jobs = None
    if asked.site is not None:
        conditions = advisor.conditions(asked.site, also=lambda: names_asked(asked, advisor.tables))
        at = (advisor.catalogue, conditions)
        jobs = partial(jobs_here, *at)
    return advisor.answer(MultiCultivarTreeAnswer, multi_cultivar_tree(asked, advisor.tables, at, jobs))


MULTI_CULTIVAR_TREES = computation(
    "/v1/multi-cultivar-trees",
    choose_multi_cultivar_tree,
    operation_id="chooseMultiCultivarTree",
    title="Several cultivars on one trunk",
    summary="Several cultivars on one trunk",
    tag="space",
    examples=("old-james-grieve-multi-cultivar-trees",),
    light=True,
)
