"""Tables of figures of the trade: one a room of the program, one row a figure."""

from reference_tables.building.schemas.common import ID, NOTE
from reference_tables.building.schemas.description import Column, Table

ROOMS = (
    "adoption",
    "ground",
    "hazards",
    "orchard_site",
    "planting_list",
    "pollination",
    "reviews",
    "site_climate",
    "suitability",
    "traits",
    "tree_year",
    "trees",
    "trunks",
    "weather",
    "year_of_work",
)
BASES = ("published", "fitted", "common-practice", "own-judgement", "from-memory")

_NAME = r"[a-z][a-z0-9_]*"
FIGURE_COLUMNS = (
    Column("subject", "the module that uses it", "frost_at_bloom", required=True, pattern=_NAME),
    Column("name", "name of the figure", "flowers_for_full_crop", required=True, pattern=_NAME),
    Column("value", "the figure that is used; several are parted by ';'", "0.15", required=True),
    Column("unit", "unit of the figure, blank for shares and words", "C"),
    Column("low", "where it may lie at the least, blank where nobody knows", "0.1", "number"),
    Column("high", "where it may lie at the most, blank where nobody knows", "0.2", "number"),
    Column("basis", "where the figure comes from", "published", required=True, enum=BASES),
    Column(
        "sources", "documents that say so, of sources.csv or parameters/sources.csv", "watts-abc-2021", separator=";"
    ),
    NOTE,
)
_SOURCE_COLUMNS = (
    Column("source_id", "id of the document", "allen-fao56-1998", required=True, pattern=ID),
    Column("kind", "kind of document", "paper", required=True),
    Column("authors", "who wrote it", "Allen R.G.; Pereira L.S."),
    Column("title", "title of the document", "Crop evapotranspiration", required=True),
    Column("publisher", "publisher or journal", "FAO"),
    Column(
        "year", "year of the document; undated where it tells none", "1998", required=True, pattern=r"\d{4}|undated"
    ),
    Column("url", "where it can be read", "https://www.fao.org/4/x0490e/x0490e00.htm"),
    Column("licence", "terms of use; not stated where they are not known", "CC BY 4.0", required=True),
    NOTE,
)
TABLES: tuple[Table, ...] = (
    Table("parameters/sources", "Documents that figures of the trade rest on", _SOURCE_COLUMNS, key=("source_id",)),
    *(
        Table(f"parameters/{room}", f"Figures of the trade used by {room}", FIGURE_COLUMNS, key=("subject", "name"))
        for room in ROOMS
    ),
)
