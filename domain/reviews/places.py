"""Where the trees of a planting stand: distances between them, what is drawn about them, and the sun that is left."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from domain.common.faults import ContentFault, ContentFaults, collecting, pointer
from domain.ground.plot import (
    MOST_EXTENT_M,
    Obstacle,
    Plot,
    RectangleFrame,
    check_position,
    drawn_plot,
    rectangle_plot,
    what_stands_there,
)
from domain.ground.projection import LocalPlane, distances_m, plane_about, surely_within
from domain.ground.sunlight import COARSE_STEP_H, Floats, sun_hours
from domain.reviews.review_request import PlantingListReviewRequest, ReviewSpace


@dataclass(frozen=True, eq=False)
class Places:
    """Places of trees, m east and north (n, 2), NaN where none is told; obstacles: drawn; latitude: of the sun.

    frame: in which the places are.
    """

    at: Floats
    obstacles: tuple[Obstacle, ...] = ()
    latitude: float | None = None
    frame: LocalPlane | RectangleFrame | None = None

    @cached_property
    def known(self) -> bool:
        """Whether at least two places are known, so that there is a distance."""
        return int(np.count_nonzero(np.isfinite(self.at[:, 0]))) > 1

    @cached_property
    def apart_m(self) -> Floats:
        """Distances (n, n), m; NaN where one of the two is not known, and of a tree to itself."""
        if not self.known:
            return np.full((len(self.at), len(self.at)), np.nan)
        east, north = self.at.T
        apart: Floats = np.hypot(east[:, None] - east, north[:, None] - north)
        np.fill_diagonal(apart, np.nan)
        return apart

    @cached_property
    def _nearest(self) -> list[tuple[int, float] | None]:
        """The tree nearest to each and how far it is, m; None where no distance is known."""
        if not self.known:
            return [None] * len(self.at)
        apart = np.where(np.isnan(self.apart_m), np.inf, self.apart_m)
        near, metres = apart.argmin(axis=1).tolist(), apart.min(axis=1).tolist()
        return [(n, far) if far < np.inf else None for n, far in zip(near, metres, strict=True)]

    def nearest(self, place: int) -> tuple[int, float] | None:
        """The tree nearest to one, and how far it is, m; None where no distance is known."""
        return self._nearest[place]

    def sun(self, heights_m: Floats, spreads_m: Floats, open_h: float | None) -> Floats:
        """Hours of sun (n,) that trees and drawn things leave each; NaN where place or latitude is not known.

        open_h: hours in the open, where they are told; else those of a clear sky.
        """
        found = np.full(len(self.at), np.nan)
        here = np.flatnonzero(np.isfinite(self.at[:, 0]))
        if self.latitude is None or not here.size or not (self.known or self.obstacles):
            return found
        at, latitude = self.at[here], self.latitude
        hours = sun_hours(at, heights_m[here], spreads_m[here], self.obstacles, latitude, step_h=COARSE_STEP_H)
        if open_h is not None:
            alone = sun_hours(at[:1], heights_m[here][:1], spreads_m[here][:1], (), latitude, step_h=COARSE_STEP_H)
            hours = hours * (open_h / max(float(alone[0]), 1e-6))
        found[here] = hours
        return found


def places(request: PlantingListReviewRequest) -> Places:
    """The places of the trees of a request.

    Raises ContentFaults: told in two ways, no place on the globe, far from the first, off the plot, on a house.
    """
    trees, space = request.trees, request.space
    faults = []
    in_degrees = [n for n, tree in enumerate(trees) if tree.at is not None]
    in_metres = [n for n, tree in enumerate(trees) if tree.at_m is not None]
    if in_degrees and in_metres:
        detail = "Expected all places in degrees (at) or all in metres (at_m)."
        faults.append(ContentFault(pointer("trees", in_metres[0], "at_m"), detail))
    for n in (*in_degrees, *in_metres):
        if trees[n].count > 1:
            detail = f"One place holds one tree; expected no count, or {trees[n].count} trees with a place each."
            faults.append(ContentFault(pointer("trees", n, "count"), detail))
    if space is not None:
        if (space.plot is None) == (space.rectangle_m is None):
            faults.append(ContentFault(pointer("space"), "Expected exactly one of rectangle_m and plot."))
        for n in in_degrees if space.plot is None else in_metres:
            name = "at" if space.plot is None else "at_m"
            detail = "Places in degrees (at) go with a plot, those in metres (at_m) with rectangle_m."
            faults.append(ContentFault(pointer("trees", n, name), detail))
    for n in in_degrees:
        with collecting(faults):
            check_position(trees[n].at or (), ("trees", n, "at"))
    if faults:
        raise ContentFaults(faults)
    plot = None if space is None else _plot(space, request.site.latitude)
    # A position may have a height (RFC 7946, section 3.1.1), which says nothing of room or pollen.
    positions = np.array([(trees[n].at or ())[:2] for n in in_degrees], dtype=np.float64).reshape(-1, 2)
    if plot is not None:
        frame = plot.frame
    elif in_degrees:
        if surely_within(positions.tolist(), MOST_EXTENT_M):
            frame = LocalPlane(*(float(axis.sum()) / len(in_degrees) for axis in positions.T))
        else:
            _check_together(positions, in_degrees)
            frame = plane_about(positions)
    else:
        frame = RectangleFrame(0.0, request.site.latitude)
    at = np.full((len(trees), 2), np.nan)
    if in_degrees:
        at[in_degrees] = frame.to_plane(positions)
    if in_metres:
        at[in_metres] = frame.to_plane([trees[n].at_m or (np.nan, np.nan) for n in in_metres])
    if plot is not None:
        _check_ground(plot, at, in_degrees or in_metres, "at" if in_degrees else "at_m")
    latitude = request.site.latitude if plot is None or plot.latitude is None else plot.latitude
    return Places(at, () if plot is None else plot.obstacles, latitude, frame)


def _check_together(told: Floats, places: Sequence[int]) -> None:
    """Raise ContentFaults for positions (n, 2) so far from the first that they are of no one planting."""
    faults = []
    for place, apart_m in zip(places, distances_m((told[0, 0], told[0, 1]), told).tolist(), strict=True):
        if apart_m > MOST_EXTENT_M:
            first = pointer("trees", places[0], "at")
            detail = (
                f"It stands {apart_m / 1000:.1f} km from the tree at {first}; expected at most "
                f"{MOST_EXTENT_M / 1000:.0f} km. Are longitude and latitude in order?"
            )
            faults.append(ContentFault(pointer("trees", place, "at"), detail))
    if faults:
        raise ContentFaults(faults)


def _plot(space: ReviewSpace, latitude: float | None) -> Plot:
    if space.rectangle_m is not None:
        return rectangle_plot(space.rectangle_m, space.bearing_deg, latitude, space.areas_m, ("space",))
    assert space.plot is not None  # one of the two is given
    return drawn_plot(space.plot, space.no_planting_areas, ("space",))


def _check_ground(plot: Plot, at: Floats, told: Sequence[int], name: str) -> None:
    faults = []
    for n in told:
        trunk = shapely.Point(at[n])
        on = what_stands_there(trunk, plot.obstacles)
        if on is not None:
            detail = f"It stands on the {on.kind} drawn at {on.place}; expected a place beside it."
            faults.append(ContentFault(pointer("trees", n, name), detail))
        elif not plot.ground.covers(trunk):
            detail = "It stands outside the ground that is drawn; expected a place on it, or a larger outline."
            faults.append(ContentFault(pointer("trees", n, name), detail))
    if faults:
        raise ContentFaults(faults)
