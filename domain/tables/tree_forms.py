"""The records of trained forms of trees: how large they are kept, how they stand, what work they ask."""

import functools
from pathlib import Path
from typing import Literal

import msgspec

from domain.common.names import NameIndex
from domain.tables.cultivars import Basis
from domain.tables.loading import TABLES, rows
from domain.tables.parameters import figures
from domain.tables.tree_form_ranges import AdoptedRange

Arrangement = Literal["free_standing", "row", "fence", "pot"]
Support = Literal["none", "stake", "stake_early_years", "permanent_stake", "wires"]
BearingHabit = Literal["spur", "partial_tip", "tip"]
Ladder = Literal["never", "sometimes", "always"]


class TreeFormFigures(msgspec.Struct, frozen=True):
    """What a gardener reaches."""

    reach_m: float
    reach_margin_m: float


FIGURES = figures("trees", "tree_forms", TreeFormFigures)


def takes_ladder(height_m: float) -> bool:
    """Whether a tree so high is out of reach from the ground."""
    return height_m > FIGURES.reach_m + FIGURES.reach_margin_m


class TreeForm(msgspec.Struct, frozen=True, kw_only=True):
    """One form. `ranges`: trait -> low and high as kept when grown up.

    Traits: mature_height, spread (along the row or fence), depth (across it), spacing_in_row, spacing_between_rows,
    support_height, support_post_spacing (m); pruning_hours (h a year, a grown tree); yield_per_tree (kg a year, full
    crop); rootstock_size (percent of seedling that suits); planting_angle (degrees); pot_volume (l); water (l a day).
    """

    id: str
    name: str
    words: str
    arrangement: Arrangement
    support: Support
    pruning_times: tuple[str, ...]
    bearing_habits: tuple[BearingHabit, ...]
    """Habits of bearing that the form suits; a tip bearer cut back to spurs loses its crop."""
    columnar: bool
    """Whether it is the growth of cultivars that make one column by their nature."""
    judged_as_kept_m: float
    """Height (m) as which a tree kept lower is judged, where it is asked whether it is held too hard."""
    ranges: dict[str, AdoptedRange] = {}

    @property
    def unpruned(self) -> bool:
        """Whether it asks no pruning at all."""
        return self.pruning_times == ("none",)

    @property
    def left_to_grow(self) -> bool:
        """Whether nobody gives it a shape, so that it grows as its rootstock lets it."""
        return self.unpruned and not self.columnar

    @property
    def ladder(self) -> Ladder:
        """Whether picking and pruning take a ladder, by the heights it is kept to."""
        height = self.ranges["mature_height"]
        if not takes_ladder(height.high):
            return "never"
        return "always" if height.low > FIGURES.reach_m else "sometimes"


class FormRow(msgspec.Struct, frozen=True, kw_only=True):
    """A row of space/tree_forms.csv."""

    form_id: str
    name: str
    arrangement: Arrangement
    support: Support
    pruning_times: tuple[str, ...]
    bearing_habits: tuple[BearingHabit, ...]
    columnar: bool
    judged_as_kept_m: float
    words: str


class RangeRow(AdoptedRange, frozen=True, kw_only=True):
    """A row of adopted/tree_forms.csv."""

    form_id: str
    trait: str
    low: float
    high: float
    unit: str
    basis: Basis


@functools.lru_cache(maxsize=2)
def tree_forms(directory: Path | None = None) -> dict[str, TreeForm]:
    """Every form by id, in the order of the table. Raises TableError for a bad row."""
    root = directory or TABLES
    ranges: dict[str, dict[str, AdoptedRange]] = {}
    for row in rows(root / "adopted" / "tree_forms.csv", RangeRow, ("sources",)):
        told = {name: getattr(row, name) for name in AdoptedRange.__struct_fields__}
        ranges.setdefault(row.form_id, {})[row.trait] = AdoptedRange(**told)
    return {
        form.form_id: TreeForm(
            id=form.form_id,
            name=form.name,
            words=form.words,
            arrangement=form.arrangement,
            support=form.support,
            pruning_times=form.pruning_times,
            bearing_habits=form.bearing_habits,
            columnar=form.columnar,
            judged_as_kept_m=form.judged_as_kept_m,
            ranges=ranges.get(form.form_id, {}),
        )
        for form in rows(root / "space" / "tree_forms.csv", FormRow, ("pruning_times", "bearing_habits"))
    }


@functools.cache
def tree_form_names() -> NameIndex:
    """The index of forms by id and name."""
    return NameIndex({form.id: form.name for form in tree_forms().values()}, [("oblique-cordon", "cordon")])
