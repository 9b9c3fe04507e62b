"""A given planting judged: every tree, the whole, and what would mend it."""

from api.advisor import Advisor, Versions
from api.computations import computation
from api.review_rows import REVIEW_FORMS
from domain.orchard_site.conditions import SiteConditions
from domain.reviews.planting import Planting, planting
from domain.reviews.review_answer import PlantingListReview
from domain.reviews.review_request import PlantingListReviewRequest
from domain.reviews.reviews import review


class PlantingListReviewAnswer(PlantingListReview, frozen=True, kw_only=True):
    """A planting judged."""

    versions: Versions


def review_planting_list(asked: PlantingListReviewRequest, advisor: Advisor) -> PlantingListReviewAnswer:
    """Judge a planned list or a standing orchard: each tree, its pollen and its complaints, and what would mend it."""
    resolved, conditions = checked(asked, advisor)
    return reviewed(asked, advisor, resolved, conditions)


def checked(asked: PlantingListReviewRequest, advisor: Advisor) -> tuple[Planting, SiteConditions]:
    """The planting of a request and what its site holds. Raises ContentFaults with the faults of both."""
    resolved: list[Planting] = []
    conditions = advisor.conditions(asked.site, also=lambda: resolved.append(planting(asked, advisor.tables.names)))
    return resolved[0], conditions


def reviewed(
    asked: PlantingListReviewRequest, advisor: Advisor, resolved: Planting, conditions: SiteConditions
) -> PlantingListReviewAnswer:
    """The answer to a request whose names and site have been checked."""
    return advisor.answer(PlantingListReviewAnswer, review(asked, advisor.catalogue, conditions, resolved))


PLANTING_LIST_REVIEWS = computation(
    "/v1/planting-list-reviews",
    review_planting_list,
    operation_id="reviewPlantingList",
    title="A given planting judged, and what would mend it",
    summary="A given planting judged, and what would mend it",
    tag="advice",
    examples=("thornby-allotment-planting-list-reviews",),
    forms=REVIEW_FORMS,
)
