"""A review as rows of a table: a row a tree, then a row a change."""

from collections.abc import Iterator

from api.answer_forms import Form
from api.tables_of_answers import TEXT_CSV, Cell, head, lines
from domain.reviews.review_answer import PlantingListReview, ReviewedTreeAnswer

COLUMNS = (
    "list",
    "label",
    "cultivar",
    "judgement",
    "verdict",
    "pollinated",
    "picked_from",
    "likely_cause",
    "probability",
    "words",
)
HEAD = head(COLUMNS)


def review_rows(name: str, review: PlantingListReview) -> str:
    """The rows of a review, without the head. name: of its list."""
    return lines(COLUMNS, [*(_of_tree(name, tree) for tree in review.trees), *_of_changes(name, review)])


def _of_tree(name: str, tree: ReviewedTreeAnswer) -> dict[str, Cell]:
    cause = tree.likely_causes[0] if tree.likely_causes else None
    return {
        "list": name,
        "label": tree.label,
        "cultivar": tree.cultivar,
        "judgement": tree.judgement,
        "verdict": tree.verdict,
        "pollinated": tree.pollination.pollinated,
        "picked_from": None if tree.harvest is None else tree.harvest.first,
        "likely_cause": None if cause is None else cause.cause,
        "probability": None if cause is None else cause.probability,
        "words": tree.said.words,
    }


def _of_changes(name: str, review: PlantingListReview) -> Iterator[dict[str, Cell]]:
    for change in review.changes:
        yield {"list": name, "label": change.of, "judgement": change.change, "words": change.words}


def problem_row(name: str, words: str) -> str:
    """The row of a list that cannot be answered."""
    return lines(COLUMNS, [{"list": name, "judgement": "problem", "words": words}])


REVIEW_FORMS = (
    Form(
        TEXT_CSV,
        f"A table with a head (RFC 4180), a row a tree, then a row a change; its columns: {', '.join(COLUMNS)}.",
        lambda _, review: HEAD + review_rows("", review),
    ),
)
"""Forms of a review beside JSON."""
