"""Columns that many tables share."""

from reference_tables.building.schemas.description import Column

ID = r"[a-z0-9]+(-[a-z0-9]+)*"
BASES = ("published", "computed", "imputed", "from-memory")

SOURCE = Column(
    "source_id", "the document that says so", "watts-abc-2021", required=True, refers_to="sources.source_id"
)
LOCATOR = Column("locator", "where in the document", "Table 1")
NOTE = Column("note", "what else the document says of the value", "abstract read")
CULTIVAR = Column("cultivar_id", "the cultivar", "golden-delicious", required=True, refers_to="catalogue.cultivar_id")
TRAIT = Column("trait", "what was observed", "full_bloom", required=True, pattern=r"[a-z0-9_]+")
PUBLISHED = Column("published", "the value as printed", "10-09", required=True)
LOW = Column(
    "low", "lower number of the value, blank for words or an open end; dates as days of a 365-day year", "282", "number"
)
HIGH = Column("high", "upper number of the value; a window past the new year ends beyond 365", "282", "number")
UNIT = Column("unit", "unit as printed, day_of_year for dates, `days after <cultivar id>` for offsets", "day_of_year")
SCHEME = Column("scheme", "the scale or method in the words of the document", "R = resistant, S = susceptible")

BASIS, OBSERVATIONS, SOURCES = (
    Column("basis", "where the value comes from", "published", required=True, enum=BASES),
    Column("observations", "how many observations it rests on", "7", "integer", required=True, minimum=0),
    Column("sources", "documents it rests on, at most twelve", "watts-abc-2021;refpop-repo",
           refers_to="sources.source_id", separator=";"),
)  # fmt: skip


def where(latitude: str, longitude: str) -> tuple[Column, Column]:
    """Columns of where something lies, with what stands in them for example."""
    return (
        Column(
            "latitude", "latitude (WGS84)", latitude, "number", "degrees north", required=True, minimum=-90, maximum=90
        ),
        Column(
            "longitude",
            "longitude (WGS84)",
            longitude,
            "number",
            "degrees east",
            required=True,
            minimum=-180,
            maximum=180,
        ),
    )
