"""What is told of trees that are laid out: each of them, the whole, what holds it back, set-backs and cautions."""

from dataclasses import dataclass

import shapely
from msgspec.structs import asdict

from domain.common.cautions import Caution
from domain.ground.layout_answer import LayoutSummary, SetBackTold, TreeFacts
from domain.ground.layout_request import PlotLayoutRequest
from domain.ground.layout_words import LayoutLimit, LayoutReason, layout_limit, layout_reason
from domain.ground.plot import Plot
from domain.ground.projection import Floats
from domain.ground.room import Room, room_for, what_binds
from domain.ground.spacing import least_row_spacing_m
from domain.ground.sunlight import FIGURES as SUNLIGHT
from domain.ground.sunlight import rate
from domain.tables.cautions import ASK_LOCALLY, DIGGING, HEAVY_POTS, LADDERS, WIRES
from domain.tables.tree_forms import takes_ladder
from domain.tables.words import say


@dataclass(frozen=True)
class Laid:
    """Trunks (n, 2) in m east and north, their rows, and how they were laid."""

    trees: Floats
    rows: tuple[int | None, ...]
    most: int
    bearing_deg: float | None = None
    in_row_m: float | None = None
    between_m: float | None = None
    why: tuple[LayoutReason, ...] = ()


def nearest_trees_m(trees: Floats) -> list[float | None]:
    """Distance (m) from each trunk (n, 2) to the nearest other; None for a single one."""
    if len(trees) < 2:
        return [None] * len(trees)
    points = shapely.points(trees)
    _, distance = shapely.STRtree(points).query_nearest(points, exclusive=True, return_distance=True, all_matches=False)
    return [round(float(d), 3) for d in distance]


def tree_facts(laid: Laid, hours: Floats | None) -> list[TreeFacts]:
    """What is told of each tree, in the order of the trunks; hours: of sun at each, None where no latitude is known."""
    n = len(laid.trees)
    nearest = nearest_trees_m(laid.trees)
    told = [None] * n if hours is None else [round(float(h), 1) for h in hours]
    return [
        TreeFacts(
            number=k + 1,
            row=laid.rows[k],
            nearest_tree_m=nearest[k],
            sun_hours=told[k],
            sun=None if (h := told[k]) is None else rate(h),
        )
        for k in range(n)
    ]


def layout_summary(
    request: PlotLayoutRequest, plot: Plot, room: Room, laid: Laid, hours: Floats | None, *, height: float
) -> LayoutSummary:
    """What is told of the whole; room: where trunks may stand, hours: of sun at each tree, height: of the trees, m."""
    count = len(laid.trees)
    limits = list(what_binds(room))
    why = list(laid.why)
    if count == 0:
        limits.insert(0, _why_none(request, plot, room))
    elif request.tree_count is not None and count == request.tree_count and count < laid.most:
        limits.insert(0, layout_limit("number_of_trees_asked"))
    if hours is not None:
        dark = int((hours < SUNLIGHT.least_hours).sum())
        if dark:
            limits.append(layout_limit("trees_too_dark", trees=dark, count=count, hours=SUNLIGHT.least_hours))
    if laid.between_m is not None and count and len(set(laid.rows)) > 1:
        least = least_row_spacing_m(height, laid.bearing_deg or 0.0)
        if laid.between_m < least - 1e-9:
            why.append(layout_reason("rows_far_enough_for_light", height_m=height, least_m=least))
    return LayoutSummary(
        arrangement=request.arrangement,
        count=count,
        most_that_fit=max(laid.most, count),
        plot_area_m2=round(plot.area_m2, 2),
        share_for_trunks=round(room.region.area / plot.area_m2, 4),
        row_bearing_deg=laid.bearing_deg,
        spacing_in_row_m=laid.in_row_m,
        row_spacing_m=laid.between_m,
        limits=tuple(limits),
        why=tuple(why),
        set_backs=set_backs_told(room),
        warnings=(),
        cautions=_cautions(request, room, height),
    )


def set_backs_told(room: Room) -> tuple[SetBackTold, ...]:
    """The set-backs of a room as they are answered."""
    return tuple(
        SetBackTold(
            kind=back.kind,
            trunk_distance_m=round(back.trunk_distance_m, 3),
            basis=back.basis,
            source=back.source,
            **asdict(say(back.code)),
        )
        for back in room.set_backs
    )


def _why_none(request: PlotLayoutRequest, plot: Plot, room: Room) -> LayoutLimit:
    bare = Plot(plot.ground, plot.frame)
    size = request.depth_m if request.arrangement == "fence" else request.spread_m
    if room_for(bare, size, 0.0, request.edge_set_back_m).region.is_empty:
        return layout_limit("plot_too_narrow", from_edge_m=size / 2)
    if room.region.is_empty:
        return layout_limit("set_backs_cover_plot")
    return layout_limit("fence_too_short")


def _cautions(request: PlotLayoutRequest, room: Room, height: float) -> tuple[Caution, ...]:
    told = [] if request.arrangement == "pots" else [DIGGING]
    told += [back.caution for back in room.set_backs if back.caution is not None]
    if takes_ladder(height):
        told.append(LADDERS)
    if request.arrangement == "pots":
        told.append(HEAVY_POTS)
    if request.arrangement == "fence":
        told += [WIRES, ASK_LOCALLY]
    return tuple({caution.code: caution for caution in told}.values())
