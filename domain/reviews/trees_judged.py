"""One tree of a planting judged: what the site makes of it, its pollen, and what lies behind its complaints."""

import math
from collections.abc import Iterator
from functools import lru_cache
from typing import get_args

import msgspec

from domain.common.season_days import season_day
from domain.fruit.complaints import Complaint, PlainCause
from domain.fruit.signs import SIGNS, Sign, marks_of, speaks_of
from domain.hazards.hand_methods import hand_methods
from domain.planting_list.list_answer import NamedCultivar
from domain.pollination.pairs import FIGURES as PAIRS
from domain.pollination.pairs import VERDICTS
from domain.reviews.causes import Cause, TreeFacts, likely_causes, tips_may_be_cut
from domain.reviews.cures import prescribed
from domain.reviews.orchard import Orchard
from domain.reviews.planned_trees import in_doubt, stocks_that_stand_it, too_little_sun
from domain.reviews.review_answer import (
    Judgement,
    LabelDoubted,
    LikelyCause,
    ReviewedTreeAnswer,
    ReviewPartner,
    ReviewPollination,
)
from domain.reviews.review_request import Seen
from domain.reviews.tree_facts import tree_facts
from domain.reviews.tree_told import contradictions, room_of
from domain.suitability.suitability_answer import BloomWindow, HarvestWindow, Suitability
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say, texts

MOST_PARTNERS = 4
REMEMBERED_CAUSES = 4096
"""Causes that are kept as they were told."""
PLAIN_CAUSES = frozenset(get_args(PlainCause))
OF_LEAF_AND_WOOD: frozenset[Complaint] = frozenset({"leaves_drop", "ailing_leaves", "dieback", "damaged_bark"})
"""Complaints of which experts ask how they came, and for the foot of the trunk, where roots and bark fail unseen."""
HURTS_BARK = frozenset({"winter_injury", "sunburn"})
"""Causes of which bark is cured otherwise than twigs and fruit."""


class ReviewFigures(msgspec.Struct, frozen=True):
    """From where on something is told of a planting, or changed; see parameters/reviews.csv, subject review."""

    prescribe_from: float
    least_told: float
    most_told: int
    well_served: float
    barely_served: float
    weak_years: float
    gap_days: int
    glut_share: float
    least_trees: int
    shared_share: float
    label_days: int
    most_fitting: int
    partner_rank_share: float
    served_share: float
    near_best_share: float
    keeper_weeks: float
    fortnight_days: int
    shared_pressure: float
    shared_susceptibility: float
    resists_below: float
    most_signs_asked: int
    more_causes_asked: int


FIGURES = figures("reviews", "review", ReviewFigures)


def tree_judged(orchard: Orchard, place: int) -> ReviewedTreeAnswer:
    """One tree of a planting."""
    told, tree = orchard.planting.request.trees[place], orchard.planting.trees[place]
    one = orchard.named(place)
    doubted = () if one is None else tuple(_doubts(orchard, one, told.seen))
    causes, ask_next = _causes_told(orchard, place, bool(doubted))
    return ReviewedTreeAnswer(
        label=tree.label,
        asked=told.cultivar,
        cultivar=None if one is None else one.cultivar,
        id=tree.cultivar_id,
        count=tree.count,
        judgement=_judgement(orchard, place, one, causes, bool(doubted)),
        verdict=None if one is None else one.verdict,
        limiting=None if one is None else one.limiting,
        cropping_years_in_ten=None if one is None else one.cropping_years_in_ten,
        said=say("review_tree_unnamed") if one is None else Sentence(code=one.code, values=one.values, words=one.words),
        pollination=ReviewPollination(
            pollinated=round(orchard.pollinated(place), 2), partners=_partners(orchard, place)
        ),
        bloom=None if one is None else one.bloom,
        harvest=None if one is None else one.harvest,
        likely_causes=tuple(causes),
        label_doubted=doubted,
        room=room_of(orchard, place, lambda other: name_of(orchard, other)),
        contradictions=contradictions(orchard, place),
        ask_next=ask_next,
    )


def name_of(orchard: Orchard, place: int) -> str:
    """What a tree is called in the answer."""
    tree = orchard.planting.trees[place]
    row = orchard.row(tree)
    return orchard.planting.label(place, tree.kind.replace("_", " ") if row is None else orchard.sited.name(row))


def complained(orchard: Orchard) -> bool:
    """Whether anything is complained of any tree."""
    return any(tree.complaints for tree in orchard.planting.request.trees)


def wants_pollen(orchard: Orchard, place: int, least: float | None = None) -> bool:
    """Whether a tree is short of pollen; one that is planted for its pollen alone never is."""
    row = orchard.rows[place]
    wants = row is None or orchard.own.here.wants_pollen[row]
    return wants and orchard.pollinated(place) < (FIGURES.well_served if least is None else least)


