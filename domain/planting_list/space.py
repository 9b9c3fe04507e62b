"""The room for the trees of a list: a number of them, or ground to lay them out on."""

from dataclasses import dataclass
from typing import Any

from domain.common.assumptions import Assumption
from domain.common.faults import ContentFault, ContentFaults, pointer
from domain.ground.geojson import AreaFeature, AreaInMetres, AreaProperties, Point
from domain.ground.layout_fence import CARRIERS
from domain.ground.plot import Plot, drawn_plot, rectangle_plot
from domain.ground.standing_tree import StandingTree
from domain.planting_list.list_request import FIGURES as USUAL
from domain.planting_list.list_request import Space, Wanted
from domain.tables.words import assume


@dataclass(frozen=True)
class Room:
    """At most so many trees; with a plot as many of them as it holds."""

    tree_count: int
    plot: Plot | None = None
    assumptions: tuple[Assumption, ...] = ()


def room(space: Space, wanted: Wanted, latitude: float | None, established: list[StandingTree]) -> Room:
    """The room as told. Raises ContentFaults if it is not told in exactly one way, or drawn in an impossible one."""
    told = [name for name in ("tree_count", "rectangle_m", "plot") if getattr(space, name) is not None]
    faults = []
    if len(told) != 1:
        detail = "Expected exactly one of tree_count, rectangle_m and plot."
        faults.append(ContentFault(pointer("space"), detail))
    if space.no_planting_areas and space.plot is None:
        detail = "Areas to keep free go with a plot; those of a rectangle_m go into areas_m."
        faults.append(ContentFault(pointer("space", "no_planting_areas"), detail))
    if space.areas_m and space.rectangle_m is None:
        detail = "Areas in metres go with a rectangle_m; those of a plot go into no_planting_areas."
        faults.append(ContentFault(pointer("space", "areas_m"), detail))
    for n, tree in enumerate(established):
        if tree.at is not None and space.plot is None:
            faults.append(ContentFault(pointer("established", n, "at"), "A position in degrees goes with a plot."))
        if tree.at_m is not None and space.rectangle_m is None:
            faults.append(ContentFault(pointer("established", n, "at_m"), "A place in metres goes with rectangle_m."))
    if faults:
        raise ContentFaults(faults)
    if space.tree_count is not None:
        return Room(min(space.tree_count, wanted.most_trees or space.tree_count))
    if space.rectangle_m is not None:
        in_metres = [
            (AreaInMetres(corners_m=[tree.at_m], **_properties(tree)), ("established", n, "at_m"))
            for n, tree in enumerate(established)
            if tree.at_m is not None
        ]
        plot = rectangle_plot(
            space.rectangle_m, space.bearing_deg, latitude, space.areas_m, ("space",), standing=in_metres
        )
        return _on(space, plot, wanted)
    assert space.plot is not None  # one of the three is given
    drawn = [
        (
            AreaFeature(geometry=Point(coordinates=list(tree.at)), properties=AreaProperties(**_properties(tree))),
            ("established", n, "at"),
        )
        for n, tree in enumerate(established)
        if tree.at is not None
    ]
    plot = drawn_plot(space.plot, space.no_planting_areas, ("space",), standing=drawn)
    return _on(space, plot, wanted)


def _on(space: Space, plot: Plot, wanted: Wanted) -> Room:
    if space.stand == "fence" and not any(one.kind in CARRIERS for one in plot.obstacles):
        detail = "Draw the fence, wall or house that is to carry the trees among the areas, or tell tree_count."
        raise ContentFaults([ContentFault(pointer("space", "stand"), detail)])
    if wanted.most_trees is not None:
        return Room(wanted.most_trees, plot)
    if wanted.persons is None:
        return Room(
            USUAL.usual_trees, plot, (assume("wanted.most_trees", "trees_of_most_households", USUAL.usual_trees),)
        )
    usual = min(max(USUAL.trees_a_person * wanted.persons, USUAL.least_usual_trees), USUAL.usual_trees)
    told = assume("wanted.most_trees", "trees_of_persons", usual, persons=wanted.persons)
    return Room(usual, plot, (told,))


def _properties(tree: StandingTree) -> dict[str, Any]:
    return {"kind": "existing_tree", "height_m": tree.height_m, "spread_m": tree.spread_m}
