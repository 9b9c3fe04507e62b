"""What a caller asks of `season-calendars`, and what is answered."""

from typing import TYPE_CHECKING, Annotated, Literal, TypeAlias

import msgspec

from domain.common.assumptions import Assumption
from domain.common.cautions import Caution, CautionCode
from domain.common.sentences import Sentence, Value
from domain.fruit.diseases import DiseaseId
from domain.fruit.insects import InsectId
from domain.ground.standing_tree import StandingTree
from domain.hazards.health_events import HealthEventCode, OtherPest
from domain.site_climate.site import Site
from domain.suitability.factors import Verdict
from domain.suitability.suitability_request import CultivarName
from domain.suitability.without_winter import StrippedTree
from domain.tables.parameters import ParameterBasis
from domain.year_of_work.jobs_table import ForTrees, JobCode
from domain.year_of_work.stages import StageCode

JobBasis = Literal["computed", ParameterBasis]
"""What the days of a job rest on. computed: on the ripening of the cultivar at the site."""
if TYPE_CHECKING:
    SiteEventCode: TypeAlias = str
    Threat: TypeAlias = str
else:  # the closed sets of the contract follow what stands in the tables
    SiteEventCode = Literal[
        "last_frost", "last_frost_that_kills_flowers", "season_ends", "codling_moth_small_brood", HealthEventCode
    ]
    Threat = Literal["frost", DiseaseId, InsectId, OtherPest]

YearsAre = Literal["recorded", "simulated"]

MOST_CULTIVARS = 30
MOST_CALENDAR_TREES = 300
MOST_YEARS = 60


class SeasonCalendarsRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A site and the cultivars that stand or will stand there."""

    site: Site
    cultivars: Annotated[list[CultivarName], msgspec.Meta(max_length=MOST_CULTIVARS)] = []
    trees: Annotated[
        list[StandingTree],
        msgspec.Meta(
            max_length=MOST_CALENDAR_TREES,
            description="Trees that stand, each of a cultivar: of those whose age or form is told only the jobs of "
            "such trees fall due. Stock, size and place do not matter here.",
        ),
    ] = []
    years: Annotated[
        int,
        msgspec.Meta(
            ge=0,
            le=MOST_YEARS,
            description="How many years to tell one by one besides: the latest of the records, else simulated ones.",
        ),
    ] = 0
    on: (
        Annotated[
            str,
            msgspec.Meta(
                pattern=r"^(\d{4}-)?\d{2}-\d{2}$",
                description="Tell also what is ripe, comes, falls, keeps and is due on this day, MM-DD, or YYYY-MM-DD "
                "from 1900 to 2199.",
                examples=["2026-08-15"],
            ),
        ]
        | None
    ) = None


class Day(msgspec.Struct, frozen=True, kw_only=True):
    """A recurring day, MM-DD: the middle year, and what one year in ten is earlier and later than."""

    median: str
    earlier_one_year_in_ten: str
    later_one_year_in_ten: str
    years_in_ten: float


class TreeEvent(msgspec.Struct, frozen=True, kw_only=True):
    """A stage of a cultivar, with its BBCH code of pome fruit."""

    event: StageCode
    bbch: int
    day: Day | None


class FrostOutlook(msgspec.Struct, frozen=True, kw_only=True):
    """Years of ten in which spring frost leaves a worthwhile crop: as it stands, and with what would change it."""

    years_in_ten: float
    if_bloom_were_5_days_later: float
    if_20_m_up_the_slope: float
    flowers_left_in_the_middle_year: float
    flowers_left_one_year_in_ten: float


class TreeYear(msgspec.Struct, frozen=True, kw_only=True):
    """One year of a cultivar; null where the stage does not come. `year` is that of bloom, 1 and up if simulated."""

    year: int
    green_tip: str | None
    first_bloom: str | None
    full_bloom: str | None
    petal_fall: str | None
    first_ripe: str | None
    flowers_left: float
    crop_chance: float


class CultivarCalendar(msgspec.Struct, frozen=True, kw_only=True):
    """The year of one cultivar at the site."""

    cultivar: str
    id: str
    events: tuple[TreeEvent, ...]
    frost: FrostOutlook
    years: tuple[TreeYear, ...]


class SiteEvent(msgspec.Struct, frozen=True, kw_only=True):
    """An event that is the same for all trees of the site: frost, a disease, an insect."""

    event: SiteEventCode
    against: Threat | None
    day: Day
    size: float | None
    """Of a brood of moths: how much of a full one there is in the middle of the years; null otherwise."""
    certain: bool
    """False where nobody can say whether it lives there, since the place is not told."""
    code: str
    values: dict[str, Value]
    words: str


class Job(msgspec.Struct, frozen=True, kw_only=True):
    """Work by hand and when it falls due in a usual year, MM-DD; from and to may lie either side of the new year."""

    job: JobCode
    for_trees: ForTrees
    """new: in the first year; young: not in full crop yet; bearing; or any."""
    cultivars: tuple[str, ...]
    """Ids of those it falls due for; empty: for all."""
    from_day: str = msgspec.field(name="from")
    to_day: str = msgspec.field(name="to")
    code: str
    values: dict[str, Value]
    words: str
    basis: JobBasis
    sources: tuple[str, ...]
    cautions: tuple[CautionCode, ...]
    days_earlier_one_year_in_ten: int | None
    """So many days before `from` it begins in the earliest year of ten; null where its day is not of single years."""
    days_later_one_year_in_ten: int | None
    """So many days after `from` it begins in the latest year of ten."""


class RipeFruit(msgspec.Struct, frozen=True, kw_only=True, rename={"from_": "from"}):
    """Fruit of a cultivar: picked from and to, kept until (null where no source tells), MM-DD, and how sure that is."""

    cultivar: str
    id: str
    from_: str
    to: str
    use_until: str | None
    uncertainty_days: int


class OnThisDay(msgspec.Struct, frozen=True, kw_only=True):
    """One day of the orchard's usual year. `falling_soon`: past its picking, still on the tree.

    `eat_first`: what does not keep, or soon ends in store; `keep_for_later`: what keeps for weeks yet;
    `keeping_unknown`: picked, and no source tells how long it keeps.
    """

    day: str
    ripe: tuple[RipeFruit, ...]
    ripe_within_two_weeks: tuple[RipeFruit, ...]
    falling_soon: tuple[RipeFruit, ...]
    eat_first: tuple[RipeFruit, ...]
    in_store: tuple[RipeFruit, ...]
    keep_for_later: tuple[RipeFruit, ...]
    keeping_unknown: tuple[RipeFruit, ...]
    work: tuple[Job, ...]
    watch: tuple[SiteEvent, ...]


class StrippedCalendar(msgspec.Struct, frozen=True, kw_only=True):
    """A cultivar where there is no winter: its verdict, and its cycles from the days of stripping that were told."""

    cultivar: str
    id: str
    verdict: Verdict
    code: str
    values: dict[str, Value]
    words: str
    stripped: StrippedTree


class SeasonCalendars(msgspec.Struct, frozen=True, kw_only=True):
    """Calendars of the cultivars in the order asked, the events of the site and the work, in the order of the year.

    Where there is no winter, `calendars` and `site_events` are empty, `stripped` tells each cultivar, and `work` and
    `on_this_day` follow the days of stripping, if told.
    """

    years_are: YearsAre
    calendars: tuple[CultivarCalendar, ...]
    site_events: tuple[SiteEvent, ...]
    work: tuple[Job, ...]
    on_this_day: OnThisDay | None
    stripped: tuple[StrippedCalendar, ...]
    cautions: tuple[Caution, ...]
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Sentence, ...]
