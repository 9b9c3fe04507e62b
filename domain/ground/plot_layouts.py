"""Lays trees out on a plot: the plot as told, the room on it, the arrangement asked for, and the sun there."""

import math
from dataclasses import replace
from typing import Any

import msgspec
import numpy as np
import shapely
from msgspec.structs import replace as replaced
from shapely.geometry.base import BaseGeometry

from domain.common.faults import ContentFault, ContentFaults, pointer
from domain.ground.contour import along_terraces, contour_deg, row_fall, terrace_deg, too_steep
from domain.ground.layout_answer import (
    DrawnLayout,
    LayoutSummary,
    PlacedTree,
    RectangleLayout,
    TreeFacts,
    TreeFeature,
    TreePoint,
)
from domain.ground.layout_even import TreeRoom, lay_evenly
from domain.ground.layout_fence import (
    CARRIERS,
    FenceTrees,
    beside_walls,
    fence_runs,
    lay_fence,
    most_along,
    off_fence_m,
)
from domain.ground.layout_fence import FIGURES as FENCES
from domain.ground.layout_free import lay_free
from domain.ground.layout_request import PlotLayoutRequest
from domain.ground.layout_rows import lay_rows
from domain.ground.layout_summary import Laid, layout_summary, tree_facts
from domain.ground.layout_words import LayoutReason, layout_reason
from domain.ground.plot import Obstacle, Plot, drawn_plot, rectangle_plot
from domain.ground.projection import Floats, LocalPlane
from domain.ground.room import Room, most_in_rows, most_that_fit, room_with_shares
from domain.ground.simpler_outlines import simpler
from domain.ground.sunlight import assumed_height_m, sun_hours
from domain.tables.parameters import figures


class PassageFigures(msgspec.Struct, frozen=True):
    """What is left between trees to walk and work, and what of a fence is one."""

    passage_m: float
    same_fence_m: float
    pot_passage_m: float
    trained_height_m: float


FIGURES = figures("ground", "plot_layouts", PassageFigures)
MOST_LAID = 1500
"""Trees that one layout may hold; a larger plot is laid out in parts or for a count."""


def told_plot(request: PlotLayoutRequest) -> Plot:
    """The plot of a request. Raises ContentFaults for a plot told twice, not at all, or in an impossible way."""
    faults = []
    if (request.plot is None) == (request.rectangle_m is None):
        faults.append(ContentFault("#", "Expected exactly one of plot and rectangle_m."))
    elif request.plot is None and (request.no_planting_areas or request.fence is not None):
        faults.append(ContentFault("#", "With rectangle_m, areas go into areas_m and a fence into fence_m."))
    elif request.plot is not None and (request.areas_m or request.fence_m is not None):
        faults.append(ContentFault("#", "With a plot, areas go into no_planting_areas and a fence into fence."))
    has_fence = request.fence is not None or request.fence_m is not None
    if has_fence != (request.arrangement == "fence"):
        detail = "The arrangement fence and a fence line go together."
        faults.append(ContentFault(pointer("arrangement"), detail))
    for name in ("spread_m", "height_m", "spacing_in_row_m", "row_spacing_m", "edge_set_back_m", "bearing_deg"):
        value = getattr(request, name)
        if value is not None and not math.isfinite(value):
            faults.append(ContentFault(pointer(name), "Expected a finite number."))
    if request.spacing_in_row_m is not None and request.spacing_in_row_m < request.spread_m:
        detail = "Trees closer than their spread would grow into each other; expected at least spread_m."
        faults.append(ContentFault(pointer("spacing_in_row_m"), detail))
    if request.row_spacing_m is not None and request.row_spacing_m < request.spread_m:
        detail = "Rows closer than the spread would grow into each other; expected at least spread_m."
        faults.append(ContentFault(pointer("row_spacing_m"), detail))
    if faults:
        raise ContentFaults(faults)
    if request.plot is not None:
        return drawn_plot(request.plot, request.no_planting_areas)
    assert request.rectangle_m is not None  # one of the two is given
    return rectangle_plot(request.rectangle_m, request.bearing_deg, request.latitude, request.areas_m)


