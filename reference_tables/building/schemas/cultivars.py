"""Tables of cultivars: documents, catalogue, names, observations and what was adopted."""

from reference_tables.building.schemas.common import (
    BASIS,
    CULTIVAR,
    HIGH,
    ID,
    LOCATOR,
    LOW,
    NOTE,
    OBSERVATIONS,
    PUBLISHED,
    SCHEME,
    SOURCE,
    SOURCES,
    TRAIT,
    UNIT,
    where,
)
from reference_tables.building.schemas.description import Column, Table

OBSERVATION = (
    CULTIVAR,
    TRAIT,
    PUBLISHED,
    LOW,
    HIGH,
    UNIT,
    SCHEME,
    Column("list_id", "the list the value stands in: one place, one statistic", "abc-kentville-2016"),
    Column("place", "where it was observed", "Kentville, Nova Scotia"),
    Column("country", "country of the place", "Canada"),
    Column("latitude", "latitude of the place (WGS84)", "45.1", "number", "degrees north", minimum=-90, maximum=90),
    Column("longitude", "longitude of the place (WGS84)", "-64.5", "number", "degrees east", minimum=-180, maximum=180),
    Column("years", "year or years of observation", "2018..2022"),
    SOURCE,
    LOCATOR,
    NOTE,
)

DOCUMENTS = Table(
    "sources",
    "Every document, once",
    (
        Column("source_id", "stable id of the document", "watts-abc-2021", required=True,
               pattern=r"[A-Za-z0-9][A-Za-z0-9.-]*"),
        Column("kind", "what kind of document", "paper", required=True, enum=(
            "paper", "extension", "handbook", "collection", "data", "encyclopedia", "patent", "press", "grower",
            "nursery", "practice", "memory")),
        Column("authors", "who wrote it", "Watts, S.; Myles, S."),
        Column("title", "its title", "Quantifying apple diversity", required=True),
        Column("publisher", "where it appeared", "Plants, People, Planet"),
        Column("year", "year it appeared; undated where neither the document nor its address tells", "2021",
               required=True, pattern=r"\d{4}|undated"),
        Column("url", "where it was read", "https://doi.org/10.1155/2014/138271", pattern=r"https?://\S+"),
        Column("licence", "terms of the text or data; not stated where they are not known", "CC BY 4.0",
               required=True),
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
        Column("status", "advised: enough is known to advise; listed: a name in use, shown with what is known",
               "advised", required=True, enum=("advised", "listed")),
        Column("kind", "planted for its fruit, or for its pollen", "apple", required=True,
               refers_to="fruits/apple/kinds.kind"),
        Column("sport_of", "the cultivar it arose on as a mutation", "gala", refers_to="catalogue.cultivar_id"),
    ),
    ("cultivar_id",),
)  # fmt: skip
ALIASES = Table(
    "aliases",
    "Other names of the cultivars",
    (
        CULTIVAR,
        Column("alias", "the other name", "Klarapfel", required=True),
        Column("kind", "what kind of name", "synonym", required=True,
               enum=("synonym", "trade_designation", "spelling")),
        SOURCE,
    ),
    ("alias",),
)  # fmt: skip
_ADOPTED = (
    BASIS,
    OBSERVATIONS,
    SOURCES,
    Column("inherited_from", "the parent of a sport whose value it is", "gala", refers_to="catalogue.cultivar_id"),
)
NUMBERS = Table(
    "adopted/numbers",
    "Adopted numbers, computed from the observations",
    (
        CULTIVAR,
        TRAIT,
        Column("value", "the middle of what is known", "61.2", "number", required=True),
        Column("deviation", "its standard deviation: what is not known", "7.5", "number", required=True, minimum=0),
        Column("unit", "unit of value and deviation", "CP"),
        *_ADOPTED,
    ),
    ("cultivar_id", "trait"),
)
FINDINGS = Table(
    "adopted/findings",
    "Adopted classes and words, computed from the observations",
    (
        CULTIVAR,
        TRAIT,
        Column("value", "the class or words", "S2 S3", required=True),
        Column("agreement", "share of the evidence that agrees", "0.95", "number", required=True, minimum=0, maximum=1),
        *_ADOPTED,
        Column("conflicts", "what other documents say", "3 (kumar-2021)", separator="; "),
    ),
    ("cultivar_id", "trait"),
)

PLACE_SEASONS = Table(
    "adopted/place_seasons",
    "When the reference cultivar blooms and is picked at the places of dated lists, as computed from their climate",
    (
        Column("place", "the place as a list names it", "Fargo, North Dakota", required=True),
        *where("46.9", "-96.8"),
        Column("bloom_day", "full bloom, southern places moved by half a year", "138.2", "number", "day of year",
               required=True),
        Column("picking_day", "first picking, moved likewise", "269.5", "number", "day of year", required=True),
        Column("low_chill_bloom_day", "full bloom of its like that needs hardly any chill", "131.0", "number",
               "day of year", required=True),
        Column("low_chill_picking_day", "first picking of that one", "266.0", "number", "day of year", required=True),
        Column("chill_portions", "chill of the dormant season in the middle year", "150", "number", "CP", required=True,
               minimum=0),
    ),
    ("place", "latitude", "longitude"),
)  # fmt: skip

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
    DOCUMENTS,
    CATALOGUE,
    ALIASES,
    *(
        Table(f"observations/{topic}", title, OBSERVATION, ordered=(("low", "high"),))
        for topic, title in _TOPICS.items()
    ),
    NUMBERS,
    PLACE_SEASONS,
    FINDINGS,
)
