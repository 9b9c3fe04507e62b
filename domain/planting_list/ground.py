"""The ground of a list: where trees of each size may stand on it, how many of them it holds, and a list laid out.

A tree takes one of the so many shares of the ground that trees of its size would fill, laid out in rows with a passage
between them; mixed sizes are laid out after the choice, and where they do not fit the choice is made again for less
ground. Where buildings and standing trees leave too little sun in the growing season nothing is planted.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from domain.common.cautions import Caution
from domain.ground.contour import terrace_deg
from domain.ground.crossings import crossings
from domain.ground.layout_even import TreeRoom, lay_evenly
from domain.ground.layout_mixed import lay_mixed
from domain.ground.layout_rows import lay_rows
from domain.ground.plot import Plot
from domain.ground.plot_layouts import FIGURES as PASSAGES
from domain.ground.room import ARC, ARC_SEGMENTS, most_in_rows, room_for, room_with_shares, set_backs_of
from domain.ground.room import Room as RoomForTrunks
from domain.ground.simpler_outlines import moved_out, simpler
from domain.planting_list.laid_trees import Floats, LaidTrees
from domain.planting_list.list_request import MOST_CULTIVARS, Stand
from domain.planting_list.sun_here import SunHere
from domain.planting_list.tree_options import TreeOption, is_flat, thickness_m
from domain.planting_list.walls import Walls
from domain.planting_list.wishes import Wishes
from domain.site_climate.site import Slope
from domain.tables.cautions import ASK_LOCALLY, BOUNDARY
from domain.tables.words import Sentence

SPREAD_STEP_M, HEIGHT_STEP_M = 0.05, 0.25
"""Sizes are rounded up to these, so that few regions are worked out."""
MANY_CORNERS = ((1500, 8), (600, 4))
"""Corners of a plot and the things on it from which a region costs much: sizes are then rounded up to so many steps."""
CORNERS_OF_A_CROSSING = 2
"""Where two outlines cross each other what is left of the ground has so many more."""
PART_M2, PART_SIDE_M = 20_000.0, 140.0
"""A larger plot is laid out on a part of this side, larger for more than 40 trees: those of a list take far less."""
OPEN_M, NEAR_M = 5.0, 200.0
"""Kept from things when the part is sought; how far away a thing still matters, the longest set-back."""


class Ground:
    """A plot with what is known of it, for one request."""

    def __init__(
        self,
        plot: Plot,
        stand: Stand = "ground",
        most_trees: int = MOST_CULTIVARS,
        told_sun_h: float | None = None,
        slope: Slope | None = None,
    ) -> None:
        self.drawn_m2 = plot.area_m2
        """Area of the ground as it was drawn."""
        self.contour_deg = terrace_deg(slope, plot.banks)
        """Bearing of all rows, where the ground is so steep that they must run along the contour or its terraces."""
        self._simpler = simpler(plot)
        self.whole = plot = self._simpler.plot
        large = max(most_trees / MOST_CULTIVARS, 1.0)
        plot = _part(plot, PART_SIDE_M * math.sqrt(large)) if plot.ground.area > PART_M2 * large else plot
        self.plot = plot
        """The part of the ground on which the list is laid out; all of it unless it is large."""
        outlines = [line for one in plot.obstacles for line in _lines(one.shape)]
        corners = sum(len(outline) for outline in outlines) + int(shapely.get_num_coordinates(plot.ground))
        corners += CORNERS_OF_A_CROSSING * crossings(outlines)
        self._step_m = SPREAD_STEP_M * next((steps for many, steps in MANY_CORNERS if corners > many), 1)
        self._stand, self._in_pots = stand, stand == "pots"
        self.passage_m = PASSAGES.pot_passage_m if self._in_pots else PASSAGES.passage_m
        self._sun = SunHere(plot, told_sun_h)
        dark = self._sun.dark()
        self.dark_m2 = float(plot.ground.intersection(dark).area)
        self._dark = plot.ground.intersection(dark) if self.dark_m2 > 0.0 else None
        self._rooms: dict[tuple[float, float], RoomForTrunks] = {}
        self._told: dict[tuple[float, float], RoomForTrunks] = {}
        self._regions: dict[tuple[float, tuple[float, ...]], BaseGeometry] = {}
        self._holds: dict[tuple[int, float], int] = {}
        self._holds_of: dict[int, tuple[TreeOption, int]] = {}
        self._fitting: dict[int, tuple[tuple[TreeOption, ...], tuple[TreeOption, ...]]] = {}
        self._widest: dict[tuple[float, float], BaseGeometry] = {}
        self._most: dict[tuple[float, float, float], int] = {}
        self._walls = Walls(self.whole, self._sun)

    @property
    def south(self) -> bool:
        """Whether the plot lies south of the equator; False where that is not known."""
        return self.plot.latitude is not None and self.plot.latitude < 0

    @property
    def wall_m(self) -> float:
        """Length (m) of the drawn fences and walls along which trees can be trained in enough sun."""
        return sum(run.length_m for run in self._walls.runs)

    def room(self, option: TreeOption) -> RoomForTrunks:
        """Where such a tree may stand, and the set-backs that it keeps; of trained trees, those beside their wall."""
        if is_flat(option):
            return self._walls.room
        size = _size(option, self._step_m)
        if size not in self._rooms:
            backs = set_backs_of(self.plot, *size, in_pots=self._in_pots)
            alike = (size[0], tuple(back.trunk_distance_m for back in backs))
            if alike not in self._regions:
                region = room_for(self.plot, *size, in_pots=self._in_pots).region
                self._regions[alike] = region if self._dark is None else region.difference(self._dark)
            self._rooms[size] = RoomForTrunks(self._regions[alike], backs)
        return self._rooms[size]

    def room_told(self, option: TreeOption) -> RoomForTrunks:
        """The same with the share of the ground that each thing takes."""
        if is_flat(option):
            return self._walls.room
        size = _size(option, self._step_m)
        if size not in self._told:
            shares = room_with_shares(self.plot, *size, in_pots=self._in_pots).taken
            self._told[size] = replace(self.room(option), taken=shares)
        return self._told[size]

    def holds(self, option: TreeOption) -> int:
        """How many such trees stand on the ground in rows, or trained along its walls."""
        held = self._holds_of.get(id(option))
        if held is None:
            held = self._holds_of[id(option)] = (option, self._counted(option))  # kept, so that its id stays its own
        return held[1]

    def holding(self, options: tuple[TreeOption, ...]) -> tuple[TreeOption, ...]:
        """Those of some trees of which at least one finds a place; cultivars that grow alike have the same trees."""
        fitting = self._fitting.get(id(options))
        if fitting is None:
            fitting = self._fitting[id(options)] = (options, tuple(one for one in options if self.holds(one)))
        return fitting[1]

    def _counted(self, option: TreeOption) -> int:
        spacing = option.spacing_m
        if is_flat(option):
            return sum(run.holds(option.spread_m, spacing) for run in self._walls.runs)
        region, apart = self.room(option).region, _spacing_m(option, self._step_m)
        key = (id(region), apart)  # regions are kept
        if key not in self._holds:
            self._holds[key] = len(lay_rows(region, apart, apart + self.passage_m, self.contour_deg).trees)
        return self._holds[key]

    def share(self, option: TreeOption) -> float:
        """Share of the ground that such a tree takes; of a trained one, of the walls that are long enough for it."""
        if is_flat(option):
            wall_m = sum(run.length_m for run in self._walls.runs if run.length_m >= option.spread_m - 1e-7)
            return option.spacing_m / wall_m if wall_m else math.inf
        count = self.holds(option)
        return 1.0 / count if count else math.inf

    def taken(self, options: Sequence[TreeOption]) -> tuple[Floats, float]:
        """What each tree takes (n,) in any layout in rows and along walls, and what all together take at most.

        Among trained trees alone that is length of wall (m). Else it is ground (m2), of which trained trees take none:
        of a tree in a row its crown and air, moved across the row by a passage. That lies apart from what others take,
        within half its air and half a passage of the ground, and within half its spacing and half a passage of where
        trunks may stand.
        """
        free = [one for one in options if not is_flat(one)]
        if not free:
            return np.array([one.spacing_m for one in options]), self._wall_for(options)
        passage = self.passage_m
        each = [math.pi / 4 * one.spacing_m**2 + one.spacing_m * passage for one in options]
        of_crowns = max((one.spacing_m - one.spread_m) / 2 for one in free) + passage / 2
        of_trunks = max(one.spacing_m for one in free) / 2 + passage / 2
        about = self._simpler.enclosing.buffer(of_crowns * ARC, quad_segs=ARC_SEGMENTS)
        area = float(about.intersection(moved_out(self._widest_region(free), of_trunks * ARC, ARC_SEGMENTS)).area)
        return np.array([0.0 if is_flat(one) else m2 for one, m2 in zip(options, each, strict=True)]), area or 1.0

    def _wall_for(self, options: Sequence[TreeOption]) -> float:
        """Length (m) that trained trees take at most: of each run, and what they keep from each other beyond crowns."""
        beyond = max(one.spacing_m - one.spread_m for one in options)
        return sum(run.length_m + beyond for run in self._walls.runs) or 1.0

    def _widest_region(self, options: Sequence[TreeOption]) -> BaseGeometry:
        """What holds the trunks of every one of these trees."""
        narrow = min(one.spread_m for one in options), min(one.height_m for one in options)
        if narrow not in self._widest:
            self._widest[narrow] = self._region_of(*narrow)
        return self._widest[narrow]

    def _region_of(self, spread_m: float, height_m: float) -> BaseGeometry:
        if self.whole is not self.plot or self._simpler.within_m:
            return self._simpler.enclosing.buffer(-spread_m / 2, quad_segs=ARC_SEGMENTS)
        region = room_for(self.plot, spread_m, height_m).region
        return region if self._dark is None else region.difference(self._dark)

    @property
    def warnings(self) -> tuple[Sentence, ...]:
        """That outlines were simplified, and how far."""
        return self._simpler.warnings

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What the things on the ground and its edge ask to mind, each once."""
        kept = [back.caution for room in self._rooms.values() for back in room.set_backs if back.caution is not None]
        along = (ASK_LOCALLY,) if self._stand == "fence" else ()
        return tuple({caution.code: caution for caution in (*kept, *along, BOUNDARY)}.values())

    def most(self, options: Sequence[TreeOption]) -> int:
        """A proven bound on the number of trees in rows that can be walked and along walls, whatever their mixture."""
        free, flat = [one for one in options if not is_flat(one)], [one for one in options if is_flat(one)]
        most = 0
        if free:
            least = min(one.spacing_m for one in free)
            key = (min(one.spread_m for one in free), min(one.height_m for one in free), least)
            if key not in self._most:
                self._most[key] = most_in_rows(self._widest_region(free), least, self.passage_m)
            most += max(self._most[key], *(self.holds(one) for one in free))
        if flat:
            least = min(one.spacing_m for one in flat)
            narrow = min(one.spread_m for one in flat)
            most += sum(run.holds(narrow, least) for run in self._walls.runs)
        return most

    def widest_m(self, trained: bool) -> float:
        """Width of the widest crown that stands somewhere on the ground, nothing but its edge kept clear of.

        trained: of the widest flat one along its walls.
        """
        if trained:
            return max((run.length_m for run in self._walls.runs), default=0.0)
        return 2.0 * float(shapely.maximum_inscribed_circle(self.plot.ground, tolerance=0.02).length)

    def lay(self, options: Sequence[TreeOption]) -> LaidTrees:
        """Lay a list out: in rows over the room there is, the tall away from the sun; trained trees along the walls.

        Where the ground is so full that rows cannot be set evenly they are packed, and what finds no place has none.
        """
        flat = [tree for tree, one in enumerate(options) if is_flat(one)]
        free = [tree for tree, one in enumerate(options) if not is_flat(one)]
        trees, rows, bearing = np.full((len(options), 2), np.nan), [-1] * len(options), None
        if free:
            laid = self._in_rows([options[tree] for tree in free])
            trees[free], bearing = laid.trees, laid.bearing_deg
            rows = _numbered(rows, free, laid.row)
        lit_to_m = np.full(len(options), np.inf)
        if flat:
            found = self._walls.lay([options[tree] for tree in flat])
            trees[flat], lit_to_m[flat] = found.trees, found.lit_to_m
            rows = _numbered(rows, flat, found.row)
        return LaidTrees(trees, tuple(rows), bearing, None, lit_to_m)

    def with_sun(self, laid: LaidTrees, options: Sequence[TreeOption]) -> LaidTrees:
        """The same trees with their hours of sun, as far as those are known."""
        return replace(laid, sun_hours=self._hours(laid, options))

    def _in_rows(self, options: Sequence[TreeOption]) -> LaidTrees:
        rooms = [TreeRoom(_spacing_m(one, self._step_m), one.spread_m, one.height_m) for one in options]
        even = lay_evenly(
            rooms, lambda tree: self.room(options[tree]).region, self.passage_m, self.south, self.contour_deg
        )
        if even is not None:
            return LaidTrees(even.trees, even.row, even.bearing_deg, None)
        packed = self._as_the_widest(options)
        if (
            packed.placed.all()
            or len({(*_size(one, self._step_m), _spacing_m(one, self._step_m)) for one in options}) == 1
        ):
            return packed
        found = lay_mixed(
            [_spacing_m(one, self._step_m) for one in options],
            lambda tree: self.room(options[tree]).region,
            self.passage_m,
            self.south,
            self.contour_deg,
        )
        return LaidTrees(found.trees, tuple(found.row), found.bearing_deg, None)

    def _as_the_widest(self, options: Sequence[TreeOption]) -> LaidTrees:
        """Packed in rows as if all were as wide as the widest of them."""
        spacing = max(_spacing_m(one, self._step_m) for one in options)
        region = min((self.room(one).region for one in options), key=lambda region: float(region.area))
        found = lay_rows(region, spacing, spacing + self.passage_m, self.contour_deg, most=len(options))
        trees, rows = np.full((len(options), 2), np.nan), [-1] * len(options)
        northward = -1 if self.south else 1
        places = np.argsort(-northward * np.round(found.trees[:, 1], 6), kind="stable")
        tallest = sorted(range(len(options)), key=lambda tree: (-options[tree].height_m, tree))
        for tree, place in zip(tallest, places.tolist(), strict=False):  # more trees than places stay without one
            trees[tree], rows[tree] = found.trees[place], int(found.row[place])
        return LaidTrees(trees, tuple(rows), found.bearing_deg, None)

    def _hours(self, laid: LaidTrees, options: Sequence[TreeOption]) -> Floats | None:
        if not laid.placed.any():
            return None
        standing = np.flatnonzero(laid.placed)
        stand = [options[tree] for tree in standing.tolist()]
        heights = np.array([one.height_m for one in stand])
        if laid.lit_to_m is not None:
            heights = np.minimum(heights, laid.lit_to_m[standing])
        spreads = np.array([thickness_m(one) for one in stand])
        found = self._sun.hours(laid.trees[standing], heights, spreads)
        if found is None:
            return None
        hours = np.full(len(options), np.nan)
        hours[standing] = found
        return hours


