"""The answer of `planting-lists`."""

from typing import Literal

import msgspec

from domain.common.assumptions import Assumption
from domain.common.cautions import Caution
from domain.fruit.kinds import Kind
from domain.ground.layout_answer import SetBackTold, TreePoint
from domain.ground.sunlight import Sun
from domain.pollination.compatibility import Compatibility, Pollen
from domain.pollination.pairs import Reason, Verdict
from domain.suitability.factors import Verdict as SiteVerdict
from domain.tables.words import Sentence
from domain.trees.tree_size import TreeSize
from domain.trees.upkeep import Upkeep

Limit = Literal[
    "space", "climate", "tree_size", "available", "excluded", "uses", "picking_window", "pollination", "must_include",
    "lists",
]  # fmt: skip

Stands = Literal["list", "established", "nearby"]


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
    """

    cultivar: str
    id: str
    chosen: Literal["freely", "must_include"]
    verdict: SiteVerdict
    rank_value: float | None
    expect: str
    pollinated: float
    pollination: str
    pollination_partners: tuple[PollinationPartner, ...]
    like_one_that_suits: str | None
    rootstock: str | None
    tree_form: str | None
    size: TreeSize | None
    spacing_m: float | None
    training: tuple[str, ...]
    place: TreePlace | None


class Picking(msgspec.Struct, frozen=True, kw_only=True, rename={"from_": "from"}):
    """When a cultivar is picked, and until when it keeps in a cool store (MM-DD)."""

    cultivar: str
    from_: str
    to: str
    use_until: str


class SuggestedSource(msgspec.Struct, frozen=True, kw_only=True):
    """A pollen source that would serve trees of the list that have none that is sure."""

    cultivar: str
    kind: Kind
    serves: tuple[str, ...]


class ListLayout(msgspec.Struct, frozen=True, kw_only=True):
    """The list on its ground. `most_that_fit` is proven: no more trees as narrow as the narrowest of the list fit."""

    plot_area_m2: float
    count: int
    most_that_fit: int
    row_bearing_deg: float | None
    passage_m: float
    too_dark_m2: float
    """Ground on which nothing is planted: with neighbours beside it a tree there gets under six hours of sun a day."""
    binding: tuple[str, ...]
    set_backs: tuple[SetBackTold, ...]


class PlantingList(msgspec.Struct, frozen=True, kw_only=True):
    """One list. `value` is a sum of worth, 0 to about 1; years are of ten, once all trees bear."""

    rank: int
    value: float
    years_with_no_crop_in_ten: float
    years_with_enough_in_ten: float
    trees: tuple[PlantedTree, ...]
    picking_season: tuple[Picking, ...]
    suggested_pollen_sources: tuple[SuggestedSource, ...]
    upkeep: Upkeep | None
    layout: ListLayout | None
    why: tuple[Reason, ...]


class Binding(msgspec.Struct, frozen=True, kw_only=True):
    """A limit that holds the lists back: what it costs, and what to relax."""

    limit: Limit
    words: str
    relax: str


class AdvisedAgainst(msgspec.Struct, frozen=True, kw_only=True):
    """A cultivar not to plant here, and why."""

    cultivar: str
    reasons: tuple[Reason, ...]


class Search(msgspec.Struct, frozen=True, kw_only=True):
    """How the first list was found: among how many candidates, how many could be part of a best one, whether proven."""

    candidates: int
    could_be_on_a_best_list: int
    proven_optimal: bool


class PlantingLists(msgspec.Struct, frozen=True, kw_only=True):
    """Ranked lists. `bound` is proven: no list of any of the candidates is worth more.

    On a plot it holds for every layout in rows, known or not, and lies well above the best list: crowns and passages
    need only fit by area. `search.proven_optimal` then says that no list whose trees each take their share of the
    ground is worth more by a fiftieth, and that all of it could be laid out.
    """

    planting_lists: tuple[PlantingList, ...]
    bound: float | None
    search: Search
    binding: tuple[Binding, ...]
    advised_against: tuple[AdvisedAgainst, ...]
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Sentence, ...]
    worth_finding_out: tuple[Sentence, ...]
    cautions: tuple[Caution, ...]
