"""The answer of `planting-lists`."""

from typing import Literal

import msgspec

from domain.common.assumptions import Assumption
from domain.common.cautions import Caution
from domain.fruit.kinds import Kind
from domain.ground.layout_answer import SetBackTold, TreePoint
from domain.ground.layout_words import LayoutLimit
from domain.ground.sunlight import Sun
from domain.pollination.compatibility import Compatibility, Pollen
from domain.pollination.pair_reasons import Reason
from domain.pollination.pairs import Verdict
from domain.suitability.factors import FactorCode
from domain.suitability.factors import Verdict as SiteVerdict
from domain.suitability.to_mind import ToMind
from domain.tables.words import Sentence
from domain.traits.fruit_like import FruitLike
from domain.traits.fruit_wishes import WishMet
from domain.trees.training import Training
from domain.trees.tree_size import TreeSize
from domain.trees.upkeep import Upkeep

LimitCode = Literal[
    "space", "climate", "tree_size", "available", "excluded", "uses", "wishes", "picking_window", "pollination", "lists"
]

LimitSentenceCode = Literal[
    "no_list_without_winter",
    "available_leaves_out",
    "available_leaves_out_more",
    "stock_is_used_up",
    "stock_has_no_other_group",
    "excluded_leaves_out",
    "excluded_leaves_out_more",
    "uses_leave_out",
    "uses_leave_out_more",
    "tree_size_leaves_out",
    "tree_size_leaves_out_more",
    "picking_window_leaves_out",
    "picking_window_leaves_out_more",
    "wish_leaves_out",
    "wish_leaves_out_more",
    "nothing_keeps_all",
    "one_cultivar_twice",
    "sources_too_few",
    "ground_holds_no_tree",
    "walls_hold_no_tree",
    "ground_holds_not_what_must_be",
    "places_hold_not_what_must_be",
    "places_stay_empty",
    "number_of_trees_reached",
    "ground_full",
    "ground_full_with_one",
    "pots_fill_the_room",
    "no_cultivar_crops_reliably",
    "source_missing_for",
    "fewer_lists_than_asked",
]

RelaxCode = Literal[
    "relax_no_winter",
    "relax_available",
    "relax_stock",
    "relax_excluded",
    "relax_uses",
    "relax_tree_size",
    "relax_picking_window",
    "relax_wish",
    "relax_some_wish",
    "relax_one_of_them",
    "relax_ground",
    "relax_ground_by_walls",
    "relax_walls",
    "relax_what_must_be",
    "relax_choice_or_plant_fewer",
    "relax_number_of_trees",
    "relax_tree_height",
    "relax_pots",
    "relax_spot",
    "relax_pollination_of_one",
    "relax_pollination",
    "relax_lists",
]

ListReasonCode = Literal[
    "least_bad",
    "picking_season",
    "picking_season_keeping_unknown",
    "picking_season_latest_unknown",
    "hardly_told_here",
    "tree_bears",
    "tree_bears_most_years",
    "trees_bear",
    "trees_bear_most_years",
    "every_tree_has_pollen",
    "pollination_at_risk",
    "source_that_would_serve",
    "bears_with_a_source",
    "plant_a_source",
    "neighbours_may_serve",
    "uses_served",
    "uses_served_in_part",
    "uses_not_served",
    "wish_not_known_of",
    "air_between_crowns",
    "rows_along_the_contour",
    "rows_along_terraces",
    "cultivars_stand_twice",
    "good_cultivars_stand_twice",
    "cultivars_stand_in_groups",
    "for_pollen_alone",
    "holds_worth_trying",
    "standing_trees_served",
    "standing_trees_not_served",
]

CharacterCode = Literal[
    "best_here",
    "best_though_not_sure",
    "least_bad_here",
    "for_keeping",
    "tried_near_by",
    "of_new_cultivars",
    "soundest_unsprayed",
    "of_early_fruit",
    "of_old_cultivars",
    "aromatic",
    "sweet",
    "sharp",
    "another_choice",
    "fewer_or_more_trees",
]

