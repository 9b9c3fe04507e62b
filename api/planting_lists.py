"""The main job: ranked planting lists for a site."""

from api.advisor import Advisor, Versions
from api.computations import computation
from api.list_forms import LIST_FORMS
from domain.planting_list.list_answer import PlantingLists
from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.planting_lists import planting_lists
from domain.planting_list.wishes import Wishes, wishes


class PlantingListsAnswer(PlantingLists, frozen=True, kw_only=True):
    """Ranked planting lists, what binds them, and what not to plant."""

    versions: Versions


def choose_planting_lists(asked: PlantingListsRequest, advisor: Advisor) -> PlantingListsAnswer:
    """Choose lists of trees that crop, ripen and pollinate each other at the site, the best list first."""
    resolved: list[Wishes] = []
    conditions = advisor.conditions(
        asked.site,
        also=lambda: resolved.append(wishes(asked, advisor.tables)),
        warmer_by_c=asked.warmer_by_c,
    )
    warmer = advisor.if_warmer(asked.site, asked.warmer_by_c)
    computed = planting_lists(asked, advisor.catalogue, conditions, warmer, resolved[0])
    return advisor.answer(PlantingListsAnswer, computed)


PLANTING_LISTS = computation(
    "/v1/planting-lists",
    choose_planting_lists,
    operation_id="choosePlantingLists",
    title="Ranked planting lists for a site",
    summary="Ranked planting lists for a site",
    tag="advice",
    examples=("hollin-lane-planting-lists", "hollin-lane-garden-planting-lists"),
    forms=LIST_FORMS,
)
