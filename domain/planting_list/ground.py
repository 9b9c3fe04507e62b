"""The ground of a list: where trees of each size may stand on it, how many of them it holds, and a list laid out.

A tree takes one of the so many shares of the ground that trees of its size would fill, laid out in rows with a passage
between them; mixed sizes are laid out after the choice, and where they do not fit the choice is made again for less
ground. Where buildings and standing trees leave too little sun in the growing season nothing is planted.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from domain.common.cautions import Caution
from domain.ground.layout_even import TreeRoom, lay_evenly
from domain.ground.layout_mixed import lay_mixed
from domain.ground.layout_rows import lay_rows
from domain.ground.plot import Plot
from domain.ground.plot_layouts import FIGURES as PASSAGES
from domain.ground.room import ARC, most_in_rows, room_for
from domain.ground.room import Room as RoomForTrunks
from domain.ground.simpler_outlines import simpler
from domain.ground.sunlight import FIGURES as SUNLIGHT
from domain.ground.sunlight import assumed_height_m, sun_hours
from domain.planting_list.tree_options import TreeOption
from domain.planting_list.wishes import Wishes
from domain.tables.cautions import BOUNDARY
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say

Floats = NDArray[np.float64]

SPREAD_STEP_M, HEIGHT_STEP_M = 0.05, 0.25
"""Sizes are rounded up to these, so that few regions are worked out."""
SUN_POINTS = 250
PART_M2, PART_SIDE_M = 20_000.0, 140.0
"""A larger plot is laid out on a part of this side: the trees of one list take far less."""
OPEN_M, NEAR_M = 5.0, 200.0
"""Kept from things when the part is sought; how far away a thing still matters, the longest set-back."""


class GroundFigures(msgspec.Struct, frozen=True):
    """How much sun a list asks, and how the ground is looked at."""

    for_neighbours_h: float
    judged_height_m: float


FIGURES = figures("planting_list", "ground", GroundFigures)


@dataclass(frozen=True)
class LaidTrees:
    """Trunks (n, 2) on the plane (m), NaN of trees without a place; rows; hours of sun where the latitude is known."""

    trees: Floats
    row: tuple[int, ...]
    bearing_deg: float | None
    sun_hours: Floats | None

    @property
    def placed(self) -> NDArray[np.bool_]:
        """(n,) whether a tree found a place."""
        return np.isfinite(self.trees[:, 0])


class Ground:
    """A plot with what is known of it, for one request."""

    def __init__(self, plot: Plot, in_pots: bool) -> None:
        self.drawn_m2 = plot.area_m2
        """Area of the ground as it was drawn."""
        self._simpler = simpler(plot)
        self.whole = plot = self._simpler.plot
        plot = _part(plot) if plot.ground.area > PART_M2 else plot
        self.plot = plot
        """The part of the ground on which the list is laid out; all of it unless it is large."""
        self.passage_m = PASSAGES.pot_passage_m if in_pots else PASSAGES.passage_m
        self.dark_m2 = 0.0
        sunny = plot.ground.difference(_dark(plot)) if _shaded(plot) else plot.ground
        if sunny.area > 0.0:
            self.dark_m2 = plot.ground.area - sunny.area
        self._dark = plot.ground.difference(sunny) if self.dark_m2 > 0.0 else None
        self._rooms: dict[tuple[float, float], RoomForTrunks] = {}
        self._holds: dict[tuple[float, float, float], int] = {}

    @property
    def south(self) -> bool:
        """Whether the plot lies south of the equator; False where that is not known."""
        return self.plot.latitude is not None and self.plot.latitude < 0

    def room(self, option: TreeOption) -> RoomForTrunks:
        """Where such a tree may stand, and the set-backs that it keeps."""
        size = _size(option)
        if size not in self._rooms:
            room = room_for(self.plot, *size)
            if self._dark is not None:
                room = replace(room, region=room.region.difference(self._dark))
            self._rooms[size] = room
        return self._rooms[size]

    def holds(self, option: TreeOption) -> int:
        """How many such trees stand on the ground in rows."""
        key = (*_size(option), option.spacing_m)
        if key not in self._holds:
            region = self.room(option).region
            spacing = option.spacing_m
            self._holds[key] = len(lay_rows(region, spacing, spacing + self.passage_m).trees)
        return self._holds[key]

    def share(self, option: TreeOption) -> float:
        """Share of the ground that such a tree takes."""
        count = self.holds(option)
        return 1.0 / count if count else math.inf

    def area_m2(self, option: TreeOption) -> float:
        """Ground that such a tree takes in any rows (m2): its crown and air, moved across the row by a passage."""
        return math.pi / 4 * option.spacing_m**2 + option.spacing_m * self.passage_m

    def area_for(self, options: Sequence[TreeOption]) -> float:
        """Area (m2) that the trees of any layout in rows together take at most.

        What a tree takes lies apart from what others take, within half its air and half a passage of the ground, and
        within half its spacing and half a passage of where trunks may stand.
        """
        of_crowns = max((one.spacing_m - one.spread_m) / 2 for one in options) + self.passage_m / 2
        of_trunks = max(one.spacing_m for one in options) / 2 + self.passage_m / 2
        about = self._simpler.enclosing.buffer(of_crowns * ARC)
        return float(about.intersection(self._widest_region(options).buffer(of_trunks * ARC)).area)

    def _widest_region(self, options: Sequence[TreeOption]) -> BaseGeometry:
        """What holds the trunks of every one of these trees."""
        spread, height = min(one.spread_m for one in options), min(one.height_m for one in options)
        if self.whole is not self.plot or self._simpler.within_m:
            return self._simpler.enclosing.buffer(-spread / 2)
        region = room_for(self.plot, spread, height).region
        return region if self._dark is None else region.difference(self._dark)

    @property
    def warnings(self) -> tuple[Sentence, ...]:
        """That outlines were simplified, and how far."""
        within = self._simpler.within_m
        return (say("outlines_simplified", within_m=round(within, 2)),) if within else ()

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What the things on the ground and its edge ask to mind, each once."""
        kept = [back.caution for room in self._rooms.values() for back in room.set_backs if back.caution is not None]
        return tuple({caution.code: caution for caution in (*kept, BOUNDARY)}.values())

    def most(self, options: Sequence[TreeOption]) -> int:
        """A proven bound on the number of trees in rows that can be walked, whatever their mixture."""
        least = min(one.spacing_m for one in options)
        region = self._widest_region(options)
        return max(most_in_rows(region, least, self.passage_m), *(self.holds(one) for one in options))

    @property
    def widest_m(self) -> float:
        """Width of the widest crown that stands somewhere on the ground, nothing but its edge kept clear of."""
        return 2.0 * float(shapely.maximum_inscribed_circle(self.plot.ground, tolerance=0.02).length)

    def lay(self, options: Sequence[TreeOption]) -> LaidTrees:
        """Lay a list out: in rows over the room there is, the tall to the side away from the sun.

        Where the ground is so full that rows cannot be set evenly they are packed, and what finds no place has none.
        """
        rooms = [TreeRoom(one.spacing_m, one.spread_m, one.height_m) for one in options]
        even = lay_evenly(rooms, lambda tree: self.room(options[tree]).region, self.passage_m, self.south)
        if even is not None:
            laid = LaidTrees(even.trees, even.row, even.bearing_deg, None)
        elif len({(*_size(one), one.spacing_m) for one in options}) == 1:
            laid = self._alike(options)
        else:
            found = lay_mixed(
                [one.spacing_m for one in options],
                lambda tree: self.room(options[tree]).region,
                self.passage_m,
                self.south,
            )
            laid = LaidTrees(found.trees, tuple(found.row), found.bearing_deg, None)
        return replace(laid, sun_hours=self._hours(laid, options))

    def _alike(self, options: Sequence[TreeOption]) -> LaidTrees:
        spacing = options[0].spacing_m
        region = self.room(options[0]).region
        found = lay_rows(region, spacing, spacing + self.passage_m, most=len(options))
        trees, rows = np.full((len(options), 2), np.nan), [-1] * len(options)
        northward = -1 if self.south else 1
        places = np.argsort(-northward * np.round(found.trees[:, 1], 6), kind="stable")
        tallest = sorted(range(len(options)), key=lambda tree: (-options[tree].height_m, tree))
        for tree, place in zip(tallest, places.tolist(), strict=False):  # more trees than places stay without one
            trees[tree], rows[tree] = found.trees[place], int(found.row[place])
        return LaidTrees(trees, tuple(rows), found.bearing_deg, None)

    def _hours(self, laid: LaidTrees, options: Sequence[TreeOption]) -> Floats | None:
        if self.plot.latitude is None or not laid.placed.any():
            return None
        standing = np.flatnonzero(laid.placed)
        heights, spreads = (
            np.array([getattr(options[tree], name) for tree in standing.tolist()]) for name in ("height_m", "spread_m")
        )
        hours = np.full(len(options), np.nan)
        hours[standing] = sun_hours(laid.trees[standing], heights, spreads, self.plot.obstacles, self.plot.latitude)
        return hours


