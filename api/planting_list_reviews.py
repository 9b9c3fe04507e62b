"""A given planting judged: every tree, the whole, and what would mend it."""

from api.advisor import Advisor, Versions
from api.computations import computation
from api.review_rows import REVIEW_FORMS
from domain.reviews.planting import Planting, planting
from domain.reviews.review_answer import PlantingListReview
from domain.reviews.review_request import PlantingListReviewRequest
from domain.reviews.reviews import review


class PlantingListReviewAnswer(PlantingListReview, frozen=True, kw_only=True):
    """A planting judged."""

    versions: Versions


def review_planting_list(asked: PlantingListReviewRequest, advisor: Advisor) -> PlantingListReviewAnswer:
    """Judge a planned list or a standing orchard: each tree, its pollen and its complaints, and what would mend it."""
    resolved: list[Planting] = []
    conditions = advisor.conditions(asked.site, also=lambda: resolved.append(planting(asked, advisor.tables.names)))
    return advisor.answer(PlantingListReviewAnswer, review(asked, advisor.catalogue, conditions, resolved[0]))


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
