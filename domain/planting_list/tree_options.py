"""Which tree a cultivar would stand as: the best form on the best rootstock for the wishes, and a smaller one.

A tree counts in full from about what one person eats fresh in a year, and less the smaller its crop; less too the
harder it must be held below its own size, and the more the hazards of the place take through its stock. In a pot, where
the roots have the same room, weak growth counts instead. These weighings are ours.
"""

import functools
from dataclasses import dataclass

import msgspec

from domain.planting_list.stock import AsSold
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.tree_forms import tree_forms
from domain.trees.training import TrainingCode, train
from domain.trees.tree_choices import TreeChoice, TreeWishes, tree_choices
from domain.trees.tree_size import FIGURES as SIZES
from domain.trees.tree_size import ScionGrowth, scion_growth


class TreeOptionFigures(msgspec.Struct, frozen=True):
    """What a tree in a form is worth against a full one, and the air it gets."""

    enough_kg: float
    crop_power: float
    held_share: float
    most_at_risk: float
    free_height_ratio: float
    pot_share: float
    weakest: float
    strongest: float
    smaller_by: float
    smaller_share: float
    air_m: float
    air_where_disease_presses_m: float
    vigour_step: float
    years_step: float
    forms_at_their_spacing: tuple[str, ...]


FIGURES = figures("planting_list", "tree_options", TreeOptionFigures)
MOST_FORMS = 12


@dataclass(frozen=True)
class TreeOption:
    """A tree of a cultivar: its form, rootstock and size, the distance to the next in a row (m), its share of worth."""

    choice: TreeChoice
    spacing_m: float
    share: float

    @property
    def spread_m(self) -> float:
        """Width of the grown crown (m)."""
        return self.choice.size.crown_spread_m.likely

    @property
    def height_m(self) -> float:
        """Height of the grown tree (m)."""
        return self.choice.size.height_m.likely


def is_flat(option: TreeOption) -> bool:
    """Whether it is trained along a fence or wall."""
    return tree_forms()[option.choice.form].arrangement == "fence"


def thickness_m(option: TreeOption) -> float:
    """How far its crown reaches from side to side as others see it (m): of a flat one its depth."""
    depth = option.choice.size.depth_m
    return option.spread_m if depth is None else depth


def tree_options(
    cultivar: Cultivar, wishes: TreeWishes, stocks: frozenset[str] | None, air_m: float, sold: AsSold | None = None
) -> tuple[TreeOption, ...]:
    """The best tree of a cultivar, then a clearly smaller one of the same arrangement; empty where none suits.

    stocks: ids of the rootstocks that can be had; None for those commonly sold anywhere. sold: in their place the pairs
    of rootstock and form in which the cultivar can be had. air_m: between two crowns.
    """
    return _options(_alike(scion_growth(cultivar)), wishes, stocks, air_m, sold)


def nearest_option(
    cultivar: Cultivar, wishes: TreeWishes, stocks: frozenset[str] | None, air_m: float, sold: AsSold | None = None
) -> TreeOption | None:
    """The tree that comes nearest to the wishes where none keeps them; None where nothing can be had at all.

    A form that the cultivar's bearing forbids is never that: what cannot be trained flat, or grown in a pot, is told to
    stand free.
    """
    scion = _alike(scion_growth(cultivar))
    eased = msgspec.structs.replace(wishes, keep_height_m=None, keep_spread_m=None, no_ladder=False)
    free = msgspec.structs.replace(eased, against_fence=False, in_pot=False, forms=())
    kept: list[tuple[TreeWishes, TrainingCode]] = [(eased, "as_near_as_can_be")]
    if sold is not None and wishes.forms:  # it stands in a form that the nursery has, if in none of those wished
        kept.append((msgspec.structs.replace(eased, forms=()), "as_near_as_can_be"))
    if wishes.in_pot or wishes.against_fence:
        kept.append((free, "not_in_a_pot" if wishes.in_pot else "not_on_a_fence"))
    for asked, code in kept:
        found = tree_choices(scion, asked, stocks, MOST_FORMS, sold)
        if found:
            least = min(found, key=lambda choice: (choice.size.height_m.likely, choice.form))
            nearest = found[0] if asked is free else least
            told = msgspec.structs.replace(nearest, training=(train(code), *nearest.training))
            return _option(told, scion, 1.0, air_m)
    return None


@functools.lru_cache(maxsize=4096)
def _options(
    scion: ScionGrowth, wishes: TreeWishes, stocks: frozenset[str] | None, air_m: float, sold: AsSold | None
) -> tuple[TreeOption, ...]:
    choices = tree_choices(scion, wishes, stocks, MOST_FORMS, sold)
    if not choices:
        return ()
    best = choices[0]
    arrangement = tree_forms()[best.form].arrangement
    smaller = next(
        (
            choice
            for choice in choices[1:]
            if choice.size.crown_spread_m.likely <= FIGURES.smaller_by * best.size.crown_spread_m.likely
            and tree_forms()[choice.form].arrangement == arrangement
        ),
        None,
    )
    found = (_option(best, scion, 1.0, air_m),)
    return found if smaller is None else (*found, _option(smaller, scion, FIGURES.smaller_share, air_m))


def _option(choice: TreeChoice, scion: ScionGrowth, share: float, air_m: float) -> TreeOption:
    size, form = choice.size, tree_forms()[choice.form]
    crop = min(size.yearly_crop_kg.likely / FIGURES.enough_kg, 1.0) ** FIGURES.crop_power
    if form.arrangement == "pot":
        vigour = SIZES.middle_vigour if scion.vigour is None else scion.vigour
        vigour = FIGURES.weakest if scion.spur or scion.columnar else vigour
        crop = 1.0 - FIGURES.pot_share * (vigour - FIGURES.weakest) / (FIGURES.strongest - FIGURES.weakest)
    held = min(max(size.natural_height_m / size.height_m.likely - FIGURES.free_height_ratio, 0.0), 1.0)
    spacing = size.crown_spread_m.likely + (0.0 if form.arrangement == "fence" else air_m)
    if form.columnar or form.id in FIGURES.forms_at_their_spacing:
        spacing = max(spacing, form.ranges["spacing_in_row"].low)
    kept = 1 - min(choice.at_risk, FIGURES.most_at_risk)
    return TreeOption(choice, round(spacing, 2), share * crop * kept * (1 - FIGURES.held_share * held))


def _alike(scion: ScionGrowth) -> ScionGrowth:
    return msgspec.structs.replace(
        scion,
        vigour=_stepped(scion.vigour, FIGURES.vigour_step),
        precocity_years=_stepped(scion.precocity_years, FIGURES.years_step),
    )


def _stepped(value: float | None, step: float) -> float | None:
    return None if value is None else round(value / step) * step
