"""The drawn fences and walls of a plot, and trees of a list trained along them where there is enough sun."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from domain.ground.layout_even import stretch
from domain.ground.layout_fence import CARRIERS, FenceRun, FenceTrees, beside_walls, fence_runs
from domain.ground.plot import Obstacle, Plot
from domain.ground.plot_layouts import FIGURES as LAYOUTS
from domain.ground.room import Room, room_with_shares
from domain.ground.sunlight import FIGURES as SUNLIGHT
from domain.ground.sunlight import Beside, assumed_height_m
from domain.planting_list.laid_trees import Floats, LaidTrees
from domain.planting_list.sun_here import SunHere
from domain.planting_list.tree_options import TreeOption
from domain.tables.tree_forms import tree_forms

PLACES_AT_ONCE = 32
"""Places times the most corners of a ground times the looks at the sun of a year stay below `sunlight.MOST_WORK`."""


class Walls:
    """Stretches along the drawn fences and walls of a plot, each on its sunnier side; none where cordons lack sun."""

    def __init__(self, plot: Plot, sun: SunHere) -> None:
        self._of_place = sun
        self._depth_m = max(form.ranges["depth"].high for form in tree_forms().values() if "depth" in form.ranges)
        self.runs: tuple[FenceRun, ...] = ()
        """The sunniest first."""
        self._tops_m: tuple[float, ...] = ()
        """Of each run the height (m) up to which what is trained there gets its light: its own fence's."""
        self.room = Room(shapely.Polygon(), (), ())
        """Where trunks of trained trees may stand, fences and walls left out of account."""
        carriers = [one for one in plot.obstacles if one.kind in CARRIERS]
        walls = [one.shape for one in carriers]
        if not walls:
            return
        others = replace(plot, obstacles=tuple(one for one in plot.obstacles if one.kind not in CARRIERS))
        self.room = room_with_shares(others, self._depth_m, LAYOUTS.trained_height_m)
        region = beside_walls(self.room.region, walls, self._depth_m)
        found: list[tuple[float, float, FenceRun]] = []
        least = min(form.ranges["spread"].low for form in tree_forms().values() if form.arrangement == "fence")
        trained = FenceTrees(least, least, self._depth_m)
        for carrier in carriers:
            top_m = min(LAYOUTS.trained_height_m, _top_m(carrier))
            light = partial(self._sun, top_m)
            runs = [run for outline in _outlines(carrier.shape) for run in fence_runs(region, outline, trained, light)]
            if not runs:
                continue
            hours = light(np.array([run.middle for run in runs]))
            lit = [(float(each), run) for each, run in zip(hours, runs, strict=True) if each >= sun.least_h]
            amid = self._amid_others([run for _, run in lit], top_m, least)
            found += [
                (alone_h, top_m, run)
                for (alone_h, run), amid_h in zip(lit, amid, strict=True)
                if amid_h >= SUNLIGHT.least_hours
            ]
        found.sort(key=lambda item: (-round(item[0], 1), -item[2].length_m))
        self.runs = tuple(run for *_, run in found)
        self._tops_m = tuple(top_m for _, top_m, _ in found)

    def _sun(self, height_m: float, places: Floats) -> Floats:
        """Hours of sun of trees so high at places (n, 2); where nobody knows them as many as are good."""
        found = np.full(len(places), SUNLIGHT.good_hours)
        for part in _parts(len(places)):
            n = len(places[part])
            hours = self._of_place.hours(places[part], np.full(n, height_m), np.zeros(n))
            if hours is not None:
                found[part] = hours
        return found

    def _amid_others(self, runs: Sequence[FenceRun], height_m: float, spacing_m: float) -> Floats:
        """Hours of sun (n,) that the narrowest trained tree gets amid each run, with one like it on either side."""
        found = np.full(len(runs), SUNLIGHT.good_hours)
        for part in _parts(len(runs)):
            some = runs[part]
            middles = np.array([run.middle for run in some])
            off = np.array([run.along * min(spacing_m, run.length_m / 2) for run in some])
            beside = Beside(np.stack([middles - off, middles + off], axis=1), self._depth_m)
            hours = self._of_place.drawn_hours(middles, np.full(len(some), height_m), beside)
            if hours is not None:
                found[part] = hours
        return found

    def lay(self, options: Sequence[TreeOption]) -> LaidTrees:
        """Trees along the runs, the widest first, each run's spread over it; NaN of those that find no place."""
        trees, rows = np.full((len(options), 2), np.nan), [-1] * len(options)
        waiting = sorted(range(len(options)), key=lambda tree: (-options[tree].spacing_m, tree))
        for number, run in enumerate(self.runs):
            here: list[int] = []
            for tree in list(waiting):
                if _need_m([options[one] for one in [*here, tree]]) <= run.length_m + 1e-7:
                    here.append(tree)
                    waiting.remove(tree)
            if not here:
                continue
            trees[here] = run.at(_spread_over(run.length_m, [options[tree] for tree in here]))
            for tree in here:
                rows[tree] = number
        lit_to_m = np.array([math.inf if row < 0 else self._tops_m[row] for row in rows])
        return LaidTrees(trees, tuple(rows), None, None, lit_to_m)


def _parts(count: int) -> list[slice]:
    """Places that are looked at together: so few that the sun is never looked at by the hour (`sunlight.MOST_WORK`)."""
    return [slice(first, first + PLACES_AT_ONCE) for first in range(0, count, PLACES_AT_ONCE)]


def _top_m(carrier: Obstacle) -> float:
    """Height (m) of a fence or wall, as told or assumed; one told to be flat throws no shade and bounds nothing."""
    height = assumed_height_m(carrier.kind) if carrier.height_m is None else carrier.height_m
    return height if height > 0 else LAYOUTS.trained_height_m


def _outlines(shape: BaseGeometry) -> list[Floats]:
    """Lines of a fence: as drawn, or the rings about an area."""
    found: list[Floats] = []
    for part in shapely.get_parts(shape):
        if part.geom_type == "LineString":
            found.append(shapely.get_coordinates(part))
        elif part.geom_type == "Polygon":
            found.append(shapely.get_coordinates(part.exterior))
    return found


def _gaps_m(options: Sequence[TreeOption]) -> list[float]:
    return [(a.spacing_m + b.spacing_m) / 2 for a, b in itertools.pairwise(options)]


def _need_m(options: Sequence[TreeOption]) -> float:
    """Length of wall that trees side by side take."""
    return sum(_gaps_m(options)) + (options[0].spread_m + options[-1].spread_m) / 2


def _spread_over(length_m: float, options: Sequence[TreeOption]) -> list[float]:
    """Places along a run: the same widening between all, what is left at both ends."""
    gaps = _gaps_m(options)
    first, last = options[0], options[-1]
    outer, beside = (first.spread_m + last.spread_m) / 2, (first.spacing_m + last.spacing_m) / 2
    widened = stretch(length_m - outer, sum(gaps), outer, beside) or 1.0
    left = (length_m - widened * sum(gaps) - outer) / 2
    places = [left + first.spread_m / 2]
    for gap in gaps:
        places.append(places[-1] + widened * gap)
    return places
