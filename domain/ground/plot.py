"""A plot on a plane in metres east and north, with the things to keep clear of, from what a caller drew.

Ring direction is put right silently. A ring that crosses itself, latitude given first, a plot larger than 5 km or
finer than 2,000 vertices is refused, with the place of the fault.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from domain.common.faults import ContentFault, ContentFaults, collecting, pointer
from domain.ground.crossings import MOST_CROSSINGS, crossings
from domain.ground.geojson import (
    MOST_VERTICES,
    AreaFeature,
    AreaGeometry,
    AreaInMetres,
    AreaProperties,
    LineString,
    MultiPolygon,
    PlotGeometry,
    Point,
    Polygon,
    crs_told,
    plot_outline,
)
from domain.ground.projection import Floats, LocalPlane, plane_about
from domain.ground.set_backs import Kind
from reference_tables.climate import (
    ELEVATION_CELLS_PER_DEGREE,
    ELEVATION_SOUTH_EDGE,
    NO_LAND,
    climatology_grid,
)

MOST_EXTENT_M = 5000.0
AREAS_WITHIN_M = 20_000.0
Place = tuple[str | int, ...]
"""Parts of a JSON pointer into the request."""
SNAP_M = 1e-6
LEAST_AREA_M2 = 1e-4
NO_TREE_STANDS_ON: frozenset[Kind] = frozenset({"house", "pond", "well", "pitch", "transformer"})
"""Kinds of areas on which no tree can stand; on any other a tree may have been there first."""


@dataclass(frozen=True)
class RectangleFrame:
    """Coordinates of a rectangle: x_m along its first side, y_m along its second, which points to the bearing."""

    bearing_deg: float
    latitude: float | None

    def to_plane(self, positions: ArrayLike) -> Floats:
        """x_m, y_m (n, 2) to metres east and north of the corner (n, 2)."""
        plane: Floats = np.asarray(positions, dtype=np.float64).reshape(-1, 2) @ self._turn
        return plane

    def to_positions(self, plane: ArrayLike) -> Floats:
        """Metres east and north (n, 2) to x_m, y_m (n, 2)."""
        positions: Floats = np.asarray(plane, dtype=np.float64).reshape(-1, 2) @ self._turn.T
        return positions

    @property
    def _turn(self) -> Floats:
        b = math.radians(self.bearing_deg)
        return np.array([[math.cos(b), -math.sin(b)], [math.sin(b), math.cos(b)]])


@dataclass(frozen=True)
class Obstacle:
    """A thing to keep clear of: its shape on the plane (m) and what is known of it."""

    shape: BaseGeometry
    kind: Kind = "other"
    height_m: float | None = None
    set_back_m: float | None = None
    spread_m: float | None = None
    place: str = "#"
    """JSON pointer of it in the request."""


@dataclass(frozen=True)
class Plot:
    """Ground to plant on (a valid Polygon or MultiPolygon, m east and north) and the things on it and about it."""

    ground: BaseGeometry
    frame: LocalPlane | RectangleFrame
    obstacles: tuple[Obstacle, ...] = field(default=())

    @property
    def latitude(self) -> float | None:
        """Degrees north; None for a rectangle whose latitude was not told."""
        return self.frame.latitude

    @property
    def area_m2(self) -> float:
        """Area of the ground, nothing taken off."""
        return float(self.ground.area)

    @property
    def banks(self) -> tuple[BaseGeometry, ...]:
        """The banks on it (m), which part a slope into terraces."""
        return tuple(one.shape for one in self.obstacles if one.kind == "bank")


def rectangle_plot(
    sides_m: tuple[float, float],
    bearing_deg: float = 0.0,
    latitude: float | None = None,
    areas: Sequence[AreaInMetres] = (),
    where: Place = (),
    *,
    standing: Sequence[tuple[AreaInMetres, Place]] = (),
) -> Plot:
    """A rectangle whose second side points to the bearing (degrees clockwise from north). Raises ContentFaults.

    standing: further things, each with its own place in the request.
    """
    faults: list[ContentFault] = []
    if not all(math.isfinite(side) and 0 < side <= MOST_EXTENT_M for side in sides_m):
        detail = f"Expected two sides between 0 and {MOST_EXTENT_M:.0f} m."
        faults.append(ContentFault(pointer(*where, "rectangle_m"), detail))
    elif sides_m[0] * sides_m[1] < LEAST_AREA_M2:
        faults.append(ContentFault(pointer(*where, "rectangle_m"), "Expected a rectangle that has an area."))
    corners_told = sum(len(area.corners_m) for area in areas)
    if corners_told > MOST_VERTICES:
        detail = f"{corners_told} corners in all; at most {MOST_VERTICES} are taken. Simplify the outlines."
        raise ContentFaults([*faults, ContentFault(pointer(*where, "areas_m"), detail)])
    frame = RectangleFrame(bearing_deg, latitude)
    outlines = [area.corners_m if area.line else [*area.corners_m, area.corners_m[0]] for area in areas]
    _check_crossings([np.array(outline) for outline in outlines], pointer(*where, "areas_m"))
    obstacles = []
    named = [(area, (*where, "areas_m", n)) for n, area in enumerate(areas)]
    for area, at in (*named, *standing):
        place = pointer(*at)
        corners = frame.to_plane(area.corners_m)
        if len(corners) == 1:
            shape: BaseGeometry = shapely.Point(corners[0])
        elif area.line:
            shape = shapely.LineString(corners)
        elif len(corners) == 2:
            faults.append(ContentFault(place, "Expected three corners or more of an area, or line: true for a line."))
            continue
        else:
            shape = shapely.Polygon(corners)
            if not shape.is_valid:
                faults.append(ContentFault(place, "The outline of the area crosses itself."))
                continue
        obstacles.append(Obstacle(shape, area.kind, area.height_m, area.set_back_m, area.spread_m, place))
    if faults:
        raise ContentFaults(faults)
    _check_where_trees_stand(obstacles)
    wide, deep = sides_m
    ground = shapely.Polygon(frame.to_plane([(0, 0), (wide, 0), (wide, deep), (0, deep)]))
    return Plot(ground, frame, tuple(obstacles))


def drawn_plot(
    plot: PlotGeometry,
    areas: Sequence[AreaGeometry] = (),
    where: Place = (),
    *,
    standing: Sequence[tuple[AreaFeature, Place]] = (),
) -> Plot:
    """A plot and its areas as drawn in WGS 84. Raises ContentFaults with the pointer of every fault.

    standing: further things, each with its own place in the request.
    """
    told = crs_told(plot, *where, "plot")
    told += [at for n, area in enumerate(areas) for at in crs_told(area, *where, "no_planting_areas", n)]
    faults = [ContentFault(pointer(*at), "Leave it out: positions are WGS 84 (RFC 7946).") for at in told]
    geometry, way = plot_outline(plot)
    plot_place: Place = (*where, "plot", *way)
    things = _things(areas, where, standing)
    everything = [(geometry, plot_place), *((thing.shape, thing.place) for thing in things)]
    _check_outlines(everything, faults)
    corners = _corners(geometry, plot_place)
    plane = plane_about(corners)
    _check_extent(plane, corners, plot_place)
    ground = _on_plane(geometry, plane, plot_place)
    if ground.area < LEAST_AREA_M2:
        raise ContentFaults([ContentFault(pointer(*plot_place), "Expected a plot that has an area.")])
    obstacles = []
    for thing in things:
        with collecting(faults):
            obstacles.append(_obstacle(thing, plane))
    if faults:
        raise ContentFaults(faults)
    _check_where_trees_stand(obstacles)
    outlines = [
        plane.to_plane([p[:2] for p in ring]) for shape, place in everything for ring, _ in _rings(shape, place)
    ]
    _check_crossings(outlines, pointer(*plot_place))
    return Plot(ground, plane, tuple(obstacles))


def what_stands_there(shape: BaseGeometry, obstacles: Sequence[Obstacle]) -> Obstacle | None:
    """The house, pond or the like within whose outline a tree would stand; None where it can stand."""
    return next((one for one in obstacles if one.kind in NO_TREE_STANDS_ON and one.shape.contains(shape)), None)


def _check_where_trees_stand(obstacles: Sequence[Obstacle]) -> None:
    """Raise ContentFaults for trees that are drawn or told to stand where no tree can; crowns may reach over a roof."""
    taken = [one for one in obstacles if one.kind in NO_TREE_STANDS_ON]
    trees = [one for one in obstacles if one.kind == "existing_tree"] if taken else []
    faults = []
    for tree in trees:
        if (on := what_stands_there(tree.shape, taken)) is not None:
            detail = f"This tree stands on the {on.kind} told at {on.place}; expected its own place beside it."
            faults.append(ContentFault(tree.place, detail))
    if faults:
        raise ContentFaults(faults)


@dataclass(frozen=True)
class _Thing:
    """A thing as drawn, where it stands in the request, and what is told of it."""

    shape: Polygon | MultiPolygon | LineString | Point
    place: Place
    properties: AreaProperties


def _things(areas: Sequence[AreaGeometry], where: Place, standing: Sequence[tuple[AreaFeature, Place]]) -> list[_Thing]:
    """The areas, whether drawn as a mere shape or as a Feature, then what stands."""
    things = []
    for n, area in enumerate(areas):
        place: Place = (*where, "no_planting_areas", n)
        if isinstance(area, AreaFeature):
            things.append(_Thing(area.geometry, (*place, "geometry"), area.properties or AreaProperties()))
        else:
            things.append(_Thing(area, place, AreaProperties()))
    return things + [
        _Thing(feature.geometry, place, feature.properties or AreaProperties()) for feature, place in standing
    ]


def _check_outlines(
    everything: Sequence[tuple[Polygon | MultiPolygon | LineString | Point, Place]], faults: list[ContentFault]
) -> None:
    """Raise ContentFaults with `faults` and all that is wrong with positions. The plot comes first of everything."""
    vertices = 0
    for shape, place in everything:
        for positions, ring_place in _rings(shape, place):
            vertices += len(positions)
            with collecting(faults):
                _check_positions(positions, ring_place, isinstance(shape, (Polygon, MultiPolygon)))
    if vertices > MOST_VERTICES:
        detail = f"{vertices} vertices in all; at most {MOST_VERTICES} are taken. Simplify the outlines."
        faults.append(ContentFault(pointer(*everything[0][1]), detail))
    if faults:
        raise ContentFaults(faults)


def _corners(shape: Polygon | MultiPolygon | LineString | Point, place: Place) -> Floats:
    """Longitude and latitude (n, 2) of all corners of a shape."""
    return np.concatenate([np.array([p[:2] for p in ring]) for ring, _ in _rings(shape, place)])


def _obstacle(thing: _Thing, plane: LocalPlane) -> Obstacle:
    """A thing on the plane of its plot. Raises ContentFaults where it lies far from it."""
    outline = _corners(thing.shape, thing.place)
    reach = float(np.abs(plane.to_plane(outline)).max())
    if reach > AREAS_WITHIN_M or _behind(plane, outline):
        detail = "It lies more than 20 km from the plot; are its longitude and latitude in order?"
        raise ContentFaults([ContentFault(pointer(*thing.place), detail)])
    told = thing.properties
    return Obstacle(
        _on_plane(thing.shape, plane, thing.place),
        told.kind,
        told.height_m,
        told.set_back_m,
        told.spread_m,
        pointer(*thing.place),
    )


def _rings(shape: Polygon | MultiPolygon | LineString | Point, place: Place) -> list[tuple[list[list[float]], Place]]:
    """Lists of positions with their places in the request."""
    at = (*place, "coordinates")
    if isinstance(shape, Point):
        return [([shape.coordinates], at)]
    if isinstance(shape, LineString):
        return [(shape.coordinates, at)]
    if isinstance(shape, Polygon):
        return [(ring, (*at, n)) for n, ring in enumerate(shape.coordinates)]
    return [(ring, (*at, part, n)) for part, rings in enumerate(shape.coordinates) for n, ring in enumerate(rings)]


def check_position(position: Sequence[float], place: Place) -> None:
    """Raise ContentFaults where a position (longitude, latitude, degrees; perhaps a height) is not on the globe."""
    if not all(math.isfinite(value) for value in position):
        raise ContentFaults([ContentFault(pointer(*place), "Expected finite numbers.")])
    longitude, latitude = position[:2]
    if abs(latitude) > 90 and abs(latitude) <= 180 and abs(longitude) <= 90:
        detail = "Latitude seems to come first here; GeoJSON gives longitude, then latitude (RFC 7946)."
        raise ContentFaults([ContentFault(pointer(*place), detail)])
    if abs(longitude) > 180 or abs(latitude) > 90:
        detail = "Expected longitude -180 to 180 first, then latitude -90 to 90."
        raise ContentFaults([ContentFault(pointer(*place), detail)])


def _check_positions(positions: Sequence[Sequence[float]], place: Place, closed: bool) -> None:
    for n, position in enumerate(positions):
        check_position(position, (*place, n))
    if closed and list(positions[0][:2]) != list(positions[-1][:2]):
        detail = "Expected a closed ring: its last position equal to its first."
        raise ContentFaults([ContentFault(pointer(*place, len(positions) - 1), detail)])


def _check_crossings(outlines: Sequence[Floats], place: str) -> None:
    """Raise ContentFaults where outlines are drawn over each other so often that no work with them has an end."""
    found = crossings(outlines)
    if found > MOST_CROSSINGS:
        detail = f"The outlines cross {found} times; at most {MOST_CROSSINGS} are taken. Draw what overlaps as one."
        raise ContentFaults([ContentFault(place, detail)])


def _check_extent(plane: LocalPlane, corners: Floats, place: Place) -> None:
    reach = np.inf if _behind(plane, corners) else float(np.ptp(plane.to_plane(corners), axis=0).max())
    if reach > MOST_EXTENT_M:
        size = "more than 1,000 km" if reach > 1e6 else f"{reach / 1000:.1f} km"
        detail = f"The plot is {size} across; at most {MOST_EXTENT_M / 1000:.0f} km are taken."
        raise ContentFaults([ContentFault(pointer(*place), detail)])
    longitude, latitude = plane.longitude, plane.latitude
    if abs(longitude) <= 90 and _is_land(latitude, longitude) is False and _is_land(longitude, latitude):
        detail = (
            f"Longitude {longitude:.2f}, latitude {latitude:.2f} lies at sea, and exchanged they lie on land. "
            "GeoJSON gives longitude, then latitude (RFC 7946)."
        )
        raise ContentFaults([ContentFault(pointer(*place, "coordinates"), detail)])


def _behind(plane: LocalPlane, positions: Floats) -> bool:
    """Whether any position lies beyond about 30 degrees of arc, where the plane no longer stands for the ground."""
    lam, phi = np.radians(positions).T
    lam0, phi0 = math.radians(plane.longitude), math.radians(plane.latitude)
    cosine = np.sin(phi) * math.sin(phi0) + np.cos(phi) * math.cos(phi0) * np.cos(lam - lam0)
    return bool(cosine.min() < 0.87)


def _is_land(latitude: float, longitude: float) -> bool | None:
    """Whether there is land within about 10 km; None where the map of the ground does not reach."""
    ground = climatology_grid().ground
    row = int((latitude - ELEVATION_SOUTH_EDGE) * ELEVATION_CELLS_PER_DEGREE)
    if not 0 <= row < ground.shape[0]:
        return None
    column = int((longitude + 180.0) * ELEVATION_CELLS_PER_DEGREE)
    rows = np.arange(max(row - 1, 0), min(row + 2, ground.shape[0]))
    columns = np.arange(column - 1, column + 2) % ground.shape[1]
    return bool((ground[np.ix_(rows, columns)] != NO_LAND).any())


def _on_plane(shape: Polygon | MultiPolygon | LineString | Point, plane: LocalPlane, place: Place) -> BaseGeometry:
    at = (*place, "coordinates")
    if isinstance(shape, Point):
        return shapely.Point(plane.to_plane([shape.coordinates[:2]])[0])
    if isinstance(shape, LineString):
        return shapely.LineString(plane.to_plane([p[:2] for p in shape.coordinates]))
    parts = [(shape.coordinates, at)] if isinstance(shape, Polygon) else [
        (rings, (*at, n)) for n, rings in enumerate(shape.coordinates)
    ]  # fmt: skip
    faults: list[ContentFault] = []
    polygons = []
    planes = [[plane.to_plane([p[:2] for p in ring]) for ring in rings] for rings, _ in parts]
    if len(parts) > 1:  # before they are made one, which costs by their crossings
        _check_crossings([ring for rings in planes for ring in rings], pointer(*place))
    for on_plane, (_, part_place) in zip(planes, parts, strict=True):
        crossing = [n for n, ring in enumerate(on_plane) if not shapely.LinearRing(ring).is_simple]
        polygon = shapely.Polygon(on_plane[0], on_plane[1:])
        for n in crossing:
            where = _crossing(shapely.Polygon(on_plane[n]), plane)
            faults.append(ContentFault(pointer(*part_place, n), f"The ring crosses or touches itself{where}."))
        if not crossing and shapely.Polygon(on_plane[0]).area < LEAST_AREA_M2:
            faults.append(ContentFault(pointer(*part_place, 0), "Expected an outline that has an area."))
        elif not crossing and not polygon.is_valid:
            detail = f"A hole crosses the outer ring or another hole, or lies outside{_crossing(polygon, plane)}."
            faults.append(ContentFault(pointer(*part_place), detail))
        polygons.append(polygon)
    if faults:
        raise ContentFaults(faults)
    return polygons[0] if len(polygons) == 1 else shapely.union_all(polygons, grid_size=SNAP_M)


def _crossing(polygon: BaseGeometry, plane: LocalPlane) -> str:
    """Where a polygon is invalid, in the caller's coordinates, as words."""
    reason = shapely.is_valid_reason(polygon)
    if "[" not in reason:
        return ""
    x, y = (float(value) for value in reason.split("[")[1].rstrip("]").split()[:2])
    longitude, latitude = plane.to_positions([(x, y)])[0]
    return f" near longitude {longitude:.6f}, latitude {latitude:.6f}"