def with_places(wishes: Wishes, ground: Ground, trees: Sequence[Sequence[TreeOption]]) -> Wishes:
    """The wishes with as many places as the ground holds of any of these trees, shared out over what is usual."""
    most = wishes.places
    counts = [max(ground.holds(one) for one in options) for options in trees if options]
    places = min(most, max([*counts, len(wishes.must_include), 0]))
    usual = int(np.median(counts)) if counts else 1
    room = replace(wishes.room, tree_count=places)
    return replace(wishes, room=room, most_trees=most, shared_over=max(min(usual, most), 1))


def _size(option: TreeOption) -> tuple[float, float]:
    """Spread and height (m), rounded up."""
    spread = math.ceil(round(option.spread_m / SPREAD_STEP_M, 6)) * SPREAD_STEP_M
    height = math.ceil(round(option.height_m / HEIGHT_STEP_M, 6)) * HEIGHT_STEP_M
    return round(spread, 3), round(height, 3)


def _part(plot: Plot) -> Plot:
    """A part of a large plot about its widest open place, and the things that matter there."""
    around = shapely.union_all([obstacle.shape.buffer(OPEN_M) for obstacle in plot.obstacles])
    open_ground = plot.ground.difference(around)
    ground = plot.ground if open_ground.is_empty else open_ground
    middle = shapely.get_coordinates(shapely.maximum_inscribed_circle(ground, tolerance=1.0))[0]
    window = shapely.box(*(middle - PART_SIDE_M / 2), *(middle + PART_SIDE_M / 2))
    near = tuple(one for one in plot.obstacles if one.shape.dwithin(window, NEAR_M))
    part = shapely.union_all([one for one in shapely.get_parts(plot.ground.intersection(window)) if one.area > 0])
    return replace(plot, ground=part, obstacles=near)


