"""The causes of a tree's complaints that are told, each in words, and what is asked to part them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import get_args

from domain.fruit.complaints import Complaint, PlainCause
from domain.fruit.signs import SIGNS, Sign, marks_of, speaks_of
from domain.hazards.hand_methods import hand_methods
from domain.reviews.cause_facts import TreeFacts
from domain.reviews.cause_odds import tips_may_be_cut
from domain.reviews.causes import Cause, likely_causes
from domain.reviews.cures import prescribed
from domain.reviews.labels import labels_doubted
from domain.reviews.orchard import Orchard
from domain.reviews.review_answer import ChangeKind, LabelDoubted, LikelyCause
from domain.reviews.review_figures import FIGURES
from domain.reviews.tree_facts import tree_facts
from domain.tables.words import Sentence, say, texts

REMEMBERED_CAUSES = 4096
"""Causes that are kept as they were told."""
PLAIN_CAUSES = frozenset(get_args(PlainCause))
OF_LEAF_AND_WOOD: frozenset[Complaint] = frozenset({"leaves_drop", "ailing_leaves", "dieback", "damaged_bark"})
"""Complaints of which experts ask how they came, and for the foot of the trunk, where roots and bark fail unseen."""
HURTS_BARK = frozenset({"winter_injury", "sunburn"})
"""Causes of which bark is cured otherwise than twigs and fruit."""


@dataclass(frozen=True)
class Ails:
    """What ails a tree: dates seen that its label can hardly have, the causes told of its complaints, what is asked to
    part them, and the work that they ask for, where they are likely enough.
    """

    label_doubted: tuple[LabelDoubted, ...] = ()
    causes: tuple[LikelyCause, ...] = ()
    ask_next: tuple[Sentence, ...] = ()
    work: Mapping[ChangeKind, LikelyCause] = field(default_factory=dict)


def what_ails(orchard: Orchard, place: int) -> Ails:
    """What ails one tree of a planting."""
    told, one = orchard.planting.request.trees[place], orchard.named(place)
    doubted = () if one is None or not told.seen else tuple(labels_doubted(orchard, one, told.seen))
    if not told.complaints:
        return Ails(doubted)
    causes, ask_next = _causes_told(orchard, place, bool(doubted))
    return Ails(doubted, causes, ask_next, prescribed(causes, FIGURES.prescribe_from, bool(doubted)))


def _causes_told(orchard: Orchard, place: int, doubted: bool) -> tuple[tuple[LikelyCause, ...], tuple[Sentence, ...]]:
    """The likeliest causes of each complaint of a tree, and what else to look at or to tell, to part them: nothing of a
    complaint whose first cause left its mark and is acted on.
    """
    complaints = dict.fromkeys(orchard.planting.request.trees[place].complaints)
    facts = tree_facts(orchard, place, doubted)
    told: list[Cause] = []
    parted: list[Cause] = []
    further: list[Cause] = []
    unsure: list[Complaint] = []
    for complaint in complaints:
        found = likely_causes(complaint, facts)
        likely = [one for one in found[: FIGURES.most_told] if one.probability >= FIGURES.least_told]
        told += likely
        acted_on = bool(likely) and likely[0].probability >= FIGURES.prescribe_from
        if not acted_on:
            unsure.append(complaint)
        if not acted_on or not _is_seen(likely[0], facts):
            parted += likely
            further += found[len(likely) :]
    circumstances = _circumstances(unsure, facts, named=orchard.rows[place] is not None)
    asked = tuple(_asked_next(told, parted, further, facts, bool(unsure)))
    return tuple([_told(cause, facts) for cause in told]), (*asked, *circumstances)


def _circumstances(unsure: list[Complaint], facts: TreeFacts, *, named: bool) -> Iterator[Sentence]:
    """What experts ask of a tree whose complaint no cause explains well enough: what was not told of it, and how the
    complaint came. unsure: those complaints. named: whether the cultivar is known.
    """
    if unsure and not named:
        yield _asked("ask_cultivar")
    if unsure and facts.age is None:
        yield _asked("ask_year_planted")
    if not OF_LEAF_AND_WOOD.isdisjoint(unsure):
        yield _asked("ask_course")
        yield _asked("ask_foot_of_trunk")


def _asked_next(
    told: list[Cause], parted: list[Cause], further: list[Cause], facts: TreeFacts, unsure: bool
) -> Iterator[Sentence]:
    """The marks of the causes to be parted that were not seen yet; photographs, which experts ask back for most, where
    no sign was told or but coarse ones; and the questions of further causes that nothing told speaks of, none that
    stands beside a cause told, of whichever complaint. unsure: whether no cause of some complaint is likely enough to
    be acted on.
    """
    marks = (mark for cause in parted for mark in marks_of(cause.code, cause.complaint) if mark not in facts.signs)
    signs = tuple(dict.fromkeys(marks))[: FIGURES.most_signs_asked]
    if signs:
        yield _signs_asked(signs)
    coarse = bool(parted and facts.signs)
    if (unsure or coarse) and not any(_is_seen(cause, facts) for cause in parted):
        yield _asked("ask_photographs")
    open_still = _untold(facts) - {cause.code for cause in told}
    codes = dict.fromkeys(one.code for one in further if one.code in open_still)
    for code in tuple(codes)[: FIGURES.more_causes_asked]:
        yield _asked(f"find_out_{code}")


@lru_cache(maxsize=REMEMBERED_CAUSES)
def _asked(code: str) -> Sentence:
    return say(code)


@lru_cache(maxsize=REMEMBERED_CAUSES)
def _signs_asked(signs: tuple[Sign, ...]) -> Sentence:
    return say("ask_signs", signs=signs)


def _untold(facts: TreeFacts) -> frozenset[str]:
    """Causes that have a fact which speaks of them and was not told."""
    told = {
        "drought": facts.irrigated,
        "wet_soil": facts.texture if facts.drainage is None else facts.drainage,
        "too_shaded": facts.sun_hours,
        "pruned_wrongly": facts.pruning,
        "nutrition": facts.feeding,
        "too_young": facts.age,
        "biennial": facts.cropped_years_ago,
    }
    return frozenset(cause for cause, fact in told.items() if fact is None)


def _told(cause: Cause, facts: TreeFacts) -> LikelyCause:
    told, seen = what_is_told(cause, facts), _is_seen(cause, facts)
    return _in_words(cause.complaint, cause.code, round(cause.probability, 2), told, seen)


def _is_seen(cause: Cause, facts: TreeFacts) -> bool:
    """Whether a mark of a cause was told, on a part of the tree that its complaint is of."""
    return any(
        SIGNS[sign].causes.get(cause.code) == "mark" and speaks_of(sign, cause.complaint) for sign in facts.signs
    )


def what_is_told(cause: Cause, facts: TreeFacts) -> str:
    """What of a cause was told already, so that it is not asked again; empty where nothing was."""
    code = cause.code
    if code == "pruned_wrongly" and tips_may_be_cut(cause.complaint, facts):
        return "_tips_hard" if facts.pruning == "hard" else "_tips"
    if code == "too_vigorous":
        return "_fed" if facts.feeding == "much" and facts.pruning != "hard" else ""
    if code in HURTS_BARK:
        return "_bark" if cause.complaint == "damaged_bark" else ""
    if code == "pruned_wrongly":
        return {"hard": "_hard", "none": "_never"}.get(facts.pruning or "", "")
    if code == "too_young":
        return "" if facts.age is None or facts.stock_percent is None else "_told"
    if code == "too_shaded":
        return "" if facts.sun_hours is None else "_told"
    return ""


def _said_of(code: str, told: str) -> Sentence:
    """A sentence of a plain cause: that for what was told, where there is one of its own."""
    return say(code + told if code + told in texts() else code)


@lru_cache(maxsize=REMEMBERED_CAUSES)
def _in_words(complaint: Complaint, code: str, probability: float, told: str, seen: bool) -> LikelyCause:
    """Kept, since trees of many plantings have the same few causes. seen: whether a mark of it was told."""
    kind, _, what = code.partition(":")
    if kind in PLAIN_CAUSES:
        said, ask = _said_of(f"cause_{kind}", told), _said_of(f"find_out_{kind}", told)
        cure = _said_of(f"by_hand_{kind}", told)
    else:
        said, ask = say(f"cause_{kind}", **{kind: what}), say(f"find_out_{kind}", **{kind: what})
        methods = hand_methods(what)
        cure = say(methods[0].code) if methods else say("by_hand_ask_locally")
    return LikelyCause(
        complaint=complaint,
        cause=code,
        probability=probability,
        said=said,
        find_out=say("find_out_seen" if kind in PLAIN_CAUSES else "find_out_confirmed") if seen else ask,
        by_hand=cure,
    )
