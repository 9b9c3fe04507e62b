"""How many trees a space holds, by area and spacing alone, until a plot is laid out tree by tree.

Spacing follows the home-garden table of Lord, "Dwarf Apple Trees for Home Gardens" (University of New Hampshire
Cooperative Extension), Table 1: in the row and between rows 2.44 x 3.66 m on M.9, 3.05 x 4.88 m on M.26 and
4.27 x 6.71 m on MM.106. Which of them a wished height asks for is common practice, no source.
"""

import math
from dataclasses import dataclass

from domain.climate.site_years import Assumption
from domain.planting_list.request import MOST_TREES, PlotPolygon, Space
from domain.problems import ContentFault, ContentFaults, pointer

EARTH_RADIUS_M = 6_371_008.8
"""Mean radius of the GRS 80 ellipsoid."""

SPACING_M = ((2.5, 2.44, 3.66, "dwarfing"), (4.0, 3.05, 4.88, "semi-dwarfing"), (99.0, 4.27, 6.71, "semi-vigorous"))
"""Height kept (m, up to), spacing in the row and between rows (m), and the vigour of the rootstock."""

USUAL_HEIGHT_M = 3.5


@dataclass(frozen=True)
class Room:
    """Trees that a space holds, and what was assumed to count them."""

    tree_count: int
    assumptions: tuple[Assumption, ...] = ()


def room(space: Space, keep_height_m: float | None) -> Room:
    """Trees that fit. Raises ContentFaults if the space is not told in exactly one way or a plot has no area."""
    told = [name for name in ("tree_count", "rectangle_m", "plot") if getattr(space, name) is not None]
    if len(told) != 1:
        detail = "Expected exactly one of tree_count, rectangle_m and plot."
        raise ContentFaults([ContentFault(pointer("space"), detail)])
    if space.no_planting_areas and space.plot is None:
        detail = "Areas to keep free go with a plot; leave them out of a tree_count or a rectangle_m."
        raise ContentFaults([ContentFault(pointer("space", "no_planting_areas"), detail)])
    if space.tree_count is not None:
        return Room(space.tree_count)
    if space.rectangle_m is not None:
        return _by_area(space.rectangle_m[0] * space.rectangle_m[1], keep_height_m)
    return _by_area(_plot_area_m2(space), keep_height_m)


def polygon_area_m2(polygon: PlotPolygon) -> float:
    """Area (m2) of a small polygon, holes taken out: the shoelace formula on a plane that touches its middle."""
    rings = [_ring_area_m2(ring) for ring in polygon.coordinates]
    return rings[0] - sum(rings[1:])


def _ring_area_m2(ring: list[list[float]]) -> float:
    middle = math.radians(sum(position[1] for position in ring) / len(ring))
    east = [(position[0] - ring[0][0] + 180) % 360 - 180 for position in ring]  # also across the antimeridian
    x = [math.radians(degrees) * math.cos(middle) * EARTH_RADIUS_M for degrees in east]
    y = [math.radians(position[1] - ring[0][1]) * EARTH_RADIUS_M for position in ring]
    return abs(sum(x[k - 1] * y[k] - x[k] * y[k - 1] for k in range(len(ring)))) / 2


def _plot_area_m2(space: Space) -> float:
    assert space.plot is not None  # the caller has looked
    faults = []
    named = [
        (space.plot, ("plot",)),
        *((area, ("no_planting_areas", n)) for n, area in enumerate(space.no_planting_areas)),
    ]
    for polygon, where in named:
        for number, ring in enumerate(polygon.coordinates):
            place = pointer("space", *where, "coordinates", number)
            if ring[0] != ring[-1]:
                faults.append(ContentFault(place, "Expected a closed ring: its last position equal to its first."))
            if any(abs(position[0]) > 180 or abs(position[1]) > 90 for position in ring):
                faults.append(ContentFault(place, "Expected longitude -180 to 180 first, then latitude -90 to 90."))
    if not faults and polygon_area_m2(space.plot) <= 0:
        faults.append(ContentFault(pointer("space", "plot"), "Expected a polygon that has an area."))
    if faults:
        raise ContentFaults(faults)
    return max(polygon_area_m2(space.plot) - sum(polygon_area_m2(area) for area in space.no_planting_areas), 0.0)


def _by_area(area_m2: float, keep_height_m: float | None) -> Room:
    height = USUAL_HEIGHT_M if keep_height_m is None else keep_height_m
    _, in_row, between, vigour = next(row for row in SPACING_M if height <= row[0])
    fit = math.floor(area_m2 / (in_row * between))
    count = min(max(fit, 1), MOST_TREES)
    why = (
        f"{area_m2:.0f} m2 at {in_row:.1f} by {between:.1f} m a tree, for bush trees about {height:g} m tall on a "
        f"{vigour} rootstock. Edges, paths and shade are not reckoned."
    )
    if fit < 1:
        why += " That is less than one such tree asks: choose a trained or columnar form, or a pot."
    if fit > MOST_TREES:
        why += f" A list holds at most {MOST_TREES} trees; plant a larger space from several lists."
    return Room(count, (Assumption(field="space.tree_count", assumed=count, why=why),))