def _shaded(plot: Plot) -> bool:
    """Whether anything there could shade, at a latitude that is known."""
    heights = [assumed_height_m(o.kind) if o.height_m is None else o.height_m for o in plot.obstacles]
    return plot.latitude is not None and any(height > 0.0 for height in heights)


def _dark(plot: Plot) -> BaseGeometry:
    """Where a tree alone would get less sun than it needs: the cells of a grid whose middles do."""
    assert plot.latitude is not None  # the caller has looked
    x0, y0, x1, y1 = plot.ground.bounds
    cell = max(math.sqrt(plot.ground.area / SUN_POINTS), 0.5, math.hypot(x1 - x0, y1 - y0) / SUN_POINTS)
    x, y = np.meshgrid(np.arange(x0 + cell / 2, x1, cell), np.arange(y0 + cell / 2, y1, cell))
    middles = np.column_stack([x.ravel(), y.ravel()])
    middles = middles[shapely.intersects_xy(plot.ground, middles)]
    if len(middles) == 0:
        return shapely.Polygon()
    n = len(middles)
    hours = sun_hours(middles, np.full(n, FIGURES.judged_height_m), np.zeros(n), plot.obstacles, plot.latitude)
    dark = middles[hours < SUNLIGHT.least_hours + FIGURES.for_neighbours_h]
    half = cell / 2 + 1e-6
    return shapely.union_all(shapely.box(dark[:, 0] - half, dark[:, 1] - half, dark[:, 0] + half, dark[:, 1] + half))
