"""What every column of every reference table means: the one place from which schemas, package and checks are made."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

ColumnType = Literal["string", "number", "integer"]


@dataclass(frozen=True)
class Column:
    """One column: what it means, its unit, and what a cell may hold. `refers_to` is ``table.column``."""

    name: str
    meaning: str
    example: str
    type: ColumnType = "string"
    unit: str = ""
    required: bool = False
    enum: tuple[str, ...] = ()
    pattern: str = ""
    minimum: float | None = None
    maximum: float | None = None
    refers_to: str = ""
    separator: str = ""
    """Where a cell holds several values, what stands between them."""


@dataclass(frozen=True)
class Table:
    """One table: its path below reference_tables without ``.csv``, its columns, and the columns that name a row."""

    path: str
    title: str
    columns: tuple[Column, ...]
    key: tuple[str, ...] = ()
    ordered: tuple[tuple[str, str], ...] = field(default=())
    """Pairs of number columns of which the first is never above the second."""


ID = r"[a-z0-9]+(-[a-z0-9]+)*"
BASES = ("published", "computed", "imputed", "from-memory")

_SOURCE = Column(
    "source_id", "the document that says so", "watts-abc-2021", required=True, refers_to="sources.source_id"
)
_LOCATOR = Column("locator", "where in the document", "Table 1")
_NOTE = Column("note", "what else the document says of the value", "abstract read")
_CULTIVAR = Column("cultivar_id", "the cultivar", "golden-delicious", required=True, refers_to="catalogue.cultivar_id")
_TRAIT = Column("trait", "what was observed", "full_bloom", required=True, pattern=r"[a-z0-9_]+")
_PUBLISHED = Column("published", "the value as printed", "10-09", required=True)
_LOW = Column(
    "low", "lower number of the value, blank for words or an open end; dates as days of a 365-day year", "282", "number"
)
_HIGH = Column("high", "upper number of the value; a window past the new year ends beyond 365", "282", "number")
_UNIT = Column("unit", "unit as printed, day_of_year for dates, `days after <cultivar id>` for offsets", "day_of_year")
_SCHEME = Column("scheme", "the scale or method in the words of the document", "R = resistant, S = susceptible")

OBSERVATION = (
    _CULTIVAR,
    _TRAIT,
    _PUBLISHED,
    _LOW,
    _HIGH,
    _UNIT,
    _SCHEME,
    Column("list_id", "the list the value stands in: one place, one statistic", "abc-kentville-2016"),
    Column("place", "where it was observed", "Kentville, Nova Scotia"),
    Column("country", "country of the place", "Canada"),
    Column("latitude", "latitude of the place (WGS84)", "45.1", "number", "degrees north", minimum=-90, maximum=90),
    Column("longitude", "longitude of the place (WGS84)", "-64.5", "number", "degrees east", minimum=-180, maximum=180),
    Column("years", "year or years of observation", "2018..2022"),
    _SOURCE,
    _LOCATOR,
    _NOTE,
)

SOURCES = Table(
    "sources",
    "Every document, once",
    (
        Column("source_id", "stable id of the document", "watts-abc-2021", required=True, pattern=ID),
        Column("kind", "what kind of document", "paper", required=True, enum=(
            "paper", "extension", "handbook", "collection", "encyclopedia", "patent", "press", "grower", "practice",
            "memory")),
        Column("authors", "who wrote it", "Watts, S.; Myles, S."),
        Column("title", "its title", "Quantifying apple diversity", required=True),
        Column("publisher", "where it appeared", "Plants, People, Planet"),
        Column("year", "year it appeared, as far as known", "2021"),
        Column("url", "where it was read", "https://doi.org/10.1155/2014/138271", pattern=r"https?://\S+"),
        Column("licence", "licence of the text or data where known", "CC BY 4.0"),
        Column("note", "what of it was read", "abstract read"),
    ),
    ("source_id",),
)  # fmt: skip
CATALOGUE = Table(
    "catalogue",
    "The cultivars served",
    (
        Column("cultivar_id", "stable id: the denomination in ASCII", "golden-delicious", required=True, pattern=ID),
        Column("name", "denomination", "Golden Delicious", required=True),
        Column("shelf", "advised: enough is known to advise; listed: a name in use, shown with what is known",
               "advised", required=True, enum=("advised", "listed")),
        Column("kind", "apple, or crab apple planted for its pollen", "apple", required=True,
               enum=("apple", "crab_apple")),
        Column("sport_of", "the cultivar it arose on as a mutation", "gala", refers_to="catalogue.cultivar_id"),
    ),
    ("cultivar_id",),
)  # fmt: skip
ALIASES = Table(
    "aliases",
    "Other names of the cultivars",
    (
        _CULTIVAR,
        Column("alias", "the other name", "Klarapfel", required=True),
        Column("kind", "what kind of name", "synonym", required=True,
               enum=("synonym", "trade_designation", "spelling")),
        _SOURCE,
    ),
    ("alias",),
)  # fmt: skip
ROOTSTOCKS = Table(
    "observations/rootstocks",
    "Rootstocks, trained forms and spacing as published",
    (
        Column("rootstock_id", "the rootstock or trained form", "m-9", required=True, pattern=ID),
        Column("name", "its name", "M.9", required=True),
        _TRAIT,
        Column("published", "the value as printed", "85-90"),
        _LOW,
        _HIGH,
        _UNIT,
        _SCHEME,
        _SOURCE,
        _LOCATOR,
        _NOTE,
    ),
)
_ADOPTED = (
    Column("basis", "where the value comes from", "published", required=True, enum=BASES),
    Column("observations", "how many observations it rests on", "7", "integer", required=True, minimum=0),
    Column("sources", "documents it rests on, at most twelve", "watts-abc-2021;refpop-repo",
           refers_to="sources.source_id", separator=";"),
    Column("inherited_from", "the parent of a sport whose value it is", "gala", refers_to="catalogue.cultivar_id"),
)  # fmt: skip
NUMBERS = Table(
    "adopted/numbers",
    "Adopted numbers, computed from the observations",
    (
        _CULTIVAR,
        _TRAIT,
        Column("value", "the middle of what is known", "61.2", "number", required=True),
        Column("spread", "its standard deviation: what is not known", "7.5", "number", required=True, minimum=0),
        Column("unit", "unit of value and spread", "CP"),
        *_ADOPTED,
    ),
    ("cultivar_id", "trait"),
)
FINDINGS = Table(
    "adopted/findings",
    "Adopted classes and words, computed from the observations",
    (
        _CULTIVAR,
        _TRAIT,
        Column("value", "the class or words", "S2 S3", required=True),
        Column("agreement", "share of the evidence that agrees", "0.95", "number", required=True, minimum=0, maximum=1),
        *_ADOPTED,
        Column("conflicts", "what other documents say", "3 (kumar-2021)", separator="; "),
    ),
    ("cultivar_id", "trait"),
)

_RULE_COLUMNS: Mapping[str, Column] = {
    column.name: column
    for column in (
        Column("place", "where it holds", "Fredericksburg, Texas"),
        Column("place_id", "id of the place", "us-tx-fredericksburg"),
        Column("country", "country of the place", "United States"),
        Column("chill", "winter chill as printed: a number, a range or a bound", "800-900", required=True),
        _UNIT,
        Column("statistic", "which figure of the years", "10th percentile"),
        Column("latitude", "latitude (WGS84)", "30.3", "number", "degrees north", minimum=-90, maximum=90),
        Column("longitude", "longitude (WGS84)", "-98.9", "number", "degrees east", minimum=-180, maximum=180),
        Column("coldest_month_mean_c", "mean of the coldest month", "9.1", "number", "C", minimum=-50, maximum=40),
        Column("period", "years of the figure", "1981-2010"),
        _SOURCE,
        _LOCATOR,
        _NOTE,
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
_TOPICS = {
    "bloom": "Dates and classes of bloom",
    "bloom_heat": "Heat sums to bloom",
    "bloom_seasons": "Dates of bloom by season, whose means stand in `bloom`",
    "chill": "Chill requirement, and where a cultivar crops or fails",
    "disease": "Diseases and insects",
    "fruit": "Use, flavour, storage and the look of the fruit; origin",
    "growth": "Growth, bearing and hardiness",
    "pollination": "Ploidy, S alleles, pollen, self-fertility, parentage, sports and crosses",
    "recommendations": "What extension services recommend and advise against; for checks only",
    "ripening": "Dates and classes of ripening",
}
TABLES: tuple[Table, ...] = (
    SOURCES,
    CATALOGUE,
    ALIASES,
    *(
        Table(f"observations/{topic}", title, OBSERVATION, ordered=(("low", "high"),))
        for topic, title in _TOPICS.items()
    ),
    ROOTSTOCKS,
    NUMBERS,
    FINDINGS,
    *(
        Table(f"rules/{name}", title, tuple(_RULE_COLUMNS[column] for column in columns.split()))
        for name, (title, columns) in _RULES.items()
    ),
)


def descriptor(table: Table) -> dict[str, object]:
    """The Table Schema of a table (Frictionless Data: Table Schema, version 2)."""
    schema: dict[str, object] = {
        "$schema": "https://datapackage.org/profiles/2.0/tableschema.json",
        "title": table.title,
        "fields": [_field(column) for column in table.columns],
        "missingValues": [""],
    }
    if table.key:
        schema["primaryKey"] = list(table.key)
    references = [column for column in table.columns if column.refers_to and not column.separator]
    if references:
        schema["foreignKeys"] = [
            {
                "fields": [column.name],
                "reference": {
                    "resource": column.refers_to.partition(".")[0],
                    "fields": [column.refers_to.partition(".")[2]],
                },
            }
            for column in references
        ]
    return schema


def _field(column: Column) -> dict[str, object]:
    constraints: dict[str, object] = {}
    if column.required:
        constraints["required"] = True
    if column.enum:
        constraints["enum"] = list(column.enum)
    if column.pattern:
        constraints["pattern"] = column.pattern
    if column.minimum is not None:
        constraints["minimum"] = column.minimum
    if column.maximum is not None:
        constraints["maximum"] = column.maximum
    described: dict[str, object] = {"name": column.name, "type": column.type, "description": column.meaning}
    if column.unit:
        described["unit"] = column.unit
    return described | {"example": column.example} | ({"constraints": constraints} if constraints else {})
