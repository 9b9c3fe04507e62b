"""What a caller tells of a site. Every figure may be missing; a place alone is enough, and so is one figure.

These structs are the shape of the request (types and ranges of single fields). `check_site` finds what is impossible
by content. Figures that merely disagree with each other are never refused: the answer warns of them.
"""

import math
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from domain.weather.cold_air import Lie
from domain.weather.normals import MonthlyNormals

ChillMeasure = Literal["hours_below_7_2c", "hours_0_to_7_2c", "utah_units", "chill_portions"]

MONTH_DAY_FORM = "^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"
DAY_FORM = "^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"
SEEN_DAY_FORM = "^(19|20|21)[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"

MonthDay = Annotated[
    str,
    Meta(
        pattern=MONTH_DAY_FORM,
        description="A recurring date, month and day: MM-DD.",
        examples=["04-20"],
    ),
]
Day = Annotated[
    str,
    Meta(
        pattern=DAY_FORM,
        description="A date of one year: YYYY-MM-DD.",
        examples=["2024-04-25"],
    ),
]
SeenDay = Annotated[
    str,
    Meta(
        pattern=SEEN_DAY_FORM,
        description="A date of one year from 1900 to 2199: YYYY-MM-DD.",
        examples=["2024-04-25"],
    ),
]
Latitude = Annotated[
    float, Meta(ge=-90, le=90, description="Degrees north of the equator (WGS84); south is negative.", examples=[38.9])
]
Longitude = Annotated[
    float, Meta(ge=-180, le=180, description="Degrees east of Greenwich (WGS84); west is negative.", examples=[-76.9])
]
MOST_WARMING_C = 5
"""Bound of `warming_c`, whichever way it is asked for."""
NOT_WARMED_C = 0.0
"""Where no warming is told. A site is packed without what is this very number, so that both are known by one key."""
MEASURED_LIMITS_C = (-200.0, 800.0)
"""Wide limits, so that Fahrenheit and tenths of a degree reach the check that can tell the caller so."""
RAIN_LIMITS_MM = (0.0, 2000.0)
Measured = Annotated[
    float, Meta(ge=MEASURED_LIMITS_C[0], le=MEASURED_LIMITS_C[1], description="Temperature of the air in C.")
]

LONGEST_DAILY = 60 * 366
LONGEST_HOURLY = 60 * 366 * 24


