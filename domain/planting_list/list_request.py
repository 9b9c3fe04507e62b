"""What a caller asks of `planting-lists`: the site, the space, the wishes, what may be had and what stands already."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from domain.fruit.kinds import Kind
from domain.ground.geojson import (
    AreasInMetres,
    Bearing,
    NoPlantingAreas,
    PlotGeometry,
)
from domain.ground.standing_tree import StandingCultivar, StandingTree
from domain.site_climate.site import MonthDay, Site
from domain.suitability.suitability_request import CultivarName, HowUnknown, WarmerBy, Weight, Weights
from domain.tables.parameters import figures
from domain.traits.fruit_wishes import FruitWanted
from domain.trees.tree_size import Soil

Part = Literal[
    "advised_against",
    "established",
    "not_in_stock",
    "pollination_partners",
    "to_mind",
    "training",
    "worth_finding_out",
]
"""What of an answer may be left out: most of it by its size, none of it a caution or a verdict. `not_in_stock` is
the limit that names what cannot be had and may do better."""
MOST_TREES = 400
"""Trees in one list: a community orchard."""
MOST_CULTIVARS = 40
"""Cultivars of one list; where more trees are planted, each cultivar stands in a group of the same number."""


class UsualListFigures(msgspec.Struct, frozen=True):
    """Trees of a list on a plot where nobody says how many are wanted."""

    usual_trees: int
    least_usual_trees: int
    trees_a_person: int


FIGURES = figures("planting_list", "list_request", UsualListFigures)

MOST_LISTS = 5
USUAL_LISTS = 3
"""Lists where no number is told, and among which one that is to be planted is looked for, however few are asked."""
MOST_NAMES = 500
MOST_STOCK_ITEMS = 2000
"""Each cultivar may stand on several rootstocks."""

Neighbourhood = Literal["isolated", "unknown", "settled"]

Stand = Literal["ground", "pots", "fence"]

Length = Annotated[float, Meta(gt=0, le=2000, description="Length in m.")]


class Space(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The room for trees: exactly one of `tree_count`, `rectangle_m` and `plot`, and how they stand in it."""

    tree_count: (
        Annotated[
            int,
            Meta(
                ge=1,
                le=MOST_TREES,
                description="Trees to plant. Beyond 40 each cultivar stands in a group, so that at most 40 are chosen.",
                examples=[4],
            ),
        ]
        | None
    ) = None
    rectangle_m: (
        Annotated[tuple[Length, Length], Meta(description="Two sides of a rectangle in m.", examples=[[6, 9]])] | None
    ) = None
    plot: Annotated[PlotGeometry | None, Meta(description="The ground: GeoJSON (RFC 7946), WGS 84.")] = None
    no_planting_areas: NoPlantingAreas = []
    areas_m: AreasInMetres = []
    bearing_deg: Bearing = 0.0
    stand: Annotated[
        Stand,
        Meta(
            description="ground: free-standing or in rows. pots: on a balcony or yard. fence: trained along the fences "
            "and walls among the areas, or as many as tree_count."
        ),
    ] = "ground"
    soil: Annotated[Soil, Meta(description="fertile, average or poor (shallow, dry, sandy).")] = "average"


