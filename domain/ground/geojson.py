"""Ground as callers draw it: GeoJSON geometries (RFC 7946) in WGS 84, and the things to keep clear of.

`bbox`, `id` and the `name` that maps give a collection are not read; a `crs` is refused, since positions are always
WGS 84. Other foreign members are refused as everywhere in a request, so that a mistyped `properties` does not silently
lose a set-back.
"""

from typing import Annotated, Any

import msgspec
from msgspec import Meta

from domain.ground.set_backs import Kind

MOST_VERTICES = 2000
MOST_AREAS = 100

BBox = Annotated[list[float], Meta(min_length=4, max_length=6, description="Not read.")]
FeatureId = Annotated[str, Meta(max_length=200, description="Not read.")] | int

Position = Annotated[
    list[float],
    Meta(min_length=2, max_length=3, description="Longitude, then latitude, in degrees.", examples=[[-76.9, 38.9]]),
]
Ring = Annotated[
    list[Position],
    Meta(min_length=4, max_length=MOST_VERTICES, description="A closed ring: the last position equals the first."),
]


class Polygon(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="type", tag="Polygon"):
    """A GeoJSON Polygon: the outer ring first, then holes. Ring direction does not matter."""

    coordinates: Annotated[list[Ring], Meta(min_length=1, max_length=50)]
    bbox: BBox | None = None
    crs: Any = None


class MultiPolygon(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="type", tag="MultiPolygon"
):
    """A GeoJSON MultiPolygon; a plot across the antimeridian may be split there or not."""

    coordinates: Annotated[
        list[Annotated[list[Ring], Meta(min_length=1, max_length=50)]], Meta(min_length=1, max_length=50)
    ]
    bbox: BBox | None = None
    crs: Any = None


class LineString(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="type", tag="LineString"
):
    """A GeoJSON LineString: a fence, a path, a line in the ground or overhead."""

    coordinates: Annotated[list[Position], Meta(min_length=2, max_length=MOST_VERTICES)]
    bbox: BBox | None = None
    crs: Any = None


class Point(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="type", tag="Point"):
    """A GeoJSON Point: a trunk, a pole."""

    coordinates: Position
    bbox: BBox | None = None
    crs: Any = None


KIND_TOLD = (
    "Decides the set-back. shrinkable_clay: a house on such ground. fence: a fence or wall. pitch: a field of play. "
    "bank: ground too steep to plant."
)

Height = Annotated[float, Meta(ge=0, le=100, description="Height above the ground, m.", examples=[5.5])]
SetBackLength = Annotated[
    float,
    Meta(ge=0, le=200, description="Least distance from a trunk, m; in place of the published figure.", examples=[2.0]),
]
CrownSpread = Annotated[float, Meta(gt=0, le=40, description="Width of its crown, m.", examples=[6.0])]


class AreaProperties(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a thing is, how tall it is, and how far trunks stay from it."""

    kind: Annotated[Kind, Meta(description=KIND_TOLD)] = "other"
    height_m: Height | None = None
    set_back_m: SetBackLength | None = None
    spread_m: CrownSpread | None = None


class AreaFeature(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="type", tag="Feature"
):
    """A GeoJSON Feature: a geometry and what it is."""

    geometry: Polygon | MultiPolygon | LineString | Point
    properties: AreaProperties | None = None
    id: FeatureId | None = None
    bbox: BBox | None = None
    crs: Any = None


class PlotFeature(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="type", tag="Feature"
):
    """A GeoJSON Feature of a plot; its properties are not read."""

    geometry: Polygon | MultiPolygon
    properties: dict[str, Any] | None = None
    id: FeatureId | None = None
    bbox: BBox | None = None
    crs: Any = None


class PlotCollection(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="type", tag="FeatureCollection"
):
    """A GeoJSON FeatureCollection that holds the plot alone, as maps export what is drawn on them."""

    features: Annotated[list[PlotFeature], Meta(min_length=1, max_length=1)]
    name: Annotated[str, Meta(max_length=200, description="Not read.")] | None = None
    bbox: BBox | None = None
    crs: Any = None


PlotGeometry = Polygon | MultiPolygon | PlotFeature | PlotCollection


def plot_outline(plot: PlotGeometry) -> tuple[Polygon | MultiPolygon, tuple[str | int, ...]]:
    """The geometry of a plot, and the way to it from the plot."""
    if isinstance(plot, PlotCollection):
        geometry, way = plot_outline(plot.features[0])
        return geometry, ("features", 0, *way)
    return (plot.geometry, ("geometry",)) if isinstance(plot, PlotFeature) else (plot, ())


AreaGeometry = Polygon | MultiPolygon | LineString | Point | AreaFeature


def crs_told(drawn: PlotGeometry | AreaGeometry, *way: str | int) -> list[tuple[str | int, ...]]:
    """Ways to each `crs` of what is drawn, at whatever depth. way: that to the drawing."""
    here: list[tuple[str | int, ...]] = [] if drawn.crs is None else [(*way, "crs")]
    if isinstance(drawn, PlotCollection):
        return [*here, *crs_told(drawn.features[0], *way, "features", 0)]
    if isinstance(drawn, PlotFeature | AreaFeature):
        return [*here, *crs_told(drawn.geometry, *way, "geometry")]
    return here


Metres = Annotated[
    tuple[
        Annotated[float, Meta(ge=-2000, le=4000, description="m")],
        Annotated[float, Meta(ge=-2000, le=4000, description="m")],
    ],
    Meta(description="x_m along the first side of the rectangle, y_m along the second.", examples=[[2.0, 3.5]]),
]


class AreaInMetres(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A thing to keep clear of, beside or in a rectangle: one corner is a point, more are a closed ring or a line."""

    corners_m: Annotated[list[Metres], Meta(min_length=1, max_length=500)]
    line: Annotated[bool, Meta(description="True: the corners are a line, not the outline of an area.")] = False
    kind: Annotated[Kind, Meta(description=KIND_TOLD)] = "other"
    height_m: Height | None = None
    set_back_m: SetBackLength | None = None
    spread_m: CrownSpread | None = None


NoPlantingAreas = Annotated[
    list[AreaGeometry],
    Meta(max_length=MOST_AREAS, description="Buildings, paths, lines, trees in and about the drawn plot."),
]
AreasInMetres = Annotated[
    list[AreaInMetres], Meta(max_length=MOST_AREAS, description="The same for a rectangle, in its own metres.")
]
Bearing = Annotated[
    float,
    Meta(
        ge=-360,
        le=360,
        description="Where the second side of the rectangle points, degrees clockwise from north.",
        examples=[20.0],
    ),
]