def _judgement(
    orchard: Orchard, place: int, one: Suitability | None, causes: list[LikelyCause], doubted: bool
) -> Judgement:
    asked = prescribed(causes, FIGURES.prescribe_from, doubted).keys() - {"wait"}
    sure = bool(asked) or doubted or bool(orchard.rooms.crowded(place)) or _changed_on_paper(orchard, place, one)
    if (one is not None and one.verdict == "not_here") or sure or wants_pollen(orchard, place, FIGURES.barely_served):
        return "change"
    unsure = one is None or one.verdict != "plant"
    if unsure or causes or wants_pollen(orchard, place):
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
    row = orchard.row(orchard.planting.trees[place])
    if row is None:
        return ()
    sources = zip(orchard.sources.chance[place], orchard.sources.rows, orchard.sources.metres[place], strict=True)
    found = [one for one in sources if one[1] != row and one[0] >= PAIRS.ineffective_chance]
    found.sort(key=lambda one: -one[0])
    return tuple(
        ReviewPartner(
            cultivar=orchard.sited.name(other),
            id=orchard.sited.cultivars[other].id,
            verdict=VERDICTS[orchard.table.verdict[row, other]],
            probability=round(chance, 2),
            distance_m=None if math.isnan(apart) else round(apart, 1),
        )
        for chance, other, apart in found[:MOST_PARTNERS]
    )


def _causes_told(orchard: Orchard, place: int, doubted: bool) -> tuple[list[LikelyCause], tuple[Sentence, ...]]:
    """The likeliest causes of each complaint of a tree, and what else to look at or to tell, to part them: nothing of a
    complaint whose first cause left its mark and is acted on.
    """
    complaints = list(dict.fromkeys(orchard.planting.request.trees[place].complaints))
    if not complaints:
        return [], ()
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
    named = orchard.row(orchard.planting.trees[place]) is not None
    circumstances = _circumstances(unsure, facts, named)
    asked = tuple(_asked_next(told, parted, further, facts, bool(unsure)))
    return [_told(cause, facts) for cause in told], (*asked, *circumstances)


def _circumstances(unsure: list[Complaint], facts: TreeFacts, named: bool) -> Iterator[Sentence]:
    """What experts ask of a tree whose complaint no cause explains well enough: what was not told of it, and how the
    complaint came. unsure: those complaints. named: whether the cultivar is known.
    """
    if unsure and not named:
        yield say("ask_cultivar")
    if unsure and facts.age is None:
        yield say("ask_year_planted")
    if not OF_LEAF_AND_WOOD.isdisjoint(unsure):
        yield say("ask_course")
        yield say("ask_foot_of_trunk")


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
        yield say("ask_photographs")
    open_still = _untold(facts) - {cause.code for cause in told}
    codes = dict.fromkeys(one.code for one in further if one.code in open_still)
    for code in tuple(codes)[: FIGURES.more_causes_asked]:
        yield say(f"find_out_{code}")


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


def _doubts(orchard: Orchard, one: Suitability, seen: list[Seen]) -> list[LabelDoubted]:
    """Dates seen that lie far outside what the cultivar of the label does here."""
    found = []
    for each in seen:
        window, expected = _expected(one, each)
        if window is None or expected is None:
            continue
        apart = _days_apart(each.date[5:], expected, orchard.sited.south)
        if abs(apart) > window.uncertainty_days + FIGURES.label_days:
            found.append(
                LabelDoubted(
                    event=each.event,
                    seen=each.date,
                    expected=expected,
                    days_apart=apart,
                    would_fit=_fitting(orchard, each),
                )
            )
    return found


def _expected(one: Suitability, seen: Seen) -> tuple[BloomWindow | HarvestWindow | None, str | None]:
    """The window of an event that was seen, and the day on which it is expected."""
    if seen.event == "full_bloom":
        return one.bloom, None if one.bloom is None else one.bloom.full
    if seen.event == "first_ripe":
        return one.harvest, None if one.harvest is None else one.harvest.first
    return None, None


def _fitting(orchard: Orchard, seen: Seen) -> tuple[NamedCultivar, ...]:
    """Cultivars whose day here a day seen fits: those of the planting first, since labels get changed over."""
    standing = {tree.cultivar_id for tree in orchard.planting.trees}
    near = []
    for one in orchard.choice_told.values():
        window, expected = _expected(one, seen)
        if window is None or expected is None or one.verdict not in ("plant", "worth_trying"):
            continue
        apart = abs(_days_apart(seen.date[5:], expected, orchard.sited.south))
        if apart <= window.uncertainty_days:
            sited = orchard.choice.sited
            known = sited.cultivars[sited.row[one.id]].recommended_by
            near.append((one.id not in standing, -known, apart, one.id, one))
    return tuple(NamedCultivar(cultivar=one.cultivar, id=one.id) for *_, one in sorted(near)[: FIGURES.most_fitting])


def _days_apart(seen: str, expected: str, south: bool) -> int:
    """Days from the day expected to the day seen, MM-DD both, the shorter way round the year."""
    apart = season_day(seen, south) - season_day(expected, south)
    return (apart + 182) % 365 - 182
