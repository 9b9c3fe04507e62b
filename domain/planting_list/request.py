"""What a caller asks of `planting-lists`: the site, the space, the wishes, what may be had and what stands already."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from domain.climate.site import MonthDay, Site
from domain.suitability.request import CultivarName, Weight, Weights

MOST_TREES = 40
"""Trees in one list; a larger space is planted from several lists."""

MOST_LISTS = 5
MOST_NAMES = 500

Use = Literal["dessert", "cooking", "cider", "drying", "juice"]
USES: tuple[Use, ...] = ("dessert", "cooking", "cider", "drying", "juice")
Neighbourhood = Literal["isolated", "unknown", "settled"]

Length = Annotated[float, Meta(gt=0, le=2000, description="Length in m.")]
Position = Annotated[list[float], Meta(min_length=2, max_length=3, description="Longitude and latitude (RFC 7946).")]
Ring = Annotated[list[Position], Meta(min_length=4, max_length=500, description="A closed ring of positions.")]


class PlotPolygon(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A plot as a GeoJSON Polygon (RFC 7946), WGS84 longitude and latitude; later rings are holes."""

    type: Literal["Polygon"]
    coordinates: Annotated[list[Ring], Meta(min_length=1, max_length=50)]


class Space(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The room for trees: exactly one of `tree_count`, `rectangle_m` and `plot`."""

    tree_count: Annotated[int, Meta(ge=1, le=MOST_TREES, description="Trees to plant.", examples=[4])] | None = None
    rectangle_m: (
        Annotated[tuple[Length, Length], Meta(description="Two sides of a rectangle in m.", examples=[[6, 9]])] | None
    ) = None
    plot: PlotPolygon | None = None
    no_planting_areas: Annotated[
        list[PlotPolygon], Meta(max_length=50, description="Parts of the plot to keep free: buildings, septic fields.")
    ] = []


class Wanted(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the fruit is for, when it should ripen, and how the trees should be."""

    uses: Annotated[list[Use], Meta(max_length=len(USES), description="Each use should be served by a tree.")] = []
    first_ripe: Annotated[MonthDay, Meta(description="Nothing that is picked before is planted.")] | None = None
    last_ripe: Annotated[MonthDay, Meta(description="Nothing that is picked after is planted.")] | None = None
    keep_height_m: (
        Annotated[float, Meta(ge=1, le=12, description="Height to which trees are to be kept, m.", examples=[2.5])]
        | None
    ) = None
    no_spray: Annotated[bool, Meta(description="True: sound fruit without spraying counts for more.")] = False
    must_include: Annotated[
        list[CultivarName], Meta(max_length=MOST_TREES, description="Planted whatever is thought of them here.")
    ] = []


class EstablishedTree(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tree that stands on the site already and stays."""

    cultivar: CultivarName


class NearbyPollen(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An apple or crab apple tree near the site, whoever owns it."""

    cultivar: CultivarName
    distance_m: Annotated[float, Meta(ge=0, le=5000, description="Distance to the nearest new tree, m.", examples=[20])]


class ListWeights(Weights, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How much each outcome counts: those of a single tree (see suitabilities), and those of the list as a whole."""

    picking_season: Weight = 4.0
    uses: Weight = 2.0


class PlantingListsRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A site, the room on it, and what is wanted of the trees."""

    site: Site
    space: Space
    wanted: Wanted = Wanted()
    available: (
        Annotated[
            list[CultivarName],
            Meta(
                max_length=MOST_NAMES, description="What can be had, such as a nursery's stock; [] means nothing can."
            ),
        ]
        | None
    ) = None
    excluded: Annotated[list[CultivarName], Meta(max_length=MOST_NAMES, description="What is not wanted.")] = []
    established: Annotated[
        list[EstablishedTree], Meta(max_length=60, description="Trees that stay; two of one cultivar are normal.")
    ] = []
    nearby_pollen: Annotated[list[NearbyPollen], Meta(max_length=60)] = []
    neighbourhood: Annotated[
        Neighbourhood,
        Meta(
            description="settled: gardens with apple or crab apple trees all around. isolated: none within bee flight. "
            "With isolated or unknown neighbours a list carries itself."
        ),
    ] = "unknown"
    lists: Annotated[int, Meta(ge=1, le=MOST_LISTS, description="How many different lists to offer.")] = 3
    weights: ListWeights | None = None
