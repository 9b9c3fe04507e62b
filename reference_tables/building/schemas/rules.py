"""Tables of rules: what holds for all cultivars, for places, and in practice."""

from collections.abc import Mapping

from reference_tables.building.schemas.common import LOCATOR, NOTE, SOURCE, UNIT, where
from reference_tables.building.schemas.description import Column, Table

_RULE_COLUMNS: Mapping[str, Column] = {
    column.name: column
    for column in (
        Column("place", "where it holds", "Fredericksburg, Texas"),
        Column("place_id", "id of the place", "us-tx-fredericksburg"),
        Column("country", "country of the place", "United States"),
        Column("chill", "winter chill as printed: a number, a range or a bound", "800-900", required=True),
        UNIT,
        Column("statistic", "which figure of the years", "10th percentile"),
        Column("latitude", "latitude (WGS84)", "30.3", "number", "degrees north", minimum=-90, maximum=90),
        Column("longitude", "longitude (WGS84)", "-98.9", "number", "degrees east", minimum=-180, maximum=180),
        Column("coldest_month_mean_c", "mean of the coldest month", "9.1", "number", "C", minimum=-50, maximum=40),
        Column("period", "years of the figure", "1981-2010"),
        SOURCE,
        LOCATOR,
        NOTE,
        Column("stage", "stage of the flower bud", "full bloom", required=True),
        Column("meaning", "what the temperature does", "10 percent of buds killed after 30 minutes", required=True),
        Column("temp_f", "temperature as printed", "28", "number", "F", minimum=-60, maximum=60),
        Column("temp_c", "the same in degrees Celsius", "-2.2", "number", "C", required=True, minimum=-50, maximum=15),
        Column("disease", "disease or insect", "apple scab", required=True),
        Column("subject", "what it is about", "codling moth", required=True),
        Column("rule", "what the text says", "crop lost to preharvest drop", required=True),
        Column("topic", "what it is about", "overlap needed", required=True),
        Column("statement", "what the text says", "bloom must overlap by several days", required=True),
        Column("value", "the figure of the rule as printed", "5..25"),
        Column("list_id", "the recommended list", "us-ky", required=True),
        Column("region", "the region it is made for", "Kentucky", required=True),
        Column("chill_hours_typical", "winter chill of the region as published", "900"),
        Column("chill_unit", "unit of that figure", "hours below 7.2 C"),
        Column("hardiness_zone", "hardiness zone as published", "6b"),
        Column("last_spring_frost", "mean last frost as published", "05-10", pattern=r"\d\d-\d\d"),
        Column("first_autumn_frost", "mean first frost as published", "10-04", pattern=r"\d\d-\d\d"),
        Column("summer_heat_note", "what is said of the summer", "short growing season"),
        Column("disease_note", "what is said of diseases", "fire blight is a major disease"),
        Column("climate_source_id", "the document of the climate figures", "csu-frost-2014",
               refers_to="sources.source_id"),
        Column("judgement_note", "what in the row is a judgement", "coordinates are a judgement"),
        Column("judged_chill_hours", "judged, not published: winter chill", "900"),
        Column("judged_chill_unit", "unit of the judged figure", "hours below 7.2 C"),
        Column("judged_zone", "judged, not published: hardiness zone", "8a"),
        Column("judged_last_frost", "judged, not published: last frost", "04-01", pattern=r"\d\d-\d\d"),
        Column("judged_first_frost", "judged, not published: first frost", "11-05", pattern=r"\d\d-\d\d"),
        Column("judged_summer_note", "judged, not published: the summer", "hot humid summer"),
        Column("source_grade", "A official, B attributed, C press", "A", enum=("A", "B", "A/B", "C")),
        Column("rows", "cultivars on the list", "11", "integer", minimum=0),
        Column("not_recommended_basis", "how the list says what not to plant", "explicit",
               enum=("explicit", "implied", "none")),
    )
}  # fmt: skip
_RULES = {
    "bloom_overlap": (
        "How far bloom must overlap and how it spreads",
        "topic statement value unit place source_id note",
    ),
    "chill_of_places": (
        "Winter chill of places as published, in several units",
        "place country chill unit statistic source_id note latitude longitude coldest_month_mean_c place_id period",
    ),
    "critical_bud_temperatures": (
        "Temperatures that kill flower buds by stage",
        "stage meaning temp_f temp_c source_id",
    ),
    "disease_pressure": (
        "Infection weather and heat sums of insects",
        "disease rule value unit source_id locator note",
    ),
    "orchard_practice": ("Common practice without a source", "subject rule value unit source_id note"),
    "pollination_practice": ("Rules of planting pollen sources", "rule value unit source_id locator note"),
    "recommended_list_regions": (
        "Regions of recommended lists; for checks only",
        "list_id region chill_hours_typical chill_unit hardiness_zone last_spring_frost first_autumn_frost "
        "summer_heat_note disease_note climate_source_id judgement_note judged_chill_hours judged_chill_unit "
        "judged_zone judged_last_frost judged_first_frost judged_summer_note source_grade rows not_recommended_basis",
    ),
    "storage_and_picking": ("Storage, picking and drop", "rule value unit source_id locator note"),
    "warm_winter_practice": ("Growing apples without winter", "rule value unit source_id locator note"),
}
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

