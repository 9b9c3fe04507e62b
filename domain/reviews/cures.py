"""What kind of work a cause asks for, and which is likely enough to be done: causes with one cure count together.

One kind may be of several works that do not help each other: a guard of wire is none against borers.
"""

from collections.abc import Sequence
from functools import lru_cache

from domain.hazards.hand_methods import hand_methods
from domain.reviews.review_answer import ChangeKind, LikelyCause

REMEMBERED_KINDS = 512
"""Causes whose kind of work is kept."""
_BY_CAUSE: dict[str, ChangeKind] = {
    "too_young": "wait",
    "natural_drop": "wait",
    "transplant_shock": "wait",
    "frost_took_the_bloom": "wait",
    "bees_weather": "wait",
    "winter_injury": "wait",
    "hail": "wait",
    "herbicide": "wait",
    "nutrition": "feed_less",
    "drought": "water",
    "wet_soil": "drain",
    "animals": "guard",
    "old_age": "prune",
    "biennial": "thin",
    "needs_thinning": "thin",
    "pruned_wrongly": "prune",
    "too_vigorous": "prune",
    "stock_too_strong": "prune",
    "too_shaded": "let_light_in",
    "mislabelled": "regraft",
    "rootstock_shoots": "regraft",
    "aphids": "clear_away",
    "borers": "guard",
    "leaf_eaters": "clear_away",
    "brown_rot": "clear_away",
    "core_rot": "prune",
    "leaf_blotch": "clear_away",
    "leaf_mottle": "wait",
    "crown_rot": "drain",
    "sunburn": "guard",
    "grass_over_roots": "mulch",
    "planted_too_deep": "clear_away",
    "wounds": "guard",
    "autumn": "wait",
    "seedling": "regraft",
    "picked_unripe": "wait",
}
"""Salt has none: a belt to seaward is no guard against what gnaws, and the two must not count together as one cure;
what is done by hand stands beside the cause. Partners, room, chill and a long season want another tree or place.
"""
_BY_WORK: dict[str, ChangeKind] = {
    "by_hand_too_vigorous_fed": "feed_less",
    "by_hand_winter_injury_bark": "guard",
}
"""What is done by hand, where that is another kind of work than its cause asks for elsewhere."""
_ONE_WORK: dict[str, str] = {
    "by_hand_too_vigorous_fed": "by_hand_nutrition",
    "by_hand_sunburn_bark": "by_hand_winter_injury_bark",
    "by_hand_biennial": "by_hand_needs_thinning",
    "by_hand_pruned_wrongly_hard": "by_hand_too_vigorous",
    "by_hand_pruned_wrongly_tips_hard": "by_hand_too_vigorous",
    "by_hand_stock_too_strong": "by_hand_too_vigorous",
    "by_hand_crown_rot": "by_hand_wet_soil",
    "by_hand_rootstock_shoots": "by_hand_mislabelled",
    "by_hand_seedling": "by_hand_mislabelled",
}
"""What is done by hand -> what asks for the same in other words; of the rest each is a work of its own."""
_BY_METHOD: dict[str, ChangeKind] = {
    "hygiene": "clear_away",
    "pruning": "prune",
    "scouting": "shield_fruit",
    "bagging": "shield_fruit",
    "netting": "shield_fruit",
    "bands": "shield_fruit",
}


def cure(cause: LikelyCause) -> ChangeKind | None:
    """The kind of work that a cause asks for; None where there is none, or another cultivar is wanted."""
    return _kind(cause.cause, cause.by_hand.code)


@lru_cache(maxsize=REMEMBERED_KINDS)
def _kind(cause: str, by_hand: str) -> ChangeKind | None:
    kind, _, what = cause.partition(":")
    if not what:
        return _BY_WORK.get(by_hand, _BY_CAUSE.get(kind))
    methods = hand_methods(what)
    return _BY_METHOD.get(methods[0].kind) if methods else None


@lru_cache(maxsize=REMEMBERED_KINDS)
def _kind_and_work(cause: str, by_hand: str) -> tuple[ChangeKind, str] | None:
    """The kind of work that a cause asks for, and which work of it: to wait is one whatever for, so are the methods of
    a kind by their table, and else what is done by hand decides.
    """
    kind = _kind(cause, by_hand)
    if kind is None:
        return None
    return kind, "" if kind == "wait" or ":" in cause else _ONE_WORK.get(by_hand, by_hand)


def prescribed(
    causes: Sequence[LikelyCause], prescribe_from: float, label_doubted: bool
) -> dict[ChangeKind, LikelyCause]:
    """Kind of work -> the likeliest of the causes that ask for one work of it, where for one complaint they are likely
    enough.

    Nothing is grafted over while it is in doubt what it is.
    """
    asking: dict[tuple[str, tuple[ChangeKind, str]], list[LikelyCause]] = {}
    for cause in causes:
        asked = _kind_and_work(cause.cause, cause.by_hand.code)
        if asked is not None and not (label_doubted and asked[0] == "regraft"):
            asking.setdefault((cause.complaint, asked), []).append(cause)
    found: dict[ChangeKind, LikelyCause] = {}
    for (_, (kind, _)), told in asking.items():
        if sum([cause.probability for cause in told]) >= prescribe_from:
            found.setdefault(kind, max(told, key=lambda cause: cause.probability))
    return found