StandingCode = Literal[
    "standing_served_already",
    "standing_served_by_list",
    "standing_helped_by_list",
    "standing_not_served",
    "standing_bloom_unknown",
]

ServedCode = Literal[
    "bloom_here_unknown",
    "served_by",
    "served_by_several",
    "served_by_neighbourhood",
    "served_by_unnamed",
    "served_if_neighbours",
    "sets_alone",
    "sets_partly_alone",
    "no_sure_source",
]

Stands = Literal["list", "established", "nearby"]


class ListReason(Sentence, frozen=True, kw_only=True):
    """Why a list was chosen, or what is to be known of it."""

    code: ListReasonCode


class ListCharacter(Sentence, frozen=True, kw_only=True):
    """What a list is like beside the others.

    `best_possible_value` is proven, null on a plot: no list of this character, unlike the lists before it, is worth
    more.
    """

    code: CharacterCode
    best_possible_value: float | None
    also: tuple[CharacterCode, ...] = ()
    """What else holds of its trees: characters that it has without having been chosen for them."""


class Served(Sentence, frozen=True, kw_only=True):
    """By what a tree is pollinated."""

    code: ServedCode


class StandingSaid(Sentence, frozen=True, kw_only=True):
    """What becomes of a tree that stands."""

    code: StandingCode


class Relax(Sentence, frozen=True, kw_only=True):
    """What would loosen a limit."""

    code: RelaxCode


class NamedCultivar(msgspec.Struct, frozen=True, kw_only=True):
    """A cultivar by its denomination and its id."""

    cultivar: str
    id: str


class TreePlace(msgspec.Struct, frozen=True, kw_only=True):
    """Where a tree stands: `at` on a drawn plot, `at_m` in a rectangle, in metres along its first and second side.

    `sun_hours` are mean daily hours of direct sun under clear sky in the growing season, null without a latitude.
    """

    row: int
    at: TreePoint | None
    at_m: tuple[float, float] | None
    nearest_tree_m: float | None
    sun_hours: float | None
    sun: Sun | None


class PollinationPartner(msgspec.Struct, frozen=True, kw_only=True):
    """A pollen source of a tree and where it stands; `probability` is lowered by the distance."""

    cultivar: str
    id: str
    stands: Stands
    distance_m: float | None
    overlap_days: int | None
    compatibility: Compatibility
    pollen: Pollen
    verdict: Verdict
    probability: float | None
    reasons: tuple[Reason, ...]


class PlantedTree(msgspec.Struct, frozen=True, kw_only=True):
    """One tree of a list. `pollinated` is the chance that some source serves it.

    `rootstock`, `tree_form`, `size` and `spacing_m` are those of the tree to buy and train: null only where no
    rootstock of known size can be had. `place` is null where the space is a number of trees.
    `asked` is the spelling of the request, `sold_as` the trade designations; `uses` is null where no source tells.
    `wishes`: which of the wishes for the fruit it has, as far as a source says.
    """

    cultivar: str
    id: str
    asked: str | None
    sold_as: tuple[str, ...]
    uses: tuple[str, ...] | None
    fruit: FruitLike
    wishes: tuple[WishMet, ...]
    chosen: Literal["freely", "must_include"]
    verdict: SiteVerdict
    rank_value: float | None
    expect: Sentence
    pollinated: float
    pollination: Served
    pollination_partners: tuple[PollinationPartner, ...]
    like_one_that_suits: NamedCultivar | None
    rootstock: str | None
    rootstock_id: str | None
    tree_form: str | None
    tree_form_id: str | None
    in_stock: int | None
    size: TreeSize | None
    spacing_m: float | None
    training: tuple[Training, ...]
    place: TreePlace | None


class Picking(msgspec.Struct, frozen=True, kw_only=True, rename={"from_": "from"}):
    """When a cultivar is picked, and until when it keeps in a cool store (MM-DD); null where no source tells.

    Days follow each other: `to` or `use_until` earlier in the year than `from` is of the next year.
    """

    cultivar: str
    id: str
    from_: str
    to: str
    use_until: str | None


