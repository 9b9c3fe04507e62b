"""Which tree a cultivar would stand as: the best form on the best rootstock for the wishes, and a smaller one.

A tree counts in full from about what one person eats fresh in a year, and less the smaller its crop; less too the
harder it must be held below its own size. In a pot, where the roots have the same room, weak growth counts instead.
These weighings are ours.
"""

import functools
from dataclasses import dataclass

import msgspec

from domain.tables.cultivars import Cultivar
from domain.tables.tree_forms import tree_forms
from domain.trees.tree_choices import TreeChoice, TreeWishes, tree_choices
from domain.trees.tree_size import MIDDLE_VIGOUR, ScionGrowth, scion_growth

ENOUGH_KG = 15.0
"""A year's crop from which a tree counts in full."""
CROP_POWER = 0.75
HELD_SHARE = 0.25
"""Lost where a tree would be twice as tall as it is kept."""
POT_SHARE, WEAKEST, STRONGEST = 0.3, 1.0, 5.0
"""Lost by a cultivar of the strongest growth in a pot, and the ends of the scale of vigour."""
SMALLER_BY = 0.8
"""Spread of the smaller tree at most, as a share of that of the best."""
SMALLER_SHARE = 0.9
"""Worth of a tree in a smaller form than suits it best."""
AIR_M, AIR_WHERE_DISEASE_PRESSES_M = 0.3, 0.5
"""Left between two crowns in a row. With the passage between rows a bush on M.9 then stands 2.45 by 3.65 m, as in Lord,
"Dwarf Apple Trees for Home Gardens" (University of New Hampshire Cooperative Extension), Table 1: 2.44 by 3.66 m."""
VIGOUR_STEP, YEARS_STEP = 0.25, 0.5
"""Growth is rounded to these steps, far below what is known of it, so that cultivars alike are worked out once."""
MOST_FORMS = 12
AS_NEAR = "No tree on sale can be kept as you ask: this is the one that comes nearest."


@dataclass(frozen=True)
class TreeOption:
    """A tree of a cultivar: its form, rootstock and size, the distance to the next in a row (m), its share of worth."""

    choice: TreeChoice
    spacing_m: float
    share: float

    @property
    def spread_m(self) -> float:
        """Width of the grown crown (m)."""
        return self.choice.size.spread_m.likely

    @property
    def height_m(self) -> float:
        """Height of the grown tree (m)."""
        return self.choice.size.height_m.likely


def tree_options(
    cultivar: Cultivar, wishes: TreeWishes, stocks: frozenset[str] | None, air_m: float = AIR_M
) -> tuple[TreeOption, ...]:
    """The best tree of a cultivar, then a clearly smaller one of the same arrangement; empty where none suits.

    stocks: ids of the rootstocks that can be had; None for those commonly sold anywhere. air_m: between two crowns.
    """
    return _options(_alike(scion_growth(cultivar)), wishes, stocks, air_m)


def nearest_option(
    cultivar: Cultivar, wishes: TreeWishes, stocks: frozenset[str] | None, air_m: float = AIR_M
) -> TreeOption | None:
    """The tree that comes nearest to the wishes where none keeps them; None where nothing can be had at all."""
    scion = _alike(scion_growth(cultivar))
    eased = msgspec.structs.replace(wishes, keep_height_m=None, keep_spread_m=None, no_ladder=False)
    for growth in (scion, msgspec.structs.replace(scion, bearing=None)):
        found = tree_choices(growth, eased, stocks, MOST_FORMS)
        if found:
            least = min(found, key=lambda choice: (choice.size.height_m.likely, choice.form))
            told = msgspec.structs.replace(least, words=(AS_NEAR, *least.words))
            return _option(told, scion, 1.0, air_m)
    return None


@functools.lru_cache(maxsize=4096)
def _options(
    scion: ScionGrowth, wishes: TreeWishes, stocks: frozenset[str] | None, air_m: float
) -> tuple[TreeOption, ...]:
    choices = tree_choices(scion, wishes, stocks, MOST_FORMS)
    if not choices:
        return ()
    best = choices[0]
    arrangement = tree_forms()[best.form].arrangement
    smaller = next(
        (
            choice
            for choice in choices[1:]
            if choice.size.spread_m.likely <= SMALLER_BY * best.size.spread_m.likely
            and tree_forms()[choice.form].arrangement == arrangement
        ),
        None,
    )
    found = (_option(best, scion, 1.0, air_m),)
    return found if smaller is None else (*found, _option(smaller, scion, SMALLER_SHARE, air_m))


def _option(choice: TreeChoice, scion: ScionGrowth, share: float, air_m: float) -> TreeOption:
    size, form = choice.size, tree_forms()[choice.form]
    crop = min(size.yearly_crop_kg.likely / ENOUGH_KG, 1.0) ** CROP_POWER
    if form.arrangement == "pot":
        vigour = WEAKEST if scion.spur or scion.columnar else MIDDLE_VIGOUR if scion.vigour is None else scion.vigour
        crop = 1.0 - POT_SHARE * (vigour - WEAKEST) / (STRONGEST - WEAKEST)
    held = min(max(size.natural_height_m / size.height_m.likely - 1.05, 0.0), 1.0)
    spacing = size.spread_m.likely + (0.0 if form.arrangement == "fence" else air_m)
    if form.id == "columnar":
        spacing = max(spacing, form.ranges["spacing_in_row"].low)
    return TreeOption(choice, round(spacing, 2), share * crop * (1 - HELD_SHARE * held))


def _alike(scion: ScionGrowth) -> ScionGrowth:
    return msgspec.structs.replace(
        scion, vigour=_stepped(scion.vigour, VIGOUR_STEP), precocity_years=_stepped(scion.precocity_years, YEARS_STEP)
    )


def _stepped(value: float | None, step: float) -> float | None:
    return None if value is None else round(value / step) * step
