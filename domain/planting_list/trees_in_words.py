"""What tree each cultivar of a list is bought and trained as, where it stands, and the year's work of all."""

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.ground.layout_answer import TreePoint
from domain.ground.layout_summary import nearest_trees_m, set_backs_told
from domain.ground.layout_words import layout_limit
from domain.ground.projection import LocalPlane
from domain.ground.room import what_binds
from domain.ground.sunlight import FIGURES as SUNLIGHT
from domain.ground.sunlight import rate
from domain.planting_list.candidates import Candidates
from domain.planting_list.ground import Ground
from domain.planting_list.laid_trees import LaidTrees
from domain.planting_list.list_answer import ListLayout, TreePlace
from domain.planting_list.tree_options import TreeOption
from domain.tables.parameters import figures
from domain.tables.rootstocks import Rootstock, rootstocks
from domain.tables.tree_forms import TreeForm, tree_forms
from domain.trees.training import Training, train
from domain.trees.upkeep import Upkeep, upkeep


class ShadeFigures(msgspec.Struct, frozen=True):
    """When the shade of a plot is spoken of."""

    told_dark_share: float


FIGURES = figures("planting_list", "trees_in_words", ShadeFigures)


Floats = NDArray[np.float64]


@dataclass(frozen=True)
class LaidOut:
    """The trees of a list: what each is, and where it stands; no places where the space is a number of trees."""

    options: tuple[TreeOption | None, ...]
    places: tuple[TreePlace | None, ...]
    layout: ListLayout | None
    apart_m: Floats | None = None
    """(n, n) distance from trunk to trunk."""

    def upkeep(self, persons: int | None, in_pots: bool) -> Upkeep | None:
        """The year's work and crop of the whole list; None where not every tree's size is known."""
        sizes = [option.choice.size for option in self.options if option is not None]
        return upkeep(sizes, persons, in_pots) if sizes and len(sizes) == len(self.options) else None


def laid_out(ground: Ground | None, found: Candidates, chosen: Sequence[int], laid: LaidTrees | None) -> LaidOut:
    """The chosen candidates as trees."""
    options = tuple(found.options[one] for one in chosen)
    if ground is None or laid is None:
        return LaidOut(options, (None,) * len(options), None)
    stand = [option for option in options if option is not None]
    apart = np.hypot(*(laid.trees[:, None] - laid.trees[None, :]).transpose(2, 0, 1))
    return LaidOut(options, _places(ground, laid), _layout(ground, laid, stand), apart)


def rootstock_of(option: TreeOption) -> Rootstock:
    """The rootstock of a tree."""
    return rootstocks()[option.choice.rootstock]


def form_of(option: TreeOption) -> TreeForm:
    """The form of a tree."""
    return tree_forms()[option.choice.form]


def training(option: TreeOption) -> tuple[Training, ...]:
    """How the tree is held, and what its pot asks."""
    ranges = form_of(option).ranges
    if "pot_volume" not in ranges:
        return option.choice.training
    pot, water = ranges["pot_volume"], ranges["water"]
    of_pot = train("pot_and_water", least_l=pot.low, most_l=pot.high, least_water_l=water.low, most_water_l=water.high)
    return (*option.choice.training, of_pot)


def _places(ground: Ground, laid: LaidTrees) -> tuple[TreePlace, ...]:
    drawn = isinstance(ground.plot.frame, LocalPlane)
    positions = ground.plot.frame.to_positions(laid.trees)
    nearest = nearest_trees_m(laid.trees)
    found = []
    for tree, (x, y) in enumerate(positions.tolist()):
        hours = None if laid.sun_hours is None else round(float(laid.sun_hours[tree]), 1)
        found.append(
            TreePlace(
                row=laid.row[tree] + 1,
                at=TreePoint(coordinates=(round(x, 9), round(y, 9))) if drawn else None,
                at_m=None if drawn else (round(x, 2) + 0.0, round(y, 2) + 0.0),
                nearest_tree_m=nearest[tree],
                sun_hours=hours,
                sun=None if hours is None else rate(hours),
            )
        )
    return tuple(found)


def _layout(ground: Ground, laid: LaidTrees, options: Sequence[TreeOption]) -> ListLayout:
    widest = max(options, key=lambda one: (one.spread_m, one.height_m))
    least = min(options, key=lambda one: one.spread_m)
    room = ground.room_told(widest)
    limits = list(what_binds(room))
    if ground.whole is not ground.plot:
        limits = [layout_limit("part_of_large_plot", area_m2=ground.plot.area_m2)]
    if ground.dark_m2 > FIGURES.told_dark_share * ground.plot.area_m2:
        limits.append(layout_limit("ground_too_dark", area_m2=ground.dark_m2))
    if laid.sun_hours is not None and (dark := int(np.sum(laid.sun_hours < SUNLIGHT.least_hours))):
        limits.append(layout_limit("trees_too_dark", trees=dark, count=len(options), hours=SUNLIGHT.least_hours))
    return ListLayout(
        plot_area_m2=round(ground.drawn_m2, 1),
        count=len(options),
        most_that_fit=max(ground.most([least]), len(options)),
        row_bearing_deg=None if laid.bearing_deg is None else round(laid.bearing_deg, 1),
        passage_m=ground.passage_m,
        too_dark_m2=round(ground.dark_m2, 1),
        limits=tuple(limits),
        set_backs=set_backs_told(room),
    )