def _lines(shape: BaseGeometry) -> list[Floats]:
    """The lines that outline a shape: every ring of its parts, or the parts themselves where they are lines."""
    found: list[Floats] = []
    for part in shapely.get_parts(shape):
        lines = shapely.get_rings(part) if part.geom_type == "Polygon" else [part]
        found += [shapely.get_coordinates(line) for line in lines]
    return found


def with_places(wishes: Wishes, ground: Ground, trees: Sequence[Sequence[TreeOption]]) -> Wishes:
    """The wishes with as many places as the ground holds of any of these trees, shared out over what is usual.

    Where nobody says how many are wanted, no more are planted than the usual number: a small garden is not packed with
    the narrowest trees there are.
    """
    most = wishes.room.tree_count
    counts = [max(ground.holds(one) for one in options) for options in trees if options]
    usual = int(np.median(counts)) if counts else 1
    held = min(most, max([*counts, len(wishes.must_include), 0]))
    if wishes.room.assumptions:
        held = min(held, max(usual, len(wishes.must_include)))
    placed = replace(wishes, room=replace(wishes.room, tree_count=held), most_trees=most)
    return replace(placed, shared_over=max(min(usual, most) // placed.trees_of_each, 1))


def _numbered(rows: list[int], trees: Sequence[int], row: Sequence[int]) -> list[int]:
    """Rows of all trees with those of some of them, numbered on from the others."""
    so_far = max(rows) + 1
    found = list(rows)
    for tree, number in zip(trees, row, strict=True):
        found[tree] = number + so_far if number >= 0 else -1
    return found


def _spacing_m(option: TreeOption, step_m: float) -> float:
    """Distance of a free tree to the next in a row (m), rounded up: trees about alike take the same room."""
    return round(math.ceil(round(option.spacing_m / step_m, 6)) * step_m, 3)


def _size(option: TreeOption, step_m: float) -> tuple[float, float]:
    """Spread and height (m), rounded up."""
    spread = math.ceil(round(option.spread_m / step_m, 6)) * step_m
    high_m = HEIGHT_STEP_M * step_m / SPREAD_STEP_M
    height = math.ceil(round(option.height_m / high_m, 6)) * high_m
    return round(spread, 3), round(height, 3)


def _part(plot: Plot, side_m: float) -> Plot:
    """A part of a large plot about its widest open place, and the things that matter there."""
    around = shapely.union_all([obstacle.shape.buffer(OPEN_M) for obstacle in plot.obstacles])
    open_ground = plot.ground.difference(around)
    ground = plot.ground if open_ground.is_empty else open_ground
    middle = shapely.get_coordinates(shapely.maximum_inscribed_circle(ground, tolerance=1.0))[0]
    window = shapely.box(*(middle - side_m / 2), *(middle + side_m / 2))
    near = tuple(one for one in plot.obstacles if one.shape.dwithin(window, NEAR_M))
    part = shapely.union_all([one for one in shapely.get_parts(plot.ground.intersection(window)) if one.area > 0])
    return replace(plot, ground=part, obstacles=near)