class Wanted(FruitWanted, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the fruit is for and should be like, when it should ripen, and how the trees should be."""

    first_ripe: (
        Annotated[MonthDay, Meta(description="Nothing that is picked before is planted.", examples=["08-20"])] | None
    ) = None
    last_ripe: (
        Annotated[MonthDay, Meta(description="Nothing that is picked after is planted.", examples=["10-31"])] | None
    ) = None
    keep_height_m: (
        Annotated[float, Meta(ge=1, le=12, description="Height to which trees are to be kept, m.", examples=[2.5])]
        | None
    ) = None
    forms: Annotated[
        list[Annotated[str, Meta(min_length=1, max_length=60)]],
        Meta(
            max_length=8, description="Names or ids of tree forms, any of which will do.", examples=[["half-standard"]]
        ),
    ] = []  # noqa: RUF012 - a struct copies its defaults, as its base does where the check knows it for one
    no_ladder: Annotated[bool, Meta(description="True: every tree is picked and pruned from the ground.")] = False
    no_pruning: Annotated[bool, Meta(description="True: nobody will prune.")] = False
    most_trees: (
        Annotated[
            int, Meta(ge=1, le=MOST_TREES, description="At most so many; on a plot 12 if not told.", examples=[8])
        ]
        | None
    ) = None
    persons: Annotated[int, Meta(ge=1, le=500, description="People who eat of the fruit.", examples=[4])] | None = None
    no_spray: Annotated[bool, Meta(description="True: sound fruit without spraying counts for more.")] = False
    must_include: Annotated[
        list[CultivarName], Meta(max_length=MOST_CULTIVARS, description="Planted whatever is thought of them here.")
    ] = []  # noqa: RUF012 - a struct copies its defaults, as its base does where the check knows it for one


class NearbyPollen(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An apple or crab apple tree near the site, whoever owns it."""

    cultivar: StandingCultivar
    kind: Annotated[Kind, Meta(description="What it is, where its cultivar is not known.")] = "apple"
    distance_m: Annotated[float, Meta(ge=0, le=5000, description="Distance to the nearest new tree, m.", examples=[20])]


class StockItem(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Trees of a nursery's stock that are sold alike."""

    cultivar: CultivarName
    rootstock: (
        Annotated[
            str,
            Meta(
                min_length=1,
                max_length=60,
                description="The rootstock they stand on; any that is commonly sold if left out.",
                examples=["M.26"],
            ),
        ]
        | None
    ) = None
    tree_form: (
        Annotated[
            str,
            Meta(
                min_length=1,
                max_length=60,
                description="The form in which they are sold or to which they can be trained; any if left out.",
                examples=["bush"],
            ),
        ]
        | None
    ) = None
    count: (
        Annotated[
            int, Meta(ge=0, le=1_000_000, description="Trees in stock, 0 if sold out; as many as wanted if left out.")
        ]
        | None
    ) = None


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
                max_length=MOST_NAMES,
                description="Cultivars that can be had, such as a nursery's stock; [] means none can. Rootstocks may "
                "stand among them: then only trees on those can be had.",
            ),
        ]
        | None
    ) = None
    stock: (
        Annotated[
            list[StockItem],
            Meta(
                max_length=MOST_STOCK_ITEMS,
                description="In place of `available`: what can be had as it stands in a nursery, no more of it than "
                "there is; [] means nothing.",
            ),
        ]
        | None
    ) = None
    unknown_names: HowUnknown = "refuse"
    excluded: Annotated[list[CultivarName], Meta(max_length=MOST_NAMES, description="What is not wanted.")] = []
    established: Annotated[
        list[StandingTree], Meta(max_length=60, description="Trees that stay; two of one cultivar are normal.")
    ] = []
    nearby_pollen: Annotated[list[NearbyPollen], Meta(max_length=60)] = []
    neighbourhood: Annotated[
        Neighbourhood,
        Meta(
            description="settled: gardens with apple or crab apple trees all around. isolated: none within bee flight. "
            "With isolated or unknown neighbours a list carries itself."
        ),
    ] = "unknown"
    lists: Annotated[int, Meta(ge=1, le=MOST_LISTS, description="How many different lists to offer.")] = USUAL_LISTS
    weights: ListWeights | None = None
    warmer_by_c: WarmerBy | None = None
    without: Annotated[
        list[Part],
        Meta(
            max_length=7,
            description="Parts that the caller does not show: their arrays are left empty, wherever they stand in the "
            "answer, and no field is lost; with not_in_stock, limits alone lose available_leaves_out and "
            "available_leaves_out_more. Pairs are told once by pollination-pairs.",
        ),
    ] = []