STATION_RANGES = Table(
    "climate/station_ranges",
    "Published monthly figures of stations, from which the rule of the diurnal range is fitted",
    (
        Column("place_id", "the station", "us-tx-fredericksburg", required=True),
        *where("30.28", "-98.87"),
        Column("elevation_m", "elevation", "524", "number", "m", minimum=-430, maximum=6000),
        Column("quality", "good: to a tenth of a degree; rough: whole degrees", "good", required=True,
               enum=("good", "rough")),
        Column("variable", "mean diurnal range, rain, or days with rain", "range_c", required=True,
               enum=("range_c", "rain_mm", "rain_days")),
        *(Column(month, f"value of the month: {month}", "13.8", "number", required=True, minimum=0, maximum=2000)
          for month in _MONTHS),
        SOURCE,
    ),
    ("place_id", "variable"),
)  # fmt: skip

STATION_SPREADS = Table(
    "climate/station_spreads",
    "Mean and day-to-day spread of daily extremes measured at stations; corrects the weather of a region",
    (
        Column("place_id", "the station", "us-ms-poplarville", required=True),
        *where("30.85", "-89.55"),
        Column("elevation_m", "elevation", "94", "number", "m", required=True, minimum=-430, maximum=6000),
        Column("variable", "mean daily minimum or maximum, or its standard deviation about the seasonal course",
               "tmin_sd_c", required=True, enum=("tmin_c", "tmax_c", "tmin_sd_c", "tmax_sd_c")),
        *(Column(month, f"value of the month: {month}", "6.2", "number", "C", required=True, minimum=-60, maximum=60)
          for month in _MONTHS),
        SOURCE,
    ),
    ("place_id", "variable"),
)  # fmt: skip

WINTER_MINIMA = Table(
    "climate/winter_minima",
    "Mean yearly minimum of towns, from memory, beside what is simulated there; corrects the winters of a region",
    (
        Column("place", "the town", "Aomori", required=True),
        *where("40.8", "140.7"),
        Column("elevation_m", "elevation", "10", "number", "m", required=True, minimum=-430, maximum=6000),
        Column("mean_annual_minimum_c", "mean of the yearly lowest temperatures, to about 2 C", "-9", "number", "C",
               required=True, minimum=-70, maximum=30),
        Column("simulated_c", "the same, simulated from the climatology (python -m domain.adoption.climates)", "-20.2",
               "number", "C", minimum=-80, maximum=30),
        Column("coldest_nights_c", "mean daily minimum of the coldest month, from the climatology", "-5.0", "number",
               "C", minimum=-70, maximum=35),
        SOURCE,
    ),
    ("place",),
)  # fmt: skip

YEARLY_RAIN = Table(
    "climate/yearly_rain",
    "Published rain of a year at stations, from which is fitted how much less falls in valleys",
    (
        Column("place", "the station's town", "Boise", required=True),
        *where("43.57", "-116.22"),
        Column("elevation_m", "elevation", "871", "number", "m", required=True, minimum=-430, maximum=6000),
        Column("rain_mm", "rain and melted snow of a usual year", "292", "number", "mm", required=True, minimum=0,
               maximum=12000),
        SOURCE,
    ),
    ("place",),
)  # fmt: skip

PLACE_HEIGHTS = Table(
    "climate/place_heights",
    "Height of the places of dated lists, from memory to about 50 m, by which the climate of a list is told",
    (
        Column("place", "the place as a list names it", "Fargo, North Dakota", required=True),
        *where("46.9", "-96.8"),
        Column("elevation_m", "elevation", "275", "number", "m", required=True, minimum=-430, maximum=6000),
        SOURCE,
    ),
    ("place", "latitude", "longitude"),
)  # fmt: skip
KEPT = ("chill_of_places", "orchard_practice", "recommended_list_regions", "warm_winter_practice")
"""Rules that nothing computes with yet: they stay as entered, and no table is built from them."""

ENTERED: tuple[Table, ...] = tuple(
    Table(f"rules/{name}", title, tuple(_RULE_COLUMNS[column] for column in columns.split()))
    for name, (title, columns) in _RULES.items()
)
"""Rules as a folder of what was published holds them."""

TABLES: tuple[Table, ...] = (
    *(table for table in ENTERED if table.path.removeprefix("rules/") not in KEPT),
    STATION_RANGES,
    STATION_SPREADS,
    WINTER_MINIMA,
    PLACE_HEIGHTS,
    YEARLY_RAIN,
)
