"""The year's work and crop of one tree and of a planting, against what a household eats.

Hours are those of the forms' tables (from memory; no published hours of a garden tree were found).
"""

from collections.abc import Sequence
from typing import Literal

import msgspec
from msgspec.structs import asdict

from domain.tables.parameters import figures
from domain.tables.words import Sentence, Value, say
from domain.trees.tree_size import Likely, TreeSize


class UpkeepFigures(msgspec.Struct, frozen=True):
    """What a household eats."""

    fresh_kg_a_person: float
    plenty_ratio: float


FIGURES = figures("trees", "upkeep", UpkeepFigures)

UpkeepCode = Literal[
    "guard_young_trees",
    "pots_in_summer_and_winter",
    "trees_that_take_a_ladder",
    "crop_for_one_person",
    "crop_for_persons",
    "crop_more_than_eaten",
    "crop_less_than_eaten",
]


class UpkeepNote(Sentence, frozen=True, kw_only=True):
    """What to mind of a planting's work and crop."""

    code: UpkeepCode


class Upkeep(msgspec.Struct, frozen=True, kw_only=True):
    """What a planting asks and gives in a year, once grown; no crop is told of what will not bear."""

    pruning_hours_a_year: tuple[float, float]
    trees_with_ladder: int
    trees_with_support: int
    yearly_crop_kg: Likely | None
    first_crop_after_years: tuple[int, int]
    persons_fed: tuple[int, int] | None
    """Persons whose fresh apples it grows, in a poor and in a good year of what we know."""
    notes: tuple[UpkeepNote, ...]


def upkeep(trees: Sequence[TreeSize], persons: int | None = None, in_pots: bool = False) -> Upkeep:
    """Sums over the trees (one or more). The spread of the sum supposes that trees fail and crop together."""
    low, likely, high = (
        round(sum(getattr(tree.yearly_crop_kg, name) for tree in trees), 1) for name in ("low", "likely", "high")
    )
    hours = (
        round(sum(tree.pruning_hours_a_year[0] for tree in trees), 1),
        round(sum(tree.pruning_hours_a_year[1] for tree in trees), 1),
    )
    ladders = sum(tree.ladder for tree in trees)
    supported = sum(tree.support != "none" for tree in trees)
    notes = [_note("pots_in_summer_and_winter" if in_pots else "guard_young_trees")]
    if ladders:
        notes.append(_note("trees_that_take_a_ladder", ladders=ladders, trees=len(trees)))
    if persons is not None:
        fresh = persons * FIGURES.fresh_kg_a_person
        crop: dict[str, Value] = {"likely_kg": likely, "low_kg": low, "high_kg": high, "fresh_kg": fresh}
        notes.append(
            _note("crop_for_persons", **crop, persons=persons) if persons > 1 else _note("crop_for_one_person", **crop)
        )
        if low > FIGURES.plenty_ratio * fresh:
            notes.append(_note("crop_more_than_eaten"))
        elif high < fresh:
            notes.append(_note("crop_less_than_eaten"))
    return Upkeep(
        pruning_hours_a_year=hours,
        trees_with_ladder=ladders,
        trees_with_support=supported,
        yearly_crop_kg=Likely(likely=likely, low=low, high=high),
        first_crop_after_years=(
            min(tree.years_to_first_crop[0] for tree in trees),
            max(tree.years_to_first_crop[1] for tree in trees),
        ),
        persons_fed=(int(low // FIGURES.fresh_kg_a_person), int(high // FIGURES.fresh_kg_a_person)),
        notes=tuple(notes),
    )


def without_crop(told: Upkeep) -> Upkeep:
    """The same work, without a word of a crop: of trees that will hardly bear."""
    notes = tuple(note for note in told.notes if not note.code.startswith("crop_"))
    return msgspec.structs.replace(told, yearly_crop_kg=None, persons_fed=None, notes=notes)


def _note(code: UpkeepCode, **values: Value) -> UpkeepNote:
    return UpkeepNote(**asdict(say(code, **values)))