def lay_out(request: PlotLayoutRequest) -> RectangleLayout | DrawnLayout:
    """The layout asked for; an honest empty one where nothing fits. Raises ContentFaults for an impossible request."""
    drawn = told_plot(request)
    flat = request.arrangement == "fence"
    if flat:
        drawn = _with_fence(request, drawn)
    carrying = _carrying(request, drawn) if flat else []
    others = tuple(one for one in drawn.obstacles if one not in carrying)
    simple = simpler(replace(drawn, obstacles=others))
    plot = replace(simple.plot, obstacles=(*simple.plot.obstacles, *carrying))
    height = height_of(request, plot)
    room = _room(request, plot, height)
    laid = _laid(request, plot, room)
    hours = _hours(plot, laid.trees, request.depth_m if flat else request.spread_m, height)
    facts = tree_facts(laid, hours)
    summary = layout_summary(request, plot, room, laid, hours, height=height)
    summary = replaced(summary, plot_area_m2=round(drawn.area_m2, 2), warnings=simple.warnings)
    if isinstance(plot.frame, LocalPlane):
        positions = np.round(plot.frame.to_positions(laid.trees), 9).tolist()
        features = tuple(
            TreeFeature(geometry=TreePoint(coordinates=(longitude, latitude)), properties=fact)
            for (longitude, latitude), fact in zip(positions, facts, strict=True)
        )
        return DrawnLayout(features=features, **_fields(summary))
    places = np.round(plot.frame.to_positions(laid.trees), 4) + 0.0  # no -0.0
    trees = tuple(
        PlacedTree(x_m=x, y_m=y, **_fields(fact)) for (x, y), fact in zip(places.tolist(), facts, strict=True)
    )
    return RectangleLayout(trees=trees, **_fields(summary))


def _fields(struct: LayoutSummary | TreeFacts) -> dict[str, Any]:
    return {name: getattr(struct, name) for name in struct.__struct_fields__}


def _laid(request: PlotLayoutRequest, plot: Plot, room: Room) -> Laid:
    spread, most = request.spread_m, request.tree_count
    if request.arrangement == "fence":
        return _along_fence(request, plot, room)
    bound = most_that_fit(room.region, spread)
    if bound > MOST_LAID:
        where = pointer("plot" if request.plot is not None else "rectangle_m")
        detail = f"It could hold up to {bound} such trees; at most {MOST_LAID} are laid out at once. Give a part of it."
        raise ContentFaults([ContentFault(where, detail)])
    if request.arrangement == "free":
        trees = lay_free(room.region, spread, most if most is not None else None)
        return Laid(trees, (None,) * len(trees), bound, why=(layout_reason("crowns_fit_without_touching"),))
    passage = FIGURES.pot_passage_m if request.arrangement == "pots" else FIGURES.passage_m
    if request.spacing_in_row_m is None and request.row_spacing_m is None:
        bound = most_in_rows(room.region, spread, passage)
    if most is not None and request.spacing_in_row_m is None and request.row_spacing_m is None:
        found = _evenly(request, plot, room, passage, bound)
        if found is not None:
            return found
    in_row = spread if request.spacing_in_row_m is None else request.spacing_in_row_m
    between = spread + passage if request.row_spacing_m is None else request.row_spacing_m
    rows = lay_rows(room.region, in_row, between, _bearing_asked(request, plot), most)
    why = []
    if len(rows.trees):
        why += _why_direction(request, rows.bearing_deg)
        if request.row_spacing_m is None:
            why.append(layout_reason("passage_between_rows", passage_m=passage))
    return Laid(
        trees=rows.trees,
        rows=tuple(int(row) + 1 for row in rows.row),
        most=bound,
        bearing_deg=round(rows.bearing_deg, 3) if len(rows.trees) else None,
        in_row_m=in_row,
        between_m=between,
        why=tuple(why),
    )


def _evenly(request: PlotLayoutRequest, plot: Plot, room: Room, passage: float, bound: int) -> Laid | None:
    """So many trees over the room there is; None where it does not hold them all."""
    spread, count = request.spread_m, request.tree_count or 0
    if count > bound or room.region.is_empty:
        return None
    tree = TreeRoom(spread, spread, spread if request.height_m is None else request.height_m)
    south = plot.latitude is not None and plot.latitude < 0
    rows = lay_evenly([tree] * count, lambda _: room.region, passage, south, _bearing_asked(request, plot))
    if rows is None:
        return None
    why = []
    if rows.bearing_deg is not None:
        why += _why_direction(request, rows.bearing_deg)
        why.append(layout_reason("passage_between_rows", passage_m=passage))
    several = len(set(rows.row)) > 1
    return Laid(
        trees=rows.trees,
        rows=tuple(row + 1 for row in rows.row),
        most=bound,
        bearing_deg=None if rows.bearing_deg is None else round(rows.bearing_deg, 3),
        in_row_m=round(rows.in_row * spread, 2),
        between_m=round(rows.between * (spread + passage), 2) if several else None,
        why=tuple(why),
    )


def _with_fence(request: PlotLayoutRequest, plot: Plot) -> Plot:
    """The plot with the fence that carries the trees among its things, so that it throws its shade."""
    if _carrying(request, plot):
        return plot
    return replace(plot, obstacles=(*plot.obstacles, Obstacle(shapely.LineString(_fence(request, plot)), "fence")))


