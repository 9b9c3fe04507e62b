"""What a caller asks of `plot-layouts`: the ground, what to keep clear of, and the trees to lay out."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from domain.ground.geojson import AreasInMetres, Bearing, LineString, Metres, NoPlantingAreas, PlotGeometry
from domain.site_climate.site import Slope

MOST_TREES = 1000

Arrangement = Literal["rows", "free", "fence", "pots"]
Side = Annotated[float, Meta(gt=0, le=5000, description="Side of the rectangle, m.", examples=[9.0])]
Spacing = Annotated[float, Meta(ge=0.2, le=40, description="m", examples=[3.0])]


class PlotLayoutRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A plot drawn in WGS 84 or a rectangle in metres (exactly one), and the size of the trees."""

    spread_m: Annotated[
        float,
        Meta(ge=0.2, le=40, description="Width of a grown crown, m: the least distance of two trunks.", examples=[3.0]),
    ]
    plot: Annotated[PlotGeometry | None, Meta(description="The ground: GeoJSON (RFC 7946), WGS 84.")] = None
    rectangle_m: Annotated[tuple[Side, Side], Meta(description="Two sides, m.", examples=[[9, 12]])] | None = None
    latitude: (
        Annotated[float, Meta(ge=-90, le=90, description="Of the rectangle, for its sunlight.", examples=[50.0])] | None
    ) = None
    bearing_deg: Bearing = 0.0
    no_planting_areas: NoPlantingAreas = []
    areas_m: AreasInMetres = []
    height_m: (
        Annotated[
            float,
            Meta(
                gt=0,
                le=15,
                description="Height the trees are kept to, m; without it they are taken to be as tall as wide.",
                examples=[2.5],
            ),
        ]
        | None
    ) = None
    arrangement: Annotated[
        Arrangement,
        Meta(
            description="rows: straight rows with room to pass. free: as many as fit. fence: along the fence that is "
            "given. pots: pots in rows with room to water."
        ),
    ] = "rows"
    tree_count: (
        Annotated[int, Meta(ge=1, le=MOST_TREES, description="At most so many trees.", examples=[12])] | None
    ) = None
    spacing_in_row_m: (
        Annotated[Spacing, Meta(description="From trunk to trunk in a row; never below the spread.")] | None
    ) = None
    row_spacing_m: (
        Annotated[Spacing, Meta(description="From row to row; without it the spread and a passage.")] | None
    ) = None
    row_bearing_deg: (
        Annotated[float, Meta(ge=-360, le=360, description="Direction of the rows, degrees clockwise from north.")]
        | None
    ) = None
    slope: Annotated[
        Slope | None,
        Meta(description="How the ground falls: where it is steep rows run along the contour, unless told otherwise."),
    ] = None
    edge_set_back_m: Annotated[
        float, Meta(ge=0, le=200, description="Least distance of a trunk from the edge of the plot, m.")
    ] = 0.0
    fence: Annotated[LineString | None, Meta(description="The fence or wall, on a drawn plot.")] = None
    fence_m: (
        Annotated[list[Metres], Meta(min_length=2, max_length=500, description="The fence, beside a rectangle.")] | None
    ) = None
    depth_m: Annotated[
        float, Meta(ge=0.2, le=3, description="Thickness of trained trees across the fence, m.", examples=[0.5])
    ] = 0.5