class StandingServed(msgspec.Struct, frozen=True, kw_only=True):
    """A cultivar that stands already: the chance in a year that it gets pollen, without the list and beside it.

    `cultivar` and `id` are null where nobody knows what it is; `label` is the caller's.
    """

    cultivar: str | None
    id: str | None
    asked: str | None
    label: str | None
    kind: Kind
    pollinated_before: float
    pollinated: float
    pollen_from: tuple[NamedCultivar, ...]
    said: StandingSaid


class SuggestedSource(msgspec.Struct, frozen=True, kw_only=True):
    """A pollen source that would serve trees of the list that have none that is sure."""

    cultivar: str
    id: str
    kind: Kind
    serves: tuple[NamedCultivar, ...]


class ListLayout(msgspec.Struct, frozen=True, kw_only=True):
    """The list on its ground. `most_that_fit` is proven: no more of its narrowest trees stand in rows with passages."""

    plot_area_m2: float
    count: int
    most_that_fit: int
    row_bearing_deg: float | None
    passage_m: float
    too_dark_m2: float
    """Ground on which nothing is planted: with neighbours beside it a tree there gets under six hours of sun a day."""
    limits: tuple[LayoutLimit, ...]
    set_backs: tuple[SetBackTold, ...]


class PlantingList(msgspec.Struct, frozen=True, kw_only=True):
    """One list. `value` is a sum of worth, 0 to about 1; years are of ten, once all trees bear.

    `verdict`: `plant` where every tree is to be planted here and enough bears in most years; `not_here` where half of
    the years bring nothing: then no crop, season or pollen is promised. Years are null for trees planted for their
    pollen alone. Pollen for trees that stand adds to `value`.
    """

    rank: int
    character: ListCharacter
    verdict: SiteVerdict
    value: float
    years_with_no_crop_in_ten: float | None
    years_with_enough_in_ten: float | None
    trees: tuple[PlantedTree, ...]
    established: tuple[StandingServed, ...]
    picking_season: tuple[Picking, ...]
    suggested_pollen_sources: tuple[SuggestedSource, ...]
    upkeep: Upkeep | None
    layout: ListLayout | None
    why: tuple[ListReason, ...]
    to_mind: tuple[ToMind, ...] = ()


class Limit(Sentence, frozen=True, kw_only=True):
    """A limit that holds the lists back: what it costs, and what to relax."""

    limit: LimitCode
    code: LimitSentenceCode
    relax: Relax


class AdvisedAgainst(msgspec.Struct, frozen=True, kw_only=True):
    """A cultivar not to plant here, what stops it, and why."""

    cultivar: str
    id: str
    limiting: FactorCode
    reasons: tuple[Sentence, ...]


class Search(msgspec.Struct, frozen=True, kw_only=True):
    """How the first list was found: among how many cultivars, how many could be part of a best one, whether proven."""

    cultivars_considered: int
    could_be_on_a_best_list: int
    best_proven: bool


class PlantingLists(msgspec.Struct, frozen=True, kw_only=True):
    """Ranked lists: those to be planted stand before those worth a try, unless only such a one gives what was asked.

    `best_possible_value` is proven: no list of the cultivars considered is worth more.

    While those that are to be planted here and known to be as wished are enough for a list, it is that of lists of
    these.

    On a plot it holds for every layout in rows, known or not, and lies well above the best list: crowns and passages
    need only fit by area. Beyond 40 trees it is that of lists whose cultivars stand in groups as large.
    `search.best_proven` then says that no list whose trees each take their share of the ground is worth more by a
    fiftieth, and that all of it could be laid out.
    """

    planting_lists: tuple[PlantingList, ...]
    best_possible_value: float | None
    search: Search
    limits: tuple[Limit, ...]
    advised_against: tuple[AdvisedAgainst, ...]
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Sentence, ...]
    worth_finding_out: tuple[Sentence, ...]
    to_mind: tuple[ToMind, ...]
    cautions: tuple[Caution, ...]