def _carrying(request: PlotLayoutRequest, plot: Plot) -> list[Obstacle]:
    """The things drawn where the fence is that carries the trees: a fence, or the wall of a house."""
    fence = shapely.LineString(_fence(request, plot))
    return [o for o in plot.obstacles if o.kind in CARRIERS and _lies_along(o.shape, fence)]


def _lies_along(shape: BaseGeometry, fence: BaseGeometry) -> bool:
    """Whether a fence was drawn twice, as a line and among the things."""
    return bool(
        shape.buffer(FIGURES.same_fence_m).contains(fence) or shape.hausdorff_distance(fence) <= FIGURES.same_fence_m
    )


def _room(request: PlotLayoutRequest, plot: Plot, height: float) -> Room:
    """Where trunks may stand: trees in pots keep no room for roots, and those along a fence none from it."""
    if request.arrangement != "fence":
        in_pots = request.arrangement == "pots"
        return room_with_shares(plot, request.spread_m, height, request.edge_set_back_m, in_pots=in_pots)
    carrying = _carrying(request, plot)
    others = replace(plot, obstacles=tuple(one for one in plot.obstacles if one not in carrying))
    room = room_with_shares(others, request.depth_m, height, request.edge_set_back_m)
    return replace(room, region=beside_walls(room.region, [one.shape for one in carrying], request.depth_m))


def height_of(request: PlotLayoutRequest, plot: Plot) -> float:
    """Height of the trees: as told, else as tall as wide, and trained trees no taller than their fence."""
    if request.height_m is not None:
        return request.height_m
    if request.arrangement != "fence":
        return request.spread_m
    fences = [assumed_height_m("fence") if o.height_m is None else o.height_m for o in _carrying(request, plot)]
    return min(request.spread_m, *(height for height in fences if height > 0), FIGURES.trained_height_m)


def _fence(request: PlotLayoutRequest, plot: Plot) -> Floats:
    drawn = request.fence.coordinates if request.fence is not None else request.fence_m or ()
    return plot.frame.to_plane([tuple(corner[:2]) for corner in drawn])


def _along_fence(request: PlotLayoutRequest, plot: Plot, room: Room) -> Laid:
    fence, height = _fence(request, plot), height_of(request, plot)
    spacing = request.spread_m if request.spacing_in_row_m is None else request.spacing_in_row_m
    trained = FenceTrees(spacing, request.spread_m, request.depth_m)

    def sun(places: Floats) -> Floats:
        hours = _hours(plot, places, 0.0, height)  # either side is looked at as if nothing stood on the other
        return np.zeros(len(places)) if hours is None else hours

    trees = lay_fence(fence_runs(room.region, fence, trained, sun), trained)
    if request.tree_count is not None:
        trees = trees[: request.tree_count]
    why = layout_reason(
        "trunks_off_the_fence",
        trunks_off_m=round(off_fence_m(request.depth_m), 2),
        wires_off_m=FENCES.wires_off_m,
        spacing_m=spacing,
    )
    return Laid(trees, (1,) * len(trees), most_along(fence, trained), None, spacing, None, (why,))


def _bearing_asked(request: PlotLayoutRequest, plot: Plot) -> float | None:
    """The one direction in which rows may run: as told, else along the contour or terraces of a steep slope."""
    return terrace_deg(request.slope, plot.banks) if request.row_bearing_deg is None else request.row_bearing_deg


def _why_direction(request: PlotLayoutRequest, bearing: float) -> list[LayoutReason]:
    slope = request.slope
    if request.row_bearing_deg is not None:
        asked = layout_reason("rows_as_asked", bearing_deg=bearing)
        if slope is None or request.arrangement == "pots" or not too_steep(slope, bearing):
            return [asked]
        return [asked, layout_reason("rows_fall_steeply", percent=100.0 * row_fall(slope, bearing))]
    if slope is not None and contour_deg(slope) is not None and request.arrangement != "pots":
        if along_terraces(slope, bearing):
            return [layout_reason("rows_along_terraces", bearing_deg=bearing)]
        return [layout_reason("rows_along_the_contour", bearing_deg=bearing, percent=100.0 * slope.fall)]
    off_north = min(bearing, 180 - bearing)
    if off_north < 1:
        return [layout_reason("rows_north_to_south")]
    return [layout_reason("rows_hold_more", bearing_deg=bearing)]


def _hours(plot: Plot, trees: Floats, spread_m: float, height_m: float) -> Floats | None:
    if plot.latitude is None or len(trees) == 0:
        return None
    n = len(trees)
    return sun_hours(trees, np.full(n, height_m), np.full(n, spread_m), plot.obstacles, plot.latitude)
