"""What a caller asks of `planting-list-reviews`: a planned list or a standing orchard, and what is wrong with it."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from domain.fruit.complaints import Complaint
from domain.fruit.signs import Sign
from domain.ground.geojson import AreasInMetres, Bearing, NoPlantingAreas, PlotGeometry
from domain.ground.standing_tree import StandingTree
from domain.planting_list.list_request import MOST_NAMES, Length, NearbyPollen, Neighbourhood
from domain.site_climate.site import Site
from domain.suitability.suitability_request import CultivarName, HowUnknown
from domain.traits.fruit_like import Use

MOST_TREES = 300
MOST_CHANGES = 20

Day = Annotated[str, Meta(pattern=r"^\d{4}-\d{2}-\d{2}$", description="A day, YYYY-MM-DD.", examples=["2026-11-29"])]
State = Literal["planned", "standing"]
Pruning = Literal["none", "light", "moderate", "hard"]
Feeding = Literal["none", "some", "much"]


class Seen(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What was seen of a tree on a day."""

    event: Literal["full_bloom", "first_ripe", "last_crop"]
    date: Day


class ReviewedTree(StandingTree, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tree to judge, planned or standing, and what is known of it."""

    state: State = "standing"
    sun_hours: Annotated[float, Meta(ge=0, le=24, description="Hours of sun on a clear summer day.")] | None = None
    pruning: Annotated[Pruning | None, Meta(description="How much is cut off in most years.")] = None
    feeding: Annotated[Feeding | None, Meta(description="Fed by manure, feed or a fed lawn around it.")] = None
    seen: Annotated[list[Seen], Meta(max_length=20)] = []  # noqa: RUF012 - a struct makes a new one for each
    complaints: Annotated[list[Complaint], Meta(max_length=6, description="What is wrong.")] = []  # noqa: RUF012 - a struct makes a new one
    signs: Annotated[list[Sign], Meta(max_length=8, description="What is seen of it and of its year.")] = []  # noqa: RUF012 - a struct makes a new one


class ReviewSpace(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The ground that the trees stand on, with what is drawn on it: exactly one of `rectangle_m` and `plot`."""

    rectangle_m: (
        Annotated[tuple[Length, Length], Meta(description="Two sides of a rectangle in m.", examples=[[6, 9]])] | None
    ) = None
    plot: Annotated[PlotGeometry | None, Meta(description="The ground: GeoJSON (RFC 7946), WGS 84.")] = None
    no_planting_areas: NoPlantingAreas = []
    areas_m: AreasInMetres = []
    bearing_deg: Bearing = 0.0


class ReviewWishes(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the planting is for."""

    uses: Annotated[list[Use], Meta(max_length=5)] = []


class PlantingListReviewRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A planting at a site: every tree of it is judged, and the whole."""

    site: Site
    trees: Annotated[list[ReviewedTree], Meta(min_length=1, max_length=MOST_TREES)]
    space: ReviewSpace | None = None
    wanted: ReviewWishes = ReviewWishes()
    available: (
        Annotated[
            list[CultivarName],
            Meta(
                max_length=MOST_NAMES, description="Cultivars and rootstocks that can be had for a change, by any name."
            ),
        ]
        | None
    ) = None
    nearby_pollen: Annotated[list[NearbyPollen], Meta(max_length=60)] = []
    neighbourhood: Neighbourhood = "unknown"
    room_for_trees: Annotated[int, Meta(ge=0, le=100, description="How many more trees find a place.")] = 0
    unknown_names: HowUnknown = "refuse"
    as_of: Annotated[
        Day | None, Meta(description="Today; needed beside year_planted and seen, here or in the site.")
    ] = None
    changes_at_most: Annotated[int, Meta(ge=0, le=MOST_CHANGES)] = 5
