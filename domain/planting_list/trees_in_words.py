"""What tree each cultivar of a list is bought and trained as, where it stands, and the year's work of all."""

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.ground.layout_answer import TreePoint
from domain.ground.plot_layouts import nearest_trees_m, set_backs_told
from domain.ground.projection import LocalPlane
from domain.ground.room import what_binds
from domain.ground.sunlight import FIGURES as SUNLIGHT
from domain.ground.sunlight import rate
from domain.planting_list.candidates import Candidates
from domain.planting_list.ground import Ground, LaidTrees
from domain.planting_list.list_answer import ListLayout, TreePlace
from domain.planting_list.tree_options import TreeOption
from domain.tables.parameters import figures
from domain.tables.rootstocks import rootstocks
from domain.tables.tree_forms import tree_forms
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


def names_of(option: TreeOption) -> tuple[str, str]:
    """Names of the rootstock and of the form."""
    return rootstocks()[option.choice.rootstock].name, tree_forms()[option.choice.form].name


def training(option: TreeOption) -> tuple[str, ...]:
    """How the tree is held, and what its pot asks."""
    ranges = tree_forms()[option.choice.form].ranges
    words = list(option.choice.words)
    if "pot_volume" in ranges:
        pot, water = ranges["pot_volume"], ranges["water"]
        words.append(
            f"A pot of {pot.low:g} to {pot.high:g} litres, and {water.low:g} to {water.high:g} litres of water a day "
            "in summer; repot every second year."
        )
    return tuple(words)


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
    room = ground.room(widest)
    binding = list(dict.fromkeys(what_binds(room)))
    if ground.whole is not ground.plot:
        binding = [f"The list takes little of the plot: it is laid out on {ground.plot.area_m2:.0f} m2 of it."]
    if ground.dark_m2 > FIGURES.told_dark_share * ground.plot.area_m2:
        binding.append(f"{ground.dark_m2:.0f} m2 get too little sun and are left unplanted.")
    if laid.sun_hours is not None and (dark := int(np.sum(laid.sun_hours < SUNLIGHT.least_hours))):
        binding.append(f"{dark} of {len(options)} trees get under {SUNLIGHT.least_hours:g} hours of sun a day.")
    return ListLayout(
        plot_area_m2=round(ground.drawn_m2, 1),
        count=len(options),
        most_that_fit=max(ground.most([least]), len(options)),
        row_bearing_deg=None if laid.bearing_deg is None else round(laid.bearing_deg, 1),
        passage_m=ground.passage_m,
        too_dark_m2=round(ground.dark_m2, 1),
        binding=tuple(binding),
        set_backs=set_backs_told(room),
    )
