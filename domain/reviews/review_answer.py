"""The answer of `planting-list-reviews`."""

from typing import TYPE_CHECKING, Literal, TypeAlias

import msgspec

from domain.common.assumptions import Assumption
from domain.common.cautions import Caution
from domain.fruit.complaints import Complaint
from domain.fruit.diseases import DiseaseId
from domain.hazards.hand_methods import HandMethodCode
from domain.planting_list.list_answer import NamedCultivar
from domain.pollination.pairs import Verdict as PairVerdict
from domain.suitability.factors import FactorCode, Verdict
from domain.suitability.suitability_answer import BloomWindow, HarvestWindow, YearsInTen
from domain.tables.words import Sentence

ReviewVerdict = Literal["sound", "sound_with_changes", "weak", "will_not_crop", "not_known"]
Judgement = Literal["keep", "watch", "change"]
ChangeKind = Literal[
    "leave_as_it_is",
    "wait",
    "identify",
    "feed_less",
    "thin",
    "clear_away",
    "prune",
    "water",
    "mulch",
    "let_light_in",
    "guard",
    "strip_leaves",
    "shield_fruit",
    "bring_blossom",
    "drain",
    "other_stock",
    "move",
    "add_scion",
    "regraft",
    "add_tree",
    "remove",
    "replace",
]


ChangeSentenceCode = Literal[
    "change_leave_as_it_is",
    "change_leave_unnamed",
    "change_find_out_first",
    "change_by_hand_alone",
    "change_bring_blossom",
    "change_add_scion",
    "change_add_tree",
    "change_regraft",
    "change_replace",
    "change_replace_for_use",
    "change_replace_one_for_use",
    "change_replace_for_season",
    "change_remove",
    "change_remove_but_graft",
    "change_move",
    "change_plant_wider",
    "change_identify",
    "change_identify_unlike",
    "change_strip_leaves",
    "change_other_form",
    "change_replace_for_health",
    "change_replace_for_gap",
    "change_replace_in_doubt",
    "change_add_tree_for_season",
    "change_other_stock",
    "change_order_on_stock",
    "change_sunnier_place",
    "change_none_known",
    "by_hand_too_shaded",
    "by_hand_too_late_for_the_season",
    "by_hand_stock_too_strong",
    "by_hand_too_young",
    "by_hand_natural_drop",
    "by_hand_transplant_shock",
    "by_hand_biennial",
    "by_hand_needs_thinning",
    "by_hand_pruned_wrongly",
    "by_hand_pruned_wrongly_hard",
    "by_hand_pruned_wrongly_tips",
    "by_hand_pruned_wrongly_tips_hard",
    "by_hand_too_vigorous",
    "by_hand_too_vigorous_fed",
    "by_hand_mislabelled",
    "by_hand_rootstock_shoots",
    "by_hand_frost_took_the_bloom",
    "by_hand_bees_weather",
    "by_hand_winter_injury",
    "by_hand_winter_injury_bark",
    "by_hand_hail",
    "by_hand_herbicide",
    "by_hand_nutrition",
    "by_hand_drought",
    "by_hand_wet_soil",
    "by_hand_animals",
    "by_hand_old_age",
    "by_hand_aphids",
    "by_hand_borers",
    "by_hand_leaf_eaters",
    "by_hand_brown_rot",
    "by_hand_core_rot",
    "by_hand_leaf_blotch",
    "by_hand_leaf_mottle",
    "by_hand_crown_rot",
    "by_hand_sunburn",
    "by_hand_sunburn_bark",
    "by_hand_grass_over_roots",
    "by_hand_planted_too_deep",
    "by_hand_wounds",
    "by_hand_autumn",
    "by_hand_seedling",
    "by_hand_picked_unripe",
]


if TYPE_CHECKING:
    ChangeCode: TypeAlias = str
else:  # what is done by hand against a disease or an insect is told by the sentence of its table
    ChangeCode = Literal[ChangeSentenceCode, HandMethodCode]


class ReviewPartner(msgspec.Struct, frozen=True, kw_only=True):
    """A tree of the planting or near it that gives pollen."""

    cultivar: str
    id: str
    verdict: PairVerdict
    probability: float
    distance_m: float | None
    """Null where the places of the two are not told."""


