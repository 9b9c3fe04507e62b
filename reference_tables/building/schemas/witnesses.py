"""Witnesses: which cultivar is grown, sold, recommended, tried, rejected, failed or removed at a place."""

from dataclasses import replace

from reference_tables.building.schemas.common import CULTIVAR, NOTE, SOURCE
from reference_tables.building.schemas.description import Column, Table

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
                enum=(*_PUBLISHED_KINDS, *LISTED_KINDS.values()),
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
)  # fmt: skip
