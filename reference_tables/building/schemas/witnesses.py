"""Witnesses: which cultivar is grown, sold, recommended, tried, rejected, failed or removed at a place."""

from dataclasses import replace

from reference_tables.building.schemas.common import CULTIVAR, NOTE, SOURCE
from reference_tables.building.schemas.description import Column, Table
from reference_tables.building.schemas.parameters import BASES

_PUBLISHED_KINDS = (
    "orchard_grows",
    "commercial_main",
    "commercial_minor",
    "traditional",
    "garden_recommended",
    "trial_good",
    "trial_poor",
    "collection_survives",
    "failed",
    "being_removed",
)
LISTED_KINDS = {"recommended": "recommended", "not_recommended": "rejected", "trial": "trial"}
"""Verdict of a recommended list -> the kind of witness it is."""

KIND = Column(
    "kind",
    "what is said of it there: an orchard grows it; much or little is planted for sale; it is traditional or "
    "recommended for gardens; it did well or badly in a trial; it stands in a collection; it failed; it is removed",
    "orchard_grows",
    required=True,
    enum=_PUBLISHED_KINDS,
)
_ALL_KINDS = (*_PUBLISHED_KINDS, *LISTED_KINDS.values())
PICKED = "picked"
"""Kind of a cultivar that stands in a list of picking dates of a place."""
SAYS = Column("says", "whether the kind says that a cultivar does well or fails, blank for neither", "does_well",
              enum=("does_well", "fails"))  # fmt: skip
WEIGHT = Column("weight", "what such a witness counts", "0.5", "number", required=True, minimum=0, maximum=1)
YEAR = Column("year", "the year the statement is about or appeared in, as far as known", "2017")
WORDS = Column("words", "share of the planting, or the words", "40 % of the area")
FIRST_PICK = Column("first_pick", "when its picking begins there, by the grower", "09-05", pattern=r"\d\d-\d\d")
LAST_PICK = Column("last_pick", "when its picking ends there", "09-25", pattern=r"\d\d-\d\d")

TABLES = (
    Table(
        "observations/witnesses",
        "What is grown, recommended, tried, rejected, failed or removed at a place",
        (
            CULTIVAR,
            Column("place", "the place, or the region a list is made for", "Kentville, Nova Scotia", required=True),
            Column("country", "country of the place", "Canada"),
            Column("latitude", "latitude of the place (WGS84), often a judgement", "45.1", "number", "degrees north",
                   required=True, minimum=-90, maximum=90),
            Column("longitude", "longitude of the place (WGS84), often a judgement", "-64.5", "number", "degrees east",
                   required=True, minimum=-180, maximum=180),
            Column("elevation_m", "elevation of the place", "40", "number", "m", minimum=-430, maximum=6000),
            replace(
                KIND,
                meaning=f"{KIND.meaning}; or it stands in a list as recommended, rejected or on trial",
                enum=_ALL_KINDS,
            ),
            YEAR,
            WORDS,
            FIRST_PICK,
            LAST_PICK,
            Column("list_id", "the list it stands in, of which it is one voice", "us-tx-edwards"),
            SOURCE,
            NOTE,
        ),
    ),
    Table(
        "fruits/apple/reading/witness_kinds",
        "What a witness of each kind says, and how much it counts",
        (
            Column("kind", "the kind of witness", "orchard_grows", required=True, enum=(*_ALL_KINDS, PICKED)),
            SAYS,
            WEIGHT,
            Column("basis", "where the weight comes from", "own-judgement", required=True, enum=BASES),
            Column("sources", "documents that say so, of sources.csv or parameters/sources.csv", "ext-sizes",
                   separator=";"),
            NOTE,
        ),
        ("kind",),
    ),
    Table(
        "adopted/witness_places",
        "Places of witnesses with their climate, from the embedded climatology as that of a pin",
        (
            Column("place_id", "latitude, longitude and elevation, as far as known", "45.1,-64.5,40", required=True),
            Column("place", "the place, or the region a list is made for", "Kentville, Nova Scotia", required=True),
            Column("latitude", "latitude (WGS84), often a judgement", "45.1", "number", "degrees north", required=True,
                   minimum=-90, maximum=90),
            Column("longitude", "longitude (WGS84), often a judgement", "-64.5", "number", "degrees east",
                   required=True, minimum=-180, maximum=180),
            Column("elevation_m", "elevation, as told or to about 50 m by climate/place_heights", "40", "number", "m",
                   minimum=-430, maximum=6000),
            *(
                Column(name, meaning, example, "number", unit, required=True)
                for name, meaning, example, unit in (
                    ("warmest_month_c", "mean of the warmest month", "19.4", "C"),
                    ("coldest_month_c", "mean of the coldest month", "-4.6", "C"),
                    ("yearly_minimum_c", "mean yearly minimum", "-20.3", "C"),
                    ("summer_dd10", "degree days above 10 C of the middle year", "1120", "degree days above 10 C"),
                    ("frost_free_days", "days without frost of the middle year", "160", "d"),
                    ("rain_days", "days with rain in the growing season", "70", "d"),
                    ("chill_portions", "chill of the whole dormant season of the middle winter", "80", "portions"),
                )
            ),
        ),
        ("place_id",),
    ),
    Table(
        "adopted/witnesses",
        "Witnesses as they count: one row a document, place, cultivar and kind",
        (
            Column("source_id", "the document, one id for all of its copies", "us-pikes-2018", required=True,
                   refers_to="sources.source_id"),
            Column("place_id", "its place", "45.1,-64.5,40", required=True,
                   refers_to="adopted/witness_places.place_id"),
            CULTIVAR,
            Column("kind", "the kind of witness", "orchard_grows", required=True, enum=(*_ALL_KINDS, PICKED)),
            Column("says", "whether it says that the cultivar does well or fails", "does_well", required=True,
                   enum=("does_well", "fails")),
            WEIGHT,
            Column("voices", "how many times that, where it is asked what does well", "2", "number", required=True,
                   minimum=1, maximum=2),
            Column("year", "the year it speaks of or appeared in, blank if unknown", "2017", "integer"),
        ),
        ("source_id", "place_id", "cultivar_id", "kind"),
    ),
)  # fmt: skip