class ReviewPollination(msgspec.Struct, frozen=True, kw_only=True):
    """Chance in a year that the tree is served, and by whom, surest first."""

    pollinated: float
    partners: tuple[ReviewPartner, ...]


class LikelyCause(msgspec.Struct, frozen=True, kw_only=True):
    """What may lie behind a complaint. Below the probability from which it is prescribed, `find_out` asks first."""

    complaint: Complaint
    cause: str
    probability: float
    said: Sentence
    find_out: Sentence
    by_hand: Sentence


class LabelDoubted(msgspec.Struct, frozen=True, kw_only=True):
    """Dates seen that the cultivar of the label can hardly have here, and cultivars that they would fit."""

    event: str
    seen: str
    expected: str
    days_apart: int
    would_fit: tuple[NamedCultivar, ...]


class ReviewRoom(msgspec.Struct, frozen=True, kw_only=True):
    """The room of a tree, m: its crown now, and grown up on its stock; the nearest tree and how far it is.

    crowded, outgrown: null where places, or spread and rootstock, are not told. sun_hours: reckoned from places and
    what is drawn; null where it was told, or no place is.
    """

    crown_spread_m: float
    grown_spread_m: float
    nearest: str | None
    nearest_m: float | None
    crowded: bool | None
    outgrown: bool | None
    sun_hours: float | None
    said: Sentence | None


class ReviewedTreeAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One tree. `cultivar`, `id` and all that hangs on them are null where its cultivar is not known."""

    label: str | None
    asked: str | None
    cultivar: str | None
    id: str | None
    count: int
    judgement: Judgement
    verdict: Verdict | None
    limiting: FactorCode | None
    cropping_years_in_ten: YearsInTen | None
    said: Sentence
    pollination: ReviewPollination
    bloom: BloomWindow | None
    harvest: HarvestWindow | None
    likely_causes: tuple[LikelyCause, ...]
    label_doubted: tuple[LabelDoubted, ...]
    room: ReviewRoom | None
    """Null where neither place nor size of it is told."""
    contradictions: tuple[Sentence, ...]
    """What was told of it and cannot all be right."""
    ask_next: tuple[Sentence, ...]
    """What else to look at or to tell, where a complaint has several causes that nothing told parts."""


class PickingSpan(msgspec.Struct, frozen=True, kw_only=True, rename={"from_": "from"}):
    """Days of the year, MM-DD."""

    from_: str
    to: str


class SharedWeakness(msgspec.Struct, frozen=True, kw_only=True):
    """A factor that holds back most of the trees alike, or a disease that presses there and that most of them take."""

    factor: FactorCode
    disease: DiseaseId | None = None
    trees: tuple[str, ...]


class Whole(msgspec.Struct, frozen=True, kw_only=True):
    """The planting together. Trees are named by their label, else by their cultivar."""

    unpollinated: tuple[str, ...]
    picking_gaps: tuple[PickingSpan, ...]
    picking_gluts: tuple[PickingSpan, ...]
    uses_missing: tuple[str, ...]
    shared_weakness: tuple[SharedWeakness, ...]
    years_with_no_crop_in_ten: float | None
    years_with_enough_in_ten: float | None


class ChangeTo(msgspec.Struct, frozen=True, kw_only=True):
    """What is planted or grafted; `onto` names the tree that takes a scion."""

    cultivar: str
    id: str
    onto: str | None = None


class Gains(msgspec.Struct, frozen=True, kw_only=True):
    """What a change brings: worthwhile crops more a year over all trees, and the trees that get pollen by it."""

    crops_a_year: float
    pollinated: tuple[str, ...]


class Change(Sentence, frozen=True, kw_only=True):
    """One change, the cheapest first; `of` names the tree that it is made to."""

    code: ChangeCode
    change: ChangeKind
    of: str | None
    to: ChangeTo | None
    gains: Gains | None


class PlantingListReview(msgspec.Struct, frozen=True, kw_only=True):
    """A planting judged: each tree, the whole, and what would mend it."""

    verdict: ReviewVerdict
    said: Sentence
    trees: tuple[ReviewedTreeAnswer, ...]
    whole: Whole
    changes: tuple[Change, ...]
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Sentence, ...]
    cautions: tuple[Caution, ...]
