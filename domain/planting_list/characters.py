"""What the lists of one answer are like: the best, and others each the best of a character that the best has not.

A list bears a character only while it keeps the rule of that character as it is told, with all its trees.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
from msgspec.structs import asdict
from numpy.typing import NDArray

from domain.common.season_days import month_day
from domain.planting_list.diversity import Character
from domain.planting_list.list_answer import CharacterCode, ListCharacter
from domain.planting_list.rules import Rule
from domain.planting_list.trees_at_site import SitedCultivars
from domain.tables.parameters import figures
from domain.tables.words import Value, say
from domain.traits.fruit_like import raised, said
from domain.traits.told_near_by import FIGURES as NEAR_BY

Bools = NDArray[np.bool_]


class CharacterFigures(msgspec.Struct, frozen=True):
    """From when fruit keeps, is early, is new or old; which is among the soundest; what a character may cost."""

    keeping_weeks: float
    early_share: float
    new_since: int
    old_before: int
    soundest_share: float
    least_worth: float
    least_tree_worth: float


FIGURES = figures("planting_list", "characters", CharacterFigures)


@dataclass(frozen=True)
class Kind:
    """A character: who has it, (n,) of the sited cultivars, and how many of a list's trees must."""

    code: CharacterCode
    has: Bools
    least: int
    out_of: int
    values: Callable[[Sequence[int]], dict[str, Value]]
    """What its sentence says of the rows that have it."""

    def holds(self, rows: Sequence[int]) -> bool:
        """Whether a list of these rows has it."""
        return self.out_of * int(self.has[list(rows)].sum()) >= self.least * len(rows)


def kinds(sited: SitedCultivars, suited: Bools) -> tuple[Kind, ...]:
    """Every character, in the order in which they are tried. suited: (n,) who suits the site."""
    years = np.array([raised(cultivar) for cultivar in sited.cultivars], dtype=np.float64)
    known = suited & np.isfinite(sited.harvest_first)
    early_day = float(np.quantile(sited.harvest_first[known], FIGURES.early_share)) if known.any() else -np.inf
    sound = float(np.quantile(sited.sound[suited], 1.0 - FIGURES.soundest_share)) if suited.any() else np.inf
    told = np.array([bool(sited.told.get(cultivar.id)) for cultivar in sited.cultivars], dtype=np.bool_)
    with np.errstate(invalid="ignore"):
        keeps = sited.keeps_surely >= FIGURES.keeping_weeks
        early = sited.harvest_first <= early_day
        new, old = years >= FIGURES.new_since, years < FIGURES.old_before

    def named(rows: Sequence[int]) -> dict[str, Value]:
        cultivars = [sited.cultivars[row] for row in rows]
        return {"cultivars": tuple(one.name for one in cultivars), "ids": tuple(one.id for one in cultivars)}

    def keeping(rows: Sequence[int]) -> dict[str, Value]:
        return {**named(rows), "weeks": float(sited.storage_weeks[list(rows), 0].min())}

    def ripe(rows: Sequence[int]) -> dict[str, Value]:
        return {**named(rows), "day": month_day(float(sited.harvest_first[list(rows)].max()), sited.south)}

    def tasting(trait: str, *classes: str) -> Bools:
        return np.array([bool(set(classes) & set(said(c, trait))) for c in sited.cultivars], dtype=np.bool_)

    aromatic = np.array([bool(said(c, "aroma")) for c in sited.cultivars], dtype=np.bool_)
    return (
        Kind("for_keeping", np.asarray(keeps), 1, 2, keeping),
        Kind("tried_near_by", told, 1, 1, lambda _: {"km": NEAR_BY.near_km}),
        Kind("of_new_cultivars", new, 1, 1, lambda _: {"year": FIGURES.new_since}),
        Kind("soundest_unsprayed", np.asarray(sited.sound >= sound), 1, 1, lambda _: {}),
        Kind("of_early_fruit", np.asarray(early), 1, 2, ripe),
        Kind("of_old_cultivars", old, 1, 1, lambda _: {"year": FIGURES.old_before}),
        Kind("aromatic", aromatic, 1, 1, lambda _: {}),
        Kind("sweet", tasting("flavour", "sweet"), 1, 1, lambda _: {}),
        Kind("sharp", tasting("flavour", "sharp"), 1, 1, lambda _: {}),
    )


def rules(
    every: Sequence[Kind], rows: NDArray[np.intp], fixed: Bools, told: Bools | None = None
) -> tuple[Character, ...]:
    """The characters as rules on the candidates. rows: (m,) of the sited cultivars; fixed: (m,) planted in any case.

    Where all trees must have a character, a tree that is planted in any case and has it not rules it out. told: (n,) of
    which sources near by speak; a list of a character is made of those alone, where there are any.
    """
    found = []
    among = None if told is None or not told[rows].any() else told[rows]
    for kind in every:
        members = kind.has[rows]
        if kind.least == kind.out_of and not members[fixed].all():
            continue
        found.append(
            Character(
                kind.code, Rule(members, kind.least, kind.out_of), FIGURES.least_worth, FIGURES.least_tree_worth, among
            )
        )
    return tuple(found)


def characters(
    sited: SitedCultivars, every: Sequence[Kind], codes: Sequence[str | None], lists: Sequence[Sequence[int]]
) -> tuple[ListCharacter, ...]:
    """What each list is like, in a sentence. lists: the rows of their trees, the first the best.

    codes: the character by whose rule each was chosen. One that was chosen by none is called by what it is and the
    first is not, where no other list is called so.
    """
    once = [list(dict.fromkeys(rows)) for rows in lists]
    by_code = {kind.code: kind for kind in every}
    found: list[ListCharacter] = []
    for n, rows in enumerate(once):
        holding = [kind for kind in every if kind.holds(rows)]
        apart = [kind for kind in holding if n and not kind.holds(once[0])]
        kind = next((one for one in apart if one.code == codes[n]), None)
        if kind is None:
            called = {one.code for one in found} | {code for code in codes if code is not None}
            kind = next((one for one in apart if one.code not in called), None)
        like = _of(sited, rows, once[0] if n else None) if kind is None else _called(by_code[kind.code], rows)
        also = tuple(one.code for one in holding if one.code != like.code)
        found.append(msgspec.structs.replace(like, also=also))
    return tuple(found)


def _called(kind: Kind, rows: Sequence[int]) -> ListCharacter:
    return _said(kind.code, **kind.values([row for row in rows if kind.has[row]]))


def _of(sited: SitedCultivars, rows: Sequence[int], first: Sequence[int] | None) -> ListCharacter:
    """What is said of the first list, or of one that has no character of its own beside it."""
    if all(sited.verdict[row] == "not_here" for row in rows):
        return _said("least_bad_here")
    if first is None:
        sure = all(sited.verdict[row] == "plant" for row in rows)
        return _said("best_here" if sure else "best_though_not_sure")
    ours, theirs = [row for row in rows if row not in first], [row for row in first if row not in rows]
    if not ours or not theirs:
        return _said("fewer_or_more_trees")
    cultivars, others = [sited.cultivars[row] for row in ours], [sited.cultivars[row] for row in theirs]
    return _said(
        "another_choice",
        cultivars=tuple(one.name for one in cultivars),
        ids=tuple(one.id for one in cultivars),
        others=tuple(one.name for one in others),
        other_ids=tuple(one.id for one in others),
    )


def _said(code: CharacterCode, **values: Value) -> ListCharacter:
    return ListCharacter(**asdict(say(code, **values)), best_possible_value=None)
