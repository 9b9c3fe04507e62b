"""What lies behind a complaint: published odds of its causes, moved by what is told of the tree and known of the site.

Each cause has odds before anything is told (`fruits/apple/complaint_causes.csv`); what is told of the tree, and what
the site and the cultivar make likely (`cause_odds.py`), and the signs that were seen multiply them. The shares of all
causes of a complaint, with one for what nobody listed, are told as probabilities.
"""

import math
from collections.abc import Mapping

import msgspec

from domain.fruit.complaints import CAUSES_OF, Complaint
from domain.fruit.signs import SIGNS, Sign, speaks_against_others, speaks_of
from domain.reviews.cause_facts import FIGURES, TreeFacts
from domain.reviews.cause_odds import weigher


class Cause(msgspec.Struct, frozen=True):
    """A cause of a complaint with its probability."""

    complaint: Complaint
    code: str
    probability: float


_WEIGHTS = {complaint: {row.cause: row.weight for row in rows} for complaint, rows in CAUSES_OF.items()}
"""Complaint -> the odds of each cause before anything is told."""
_WEIGHERS = {
    complaint: {row.cause: weigher(row.cause, complaint) for row in rows} for complaint, rows in CAUSES_OF.items()
}
"""Complaint -> what moves the odds of each cause, looked up once: a review weighs dozens."""


def likely_causes(complaint: Complaint, facts: TreeFacts) -> tuple[Cause, ...]:
    """Every cause of a complaint by its probability, likeliest first; the shares leave room for what nobody listed."""
    odds = told_odds(complaint, facts, _WEIGHTS[complaint])
    whole = sum(odds.values()) + FIGURES.unlisted
    by_share = sorted([(-share / whole, code) for code, share in odds.items()])
    return tuple([Cause(complaint, code, -minus) for minus, code in by_share])


def told_odds(complaint: Complaint, facts: TreeFacts, before: Mapping[str, float]) -> dict[str, float]:
    """Code of a cause -> its odds, of those before anything is told and by what is known of the tree and the site."""
    odds: dict[str, float] = {}
    seen = [sign for sign in facts.signs if speaks_of(sign, complaint)]
    weighers = _WEIGHERS[complaint]
    for cause, weight in before.items():
        code = facts.partner_trouble if cause == "no_partner" else cause
        told = weight * weighers[cause](facts)
        if seen:
            told *= math.prod(_by_sign(sign, cause, complaint) for sign in seen)
        odds[code] = odds.get(code, 0.0) + told
    return odds


def _by_sign(sign: Sign, cause: str, complaint: Complaint) -> float:
    """By how much a sign moves the odds of a cause: a mark of one of the complaint speaks against all others."""
    speaks = SIGNS[sign].causes.get(cause)
    if speaks is None:
        return FIGURES.less if speaks_against_others(sign, complaint) else 1.0
    return FIGURES.much_more if speaks == "mark" else FIGURES.more
