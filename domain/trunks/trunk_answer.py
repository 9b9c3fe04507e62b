"""What a caller asks of `multi-cultivar-trees`, and the structs of the answer."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from domain.common.cautions import Caution
from domain.common.sentences import Sentence, Value
from domain.fruit.kinds import Kind
from domain.ground.standing_tree import StandingCultivar, StandingTree
from domain.pollination.pair_reasons import Reason
from domain.site_climate.site import MonthDay, Site
from domain.suitability.factors import Verdict
from domain.suitability.suitability_request import CultivarName
from domain.traits.fruit_like import FruitLike
from domain.traits.fruit_wishes import FruitWanted, WishMet

MOST_ON_ONE_TRUNK = 12
MOST_CANDIDATES = 300

Aim = Literal["several_cultivars", "pollen_for_the_trunk"]


class Trunk(StandingTree, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The tree that is there; leave out what is not known. Its size, form and place are not asked of it."""

    cultivar: StandingCultivar = None
    age_years: (
        Annotated[
            float,
            Meta(
                ge=0,
                le=150,
                description="Years since planting, where year_planted is not told, or no today (as_of in the site).",
                examples=[6],
            ),
        ]
        | None
    ) = None


class LimbsWanted(FruitWanted, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the fruit of the limbs should be like, and when it should ripen; dates need a site."""

    first_ripe: Annotated[MonthDay | None, Meta(description="Nothing that is picked before is grafted.")] = None
    last_ripe: Annotated[MonthDay | None, Meta(description="Nothing that is picked after is grafted.")] = None


class MultiCultivarTreeRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A trunk or none, how many cultivars, which can be had, and what for."""

    trunk: Trunk | None = None
    cultivars: Annotated[
        int,
        Meta(ge=1, le=MOST_ON_ONE_TRUNK, description="At most so many on the trunk, its own counted.", examples=[4]),
    ] = 4
    available: (
        Annotated[list[CultivarName], Meta(min_length=1, max_length=MOST_CANDIDATES, description="Scions to be had.")]
        | None
    ) = None
    must_include: Annotated[
        list[CultivarName],
        Meta(
            max_length=MOST_ON_ONE_TRUNK,
            description="Grafted in any case; refused with the aim pollen_for_the_trunk, which looks for one scion.",
        ),
    ] = []
    aim: Annotated[
        Aim,
        Meta(description="pollen_for_the_trunk: the one scion by which a lone tree sets fruit; needs trunk.cultivar."),
    ] = "several_cultivars"
    wanted: LimbsWanted = LimbsWanted()
    site: Annotated[Site | None, Meta(description="For bloom and dates there; without it the reference places.")] = None


LimbPlace = Literal["low", "anywhere", "high_sunny"]
TrunkJob = Literal[
    "cut_scions",
    "graft",
    "mark",
    "loosen_ties",
    "rub_out_shoots",
    "bud",
    "support_grafts",
    "take_fruit_off",
    "prune_for_balance",
    "check_labels",
]


class LimbSource(msgspec.Struct, frozen=True, kw_only=True):
    """A cultivar on the same trunk that serves a limb."""

    cultivar: str
    id: str


class LimbPicked(msgspec.Struct, frozen=True, kw_only=True):
    """Median days of the first and the last picking at the site, MM-DD."""

    from_day: str = msgspec.field(name="from")
    to_day: str = msgspec.field(name="to")


class Limb(msgspec.Struct, frozen=True, kw_only=True):
    """One cultivar on the trunk."""

    cultivar: str
    id: str
    uses: tuple[str, ...] | None
    fruit: FruitLike
    wishes: tuple[WishMet, ...]
    on_the_tree: bool
    """True of the trunk's own cultivar."""
    verdict: Verdict | None
    """At the site; null without one."""
    picked: LimbPicked | None
    place: LimbPlace | None
    """The strong low, the weak high and in the sun; null where its vigour is not known."""
    graft_in_year: int | None
    """1 is the first spring; null for the trunk's own."""
    vigour: float | None
    pollen_from: tuple[LimbSource, ...]
    """Cultivars on the same trunk that serve it."""
    ripens_after_first_days: int | None
    """Days after the first of the trunk's cultivars to ripen."""
    words: tuple[Sentence, ...]


class WorkStep(msgspec.Struct, frozen=True, kw_only=True):
    """One step of the work: its days at the site, or without a site the months usual in the north."""

    step: TrunkJob
    year: int
    """1 is the year of the graft."""
    from_day: Annotated[
        str | None,
        Meta(description="MM-DD, from the stages of these cultivars at the site; null without one, or without bloom."),
    ] = msgspec.field(name="from")
    to_day: str | None = msgspec.field(name="to")
    usual_months: Annotated[
        tuple[int, ...] | None, Meta(description="1 (January) to 12, usual in the north; null where a site is told.")
    ]
    code: str
    values: dict[str, Value]
    words: str


class PollenScion(msgspec.Struct, frozen=True, kw_only=True):
    """A scion that would serve the trunk, and the chance that it does."""

    cultivar: str
    id: str
    kind: Kind
    probability: float
    reasons: tuple[Reason, ...]


class MultiCultivarTree(msgspec.Struct, frozen=True, kw_only=True):
    """The cultivars of one trunk, the work, and what to mind."""

    limbs: tuple[Limb, ...]
    carries_at_most: int | None
    """Cultivars that such a trunk carries, its own counted; null where it carries none but its own."""
    pollen_scions: tuple[PollenScion, ...]
    work: tuple[WorkStep, ...]
    """What is to be done, year by year; none where nothing is grafted."""
    methods: tuple[Sentence, ...]
    """How to graft, by the thickness of the limb, and what to leave of the old tree; none where nothing is grafted."""
    why: tuple[Sentence, ...]
    cautions: tuple[Caution, ...]