class WinterChill(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """The winter chill of the site in one of the four measures, over the window it was counted in."""

    measure: Annotated[
        ChillMeasure,
        Meta(
            description="hours_below_7_2c: hours colder than 7.2 C (45 F), frost included. hours_0_to_7_2c: hours from "
            "0 to 7.2 C (32 to 45 F). utah_units: Utah chill units. chill_portions: portions of the Dynamic Model."
        ),
    ]
    mean: Annotated[float, Meta(description="Mean of the winters.", examples=[1150])]
    tenth_percentile: (
        Annotated[float, Meta(description="Reached or passed in nine winters of ten.", examples=[900])] | None
    ) = None
    ninetieth_percentile: (
        Annotated[float, Meta(description="Reached or passed in one winter of ten.", examples=[1400])] | None
    ) = None
    counted_from: (
        Annotated[
            MonthDay,
            Meta(
                description="First day of the count. Without it the count is taken to be of the whole cold season.",
                examples=["11-01"],
            ),
        ]
        | None
    ) = None
    counted_to: (
        Annotated[MonthDay, Meta(description="Last day of the count; may lie in the next year.", examples=["02-28"])]
        | None
    ) = None


class LastSpringFrost(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """The last frost of spring: a median date (and the date that one year in ten passes), or `frost_free`."""

    threshold_c: Annotated[
        float, Meta(ge=-5, le=3, description="Air temperature that counts as frost, C.", examples=[0])
    ] = 0.0
    median: Annotated[MonthDay, Meta(description="In half of the years the last frost is on or after it.")] | None = (
        None
    )
    later_one_year_in_ten: (
        Annotated[
            MonthDay, Meta(description="In one year of ten the last frost is on or after it.", examples=["05-04"])
        ]
        | None
    ) = None
    frost_free: Annotated[bool, Meta(description="True where frost hardly ever comes; then no dates are given.")] = (
        False
    )


class FirstAutumnFrost(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """The first frost of autumn: a median date (and the date that one year in ten precedes), or `frost_free`."""

    threshold_c: Annotated[
        float, Meta(ge=-5, le=3, description="Air temperature that counts as frost, C.", examples=[0])
    ] = 0.0
    median: (
        Annotated[
            MonthDay,
            Meta(description="In half of the years the first frost is on or before it.", examples=["10-20"]),
        ]
        | None
    ) = None
    earlier_one_year_in_ten: (
        Annotated[
            MonthDay, Meta(description="In one year of ten the first frost is on or before it.", examples=["10-06"])
        ]
        | None
    ) = None
    frost_free: Annotated[bool, Meta(description="True where frost hardly ever comes; then no dates are given.")] = (
        False
    )


class WinterMinimum(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """How cold a usual winter gets: a hardiness zone, or the mean of the yearly lowest temperatures."""

    hardiness_zone: (
        Annotated[
            str,
            Meta(
                min_length=1,
                max_length=40,
                description="USDA zone 1 to 13, with or without a half (7a); or a Canadian zone 0 to 9.",
                examples=["7a"],
            ),
        ]
        | None
    ) = None
    scheme: Annotated[
        Literal["usda", "canada"],
        Meta(description="usda: by the mean yearly minimum alone. canada: an index of several figures of the climate."),
    ] = "usda"
    mean_annual_minimum_c: (
        Annotated[
            float, Meta(ge=-70, le=30, description="Mean of each year's lowest temperature, C.", examples=[-16.5])
        ]
        | None
    ) = None


class Slope(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How steeply the ground falls, and towards where."""

    steepness_deg: Annotated[
        float,
        Meta(
            ge=0,
            le=45,
            description="Degrees from level; 10 % is 6 degrees, 20 % is 11. Nobody plants what is steeper than 45.",
            examples=[8],
        ),
    ]
    faces_deg: Annotated[
        float,
        Meta(ge=-360, le=360, description="Where it falls to, degrees clockwise from north.", examples=[180]),
    ]

    @property
    def fall(self) -> float:
        """How far the ground falls on its way down, as a share of the level distance."""
        return math.tan(math.radians(self.steepness_deg))


class Ground(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """The ground and the light at the site, as far as the caller knows."""

    drainage: (
        Annotated[
            Literal["good", "moderate", "poor"],
            Meta(description="poor: water stands in a pit a day after rain. good: it is gone within hours."),
        ]
        | None
    ) = None
    ph: Annotated[float, Meta(ge=2, le=11, description="pH of the soil in water.", examples=[6.4])] | None = None
    sun_hours: (
        Annotated[
            float,
            Meta(
                ge=0,
                le=24,
                description="Hours of direct sun on a clear day in summer, at the sunniest place.",
                examples=[7],
            ),
        ]
        | None
    ) = None
    old_orchard: (
        Annotated[bool, Meta(description="True where fruit trees stood before: growth and crop are poorer there.")]
        | None
    ) = None
    texture: (
        Annotated[
            Literal["sandy", "loamy", "clayey"],
            Meta(description="What the soil feels like: gritty and falling apart, in between, or sticky and shining."),
        ]
        | None
    ) = None
    soil_depth_m: (
        Annotated[
            float,
            Meta(
                ge=0,
                le=10,
                description="Depth in m that roots can go to: down to rock, a hard pan or standing water.",
                examples=[0.9],
            ),
        ]
        | None
    ) = None
    slope: Annotated[Slope | None, Meta(description="Not told: level, or of unknown slope.")] = None
    wind: (
        Annotated[
            Literal["sheltered", "open", "exposed"],
            Meta(
                description="sheltered: in the lee of hedges, trees or houses on the windy side. open: ordinary open "
                "ground. exposed: where gales strike unbroken, as on a ridge or coast."
            ),
        ]
        | None
    ) = None
    salt_spray: (
        Annotated[bool, Meta(description="True where gales from the sea leave salt on leaves and panes.")] | None
    ) = None
    irrigated: (
        Annotated[bool, Meta(description="True where grown trees are watered through dry spells; false where not.")]
        | None
    ) = None
    lie: (
        Annotated[
            Lie,
            Meta(
                description="Where the spot lies for cold air, which drains downhill on clear calm nights. "
                "frost_pocket: a hollow or valley bottom where it gathers. level: open ground like that of the "
                "weather stations. slope: a hillside above the bottom, off which it flows. hilltop: the top of a hill. "
                "It counts where minima are simulated; frost dates, a yearly minimum in C and records are taken to be "
                "of the spot itself.",
            ),
        ]
        | None
    ) = None


Series = Annotated[
    tuple[Measured | None, ...],
    Meta(max_length=LONGEST_DAILY, description="One value a day in C, in order, null where it is missing."),
]


class DailyRecords(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """Daily minima and maxima of one to sixty years, day after day without leaving a day out (null where missing)."""

    first_day: Day
    tmin_c: Series
    tmax_c: Series
    rain_mm: (
        Annotated[
            tuple[Annotated[float, Meta(ge=RAIN_LIMITS_MM[0], le=RAIN_LIMITS_MM[1])] | None, ...],
            Meta(max_length=LONGEST_DAILY, description="Rain of the day in mm, if it was measured."),
        ]
        | None
    ) = None


class HourlyRecords(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """Hourly temperatures of one to sixty years from midnight (local standard time) of the first day."""

    first_day: Day
    temperature_c: Annotated[
        tuple[Measured | None, ...],
        Meta(max_length=LONGEST_HOURLY, description="One value an hour in C, in order, null where it is missing."),
    ]


ObservedEvent = Literal["full_bloom", "first_ripe"]


class ObservedDate(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """A date that the caller saw on a tree at the site; it calibrates the windows of the answer."""

    cultivar: Annotated[str, Meta(min_length=1, max_length=120, description="Any name of a cultivar of the catalogue.")]
    event: Annotated[
        ObservedEvent,
        Meta(description="full_bloom: half of the flowers open. first_ripe: the first fruit fit to pick."),
    ]
    date: SeenDay


BloomField = Literal["bloom_here", "apples_bloom_here"]
"""Names of the field of bloom, the older one last."""


class Site(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """What is known of a site: a place, or at least one figure of its climate. Everything else may be missing."""

    latitude: Latitude | None = None
    longitude: Longitude | None = None
    elevation_m: (
        Annotated[float, Meta(ge=-430, le=6000, description="Height above the sea in m.", examples=[40])] | None
    ) = None
    winter_chill: WinterChill | None = None
    last_spring_frost: LastSpringFrost | None = None
    first_autumn_frost: FirstAutumnFrost | None = None
    winter_minimum: WinterMinimum | None = None
    coldest_month_mean_c: (
        Annotated[float, Meta(ge=-60, le=40, description="Mean temperature of the coldest month, C.", examples=[1.5])]
        | None
    ) = None
    warmest_month_mean_c: (
        Annotated[float, Meta(ge=-30, le=50, description="Mean temperature of the warmest month, C.", examples=[25.5])]
        | None
    ) = None
    rain_days_in_growing_season: (
        Annotated[
            float,
            Meta(
                ge=0,
                le=215,
                description="Days with 1 mm of rain or more from April to September (October to March in the south).",
                examples=[62],
            ),
        ]
        | None
    ) = None
    bloom_here: (
        Annotated[MonthDay, Meta(description="When apple trees are usually in full bloom here.", examples=["04-24"])]
        | None
    ) = None
    apples_bloom_here: (
        Annotated[
            MonthDay,
            Meta(
                description="`bloom_here` under its older name; give one of the two.",
                extra_json_schema={"deprecated": True},
            ),
        ]
        | None
    ) = None
    ground: Ground | None = None
    monthly_normals: MonthlyNormals | None = None
    daily_records: DailyRecords | None = None
    hourly_records: HourlyRecords | None = None
    leaf_stripping: Annotated[
        tuple[MonthDay, ...],
        Meta(
            max_length=2,
            description="Days on which all leaves of the trees are stripped by hand, one for each crop. Only where "
            "there is no winter: the trees are then judged and told by that practice of tropical highlands.",
        ),
    ] = ()
    observed_dates: Annotated[tuple[ObservedDate, ...], Meta(max_length=200)] = ()
    as_of: (
        Annotated[SeenDay, Meta(description="The day on which this is asked: observed dates after it are refused.")]
        | None
    ) = None
    warming_c: Annotated[
        float,
        Meta(
            ge=0,
            le=MOST_WARMING_C,
            description="Degrees by which every month is to be taken warmer than told.",
            examples=[0],
        ),
    ] = NOT_WARMED_C

    @property
    def bloom_field(self) -> BloomField:
        """Name under which the date of bloom was given, or would be."""
        return "bloom_here" if self.apples_bloom_here is None else "apples_bloom_here"

    @property
    def bloom_date(self) -> str | None:
        """The usual date of full bloom here, MM-DD, under whichever name it was given."""
        return self.bloom_here if self.apples_bloom_here is None else self.apples_bloom_here
