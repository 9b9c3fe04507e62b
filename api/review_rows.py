"""A review as rows of a table: a row a tree, then a row a change."""

import csv
import io
from typing import Any

from api.answer_forms import Form
from domain.reviews.review_answer import PlantingListReview

TABLE = "text/csv"
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
HEAD = ",".join(COLUMNS) + "\r\n"


def review_rows(name: str, review: PlantingListReview) -> str:
    """The rows of a review, without the head. name: of its list."""
    text = io.StringIO()
    writer = csv.writer(text)
    for tree in review.trees:
        cause = tree.likely_causes[0] if tree.likely_causes else None
        told: list[Any] = [
            name,
            tree.label,
            tree.cultivar,
            tree.judgement,
            tree.verdict,
            tree.pollination.pollinated,
            None if tree.harvest is None else tree.harvest.first,
            None if cause is None else cause.cause,
            None if cause is None else cause.probability,
            tree.said.words,
        ]
        writer.writerow(["" if cell is None else cell for cell in told])
    for change in review.changes:
        writer.writerow([name, change.of or "", "", change.change, "", "", "", "", "", change.words])
    return text.getvalue()


def problem_row(name: str, words: str) -> str:
    """The row of a list that cannot be answered."""
    text = io.StringIO()
    csv.writer(text).writerow([name, "", "", "problem", "", "", "", "", "", words])
    return text.getvalue()


REVIEW_FORMS = (
    Form(
        TABLE,
        f"A table with a head (RFC 4180), a row a tree, then a row a change; its columns: {', '.join(COLUMNS)}.",
        lambda _, review: HEAD + review_rows("", review),
    ),
)
"""Forms of a review beside JSON."""
