"""One tree of a planting judged: what the site makes of it, its pollen, and what lies behind its complaints."""

import math

from domain.pollination.pairs import FIGURES as PAIRS
from domain.pollination.pairs import VERDICTS
from domain.reviews.causes_told import Ails
from domain.reviews.orchard import Orchard
from domain.reviews.planned_trees import in_doubt, stocks_that_stand_it, too_little_sun
from domain.reviews.review_answer import Judgement, ReviewedTreeAnswer, ReviewPartner, ReviewPollination
from domain.reviews.review_figures import FIGURES
from domain.reviews.tree_told import contradictions, room_of
from domain.suitability.suitability_answer import Suitability
from domain.tables.words import Sentence, say

MOST_PARTNERS = 4


def tree_judged(orchard: Orchard, place: int, ails: Ails) -> ReviewedTreeAnswer:
    """One tree of a planting, and what ails it."""
    told, tree = orchard.planting.request.trees[place], orchard.planting.trees[place]
    one = orchard.named(place)
    return ReviewedTreeAnswer(
        label=tree.label,
        asked=told.cultivar,
        cultivar=None if one is None else one.cultivar,
        id=tree.cultivar_id,
        count=tree.count,
        judgement=_judgement(orchard, place, one, ails),
        verdict=None if one is None else one.verdict,
        limiting=None if one is None else one.limiting,
        cropping_years_in_ten=None if one is None else one.cropping_years_in_ten,
        said=say("review_tree_unnamed") if one is None else Sentence(code=one.code, values=one.values, words=one.words),
        pollination=ReviewPollination(
            pollinated=round(orchard.pollinated(place), 2), partners=_partners(orchard, place)
        ),
        bloom=None if one is None else one.bloom,
        harvest=None if one is None else one.harvest,
        likely_causes=ails.causes,
        label_doubted=ails.label_doubted,
        room=room_of(orchard, place),
        contradictions=contradictions(orchard, place),
        ask_next=ails.ask_next,
    )


def complained(orchard: Orchard) -> bool:
    """Whether anything is complained of any tree."""
    return any(tree.complaints for tree in orchard.planting.request.trees)


def wants_pollen(orchard: Orchard, place: int, least: float | None = None) -> bool:
    """Whether a tree is short of pollen; one that is planted for its pollen alone never is."""
    least = FIGURES.well_served if least is None else least
    return bears_by_pollen(orchard, place) and orchard.pollinated(place) < least


def bears_by_pollen(orchard: Orchard, place: int) -> bool:
    """Whether a tree is not planted for its pollen alone, and its bloom is known or its cultivar is not."""
    row = orchard.rows[place]
    return row is None or orchard.own.here.wants_pollen[row]


def _judgement(orchard: Orchard, place: int, one: Suitability | None, ails: Ails) -> Judgement:
    sure = (
        bool(ails.work.keys() - {"wait"} or ails.label_doubted)
        or bool(orchard.rooms.crowded(place))
        or _changed_on_paper(orchard, place, one)
    )
    if (one is not None and one.verdict == "not_here") or sure or wants_pollen(orchard, place, FIGURES.barely_served):
        return "change"
    unsure = one is None or one.verdict != "plant"
    if unsure or ails.causes or wants_pollen(orchard, place):
        return "watch"
    return "keep"


def _changed_on_paper(orchard: Orchard, place: int, one: Suitability | None) -> bool:
    return (
        in_doubt(orchard, place, one) is not None
        or too_little_sun(orchard, place) is not None
        or stocks_that_stand_it(orchard, place) is not None
    )


def _partners(orchard: Orchard, place: int) -> tuple[ReviewPartner, ...]:
    """The trees around that serve a tree, surest first."""
    row, sources = orchard.rows[place], orchard.pollen.sources
    if row is None:
        return ()
    each = zip(sources.chance[place], sources.rows, sources.metres[place], sources.verdict[place], strict=True)
    found = [one for one in each if one[0] >= PAIRS.ineffective_chance and one[1] != row]
    found.sort(key=lambda one: -one[0])
    return tuple(
        ReviewPartner(
            cultivar=orchard.sited.name(other),
            id=orchard.sited.cultivars[other].id,
            verdict=VERDICTS[verdict],
            probability=round(chance, 2),
            distance_m=None if math.isnan(apart) else round(apart, 1),
        )
        for chance, other, apart, verdict in found[:MOST_PARTNERS]
    )
