"""Tables of `published/`: one layout for every folder, whatever subject it holds. A folder has those it needs."""

from dataclasses import replace
from pathlib import Path

from reference_tables.building.schemas import cultivars, rules, space, witnesses
from reference_tables.building.schemas.common import LOCATOR, NOTE
from reference_tables.building.schemas.description import Column, Table

_SOURCE = Column(
    "source_id", "the document that says so", "watts-abc-2021", required=True, refers_to="sources.source_id"
)
_CULTIVAR = Column("cultivar", "the cultivar in the document's spelling", "Golden Delicious", required=True)
_TRAIT = Column("trait", "what was observed", "full_bloom", required=True, pattern=r"[a-z0-9_]+")
_VALUE = Column("value", "the value as printed; a range as a..b, a date as MM-DD", "04-25..05-05", required=True)
_UNIT = Column("unit", "unit as printed; MM-DD for dates", "MM-DD")
_SCHEME = Column("scheme", "the scale or method in the words of the document", "R = resistant, S = susceptible")
_LIST = Column("list_id", "the list the value stands in: one place, one statistic", "abc-kentville-2016")
_PLACE = Column("place", "where it was observed", "Kentville, Nova Scotia")
_COUNTRY = Column("country", "country of the place", "Canada")
_COUNTRY_CODE = Column("country", "code of the country of the place", "CA", refers_to="published/countries.code")
_LATITUDE = Column(
    "latitude", "latitude of the place (WGS84)", "45.1", "number", "degrees north", minimum=-90, maximum=90
)
_LONGITUDE = Column(
    "longitude", "longitude of the place (WGS84)", "-64.5", "number", "degrees east", minimum=-180, maximum=180
)
_ELEVATION = Column("elevation_m", "elevation of the place", "40", "number", "m", minimum=-430, maximum=6000)
_YEARS = Column("years", "year or years of observation", "2018..2022")
_ALIAS = Column("alias", "the other name; several stand apart by ;", "Klarapfel", required=True)
_ALIAS_KIND = Column("kind", "synonym, trade_designation, spelling, transliteration or the document's word", "synonym")
_STANDARD = Column("standard", "the standard", "BBCH", required=True)
_DESCRIPTOR = Column("descriptor", "the character described", "harvest maturity", required=True)
_STATE_CODE = Column("state_code", "the standard's code of the state", "3")
_STATE_NAME = Column("state_name", "the standard's name of the state", "early")
_PLACE_ID = Column("place_id", "id of the place", "us-tx-fredericksburg", required=True)
_PERIOD = Column("period", "years of the figure", "1981-2010")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

_LISTED = (
    _LIST, _PLACE, _COUNTRY, _LATITUDE, _LONGITUDE, _YEARS, _CULTIVAR, _TRAIT, _VALUE, _UNIT, _SCHEME, _SOURCE, NOTE,
)  # fmt: skip

_OWN: tuple[Table, ...] = (
    replace(cultivars.DOCUMENTS, title="The documents that the folder cites"),
    Table("aliases", "Other names of cultivars", (_CULTIVAR, _ALIAS, _ALIAS_KIND, _SOURCE)),
    Table("facts", "Values of cultivars, without a place",
          (_CULTIVAR, _TRAIT, _VALUE, _UNIT, _SCHEME, _SOURCE, LOCATOR, NOTE)),
    Table("lists", "Values of cultivars at a place", _LISTED),
    Table("seasons", "The same by single seasons, whose means stand in `lists`", _LISTED),
    Table("crosses", "Crosses, pair by pair", (
        _LIST,
        Column("pollinated", "the cultivar that bears", "Gala", required=True),
        Column("pollen_from", "the cultivar that gives the pollen", "Fuji", required=True),
        Column("verdict", "what the document says of the pair", "compatible", required=True),
        _SOURCE, NOTE)),
    Table("heat_sums", "Heat from a start to a stage of bloom", (
        _LIST, _PLACE, _COUNTRY, _YEARS, _CULTIVAR,
        Column("stage", "the stage reached", "full bloom", required=True),
        _VALUE, _UNIT,
        Column("base_c", "temperature from which heat counts", "4.5", unit="C"),
        Column("start_rule", "from when it counts", "1 January"),
        _SOURCE, NOTE)),
    Table("recommendations", "What a service recommends and advises against", (
        _LIST,
        Column("region", "the region it is made for", "Kentucky", required=True),
        _COUNTRY, _LATITUDE, _LONGITUDE, _ELEVATION, _CULTIVAR,
        Column("verdict", "what the list says of the cultivar", "recommended", required=True),
        Column("reason", "the reason as published", "fire blight"),
        _SOURCE,
        Column("basis", "how the list came about", "extension list"))),
    Table("witnesses", "What is grown, tried, failed or removed where", (
        _CULTIVAR, replace(_PLACE, required=True), _COUNTRY_CODE, replace(_LATITUDE, required=True),
        replace(_LONGITUDE, required=True), _ELEVATION, witnesses.KIND, witnesses.YEAR, witnesses.WORDS,
        witnesses.FIRST_PICK, witnesses.LAST_PICK, _SOURCE, NOTE)),
    Table("harvest_order", "Order or dates of picking of a recommended list", (
        _LIST, _PLACE, _CULTIVAR,
        Column("order_or_date", "rank, date (MM-DD) or words of the month", "mid to late August", required=True),
        _SOURCE)),
    Table("decisions", "What was decided about names", (
        Column("decision", "the decision", "sport_of", required=True,
               enum=("not_synonym", "preferred", "not_a_cultivar", "crab_apple", "homonym", "same_document",
                     "same_place", "sport_of")),
        Column("name", "the name it is about; of a same_document the id of a source, of a same_place that of a place",
               "Red Fuji", required=True),
        Column("other", "the other name; of a homonym the document that means another apple", "Fuji"),
        _SOURCE, NOTE)),
    Table("rootstocks", "Values of rootstocks, trained forms and spacing", (
        Column("rootstock", "the rootstock or trained form", "M.9", required=True),
        _TRAIT, _VALUE, _UNIT, _SCHEME, _SOURCE, LOCATOR, NOTE)),
    Table("rootstock_aliases", "Other names of rootstocks", (
        Column("rootstock", "the rootstock", "M.9", required=True),
        Column("alias", "the other name", "Malling 9", required=True), _ALIAS_KIND, _SOURCE)),
    Table("growth_stages", "Codes of growth stages of pome fruit; for checks", (
        Column("code", "code of the stage", "65", required=True),
        Column("stage", "the stage in words", "full flowering", required=True),
        Column("named_stage_en", "English name", "full bloom"),
        Column("fleckinger", "letter of the older scale", "F2"), _SOURCE, NOTE)),
    Table("stage_names", "Names of stages in order; for checks", (
        Column("order", "place in the order", "3", "integer", required=True, minimum=0),
        Column("named_stage", "its name", "tight cluster", required=True),
        Column("alternative_name", "another name", "green cluster"),
        Column("criterion", "how it is recognised", "leaves 10 mm above the bud"), _SOURCE)),
    Table("reference_cultivars", "Example cultivars of standards; for checks", (
        _STANDARD, _DESCRIPTOR, _STATE_CODE, _STATE_NAME, _CULTIVAR, _SOURCE, LOCATOR, NOTE)),
    Table("scales", "Scales of standards; for checks", (
        _STANDARD, _DESCRIPTOR, _STATE_CODE, _STATE_NAME,
        Column("meaning", "what the state means", "season ready to pick"), _SOURCE)),
    Table("vocabulary", "Fields and variables of standards; for checks", (
        _STANDARD,
        Column("field_or_variable", "its name", "FlowerFull_Obser_date", required=True),
        Column("number_or_id", "its number", "CO_370"), Column("label", "its label", "Flowering full"),
        Column("entity", "what is observed", "Tree"), Column("class", "class of the trait", "Phenological"),
        Column("scale_or_note", "scale or remark", "date"), _SOURCE)),
    Table("method_checks", "Check values of methods, published with their input; for checks", (
        Column("method", "the method", "atmospheric pressure", required=True),
        Column("input", "what goes in", "elevation 1800 m", required=True),
        Column("expected", "what must come out", "81.8", required=True),
        _UNIT, Column("tolerance", "how near it must come", "0.05"), _SOURCE, LOCATOR, NOTE)),
    Table("places", "Places with monthly normals; for checks", (
        _PLACE_ID, _PLACE, _COUNTRY, _LATITUDE, _LONGITUDE, _ELEVATION, _SOURCE, NOTE)),
    Table("monthly_normals", "Monthly normals of places; for checks", (
        _PLACE_ID, _PERIOD, Column("variable", "what the months hold", "tmax_c", required=True),
        *(Column(month, f"value of the month: {month}", "13.8", "number") for month in _MONTHS), _SOURCE)),
    Table("freeze_dates", "Dates of last and first freeze; for checks", (
        _PLACE_ID, Column("threshold_c", "temperature of a freeze", "0.0", "number", "C"),
        Column("event", "last in spring or first in autumn", "last_spring", required=True),
        Column("probability_pct", "probability", "50", "number", "percent", minimum=0, maximum=100),
        Column("sense", "of what", "a freeze still occurs on or after this date"),
        Column("date", "the date", "03-26", required=True), _PERIOD, _SOURCE, NOTE)),
    Table("extremes", "Extremes of places; for checks", (
        _PLACE_ID, Column("statistic", "which figure", "lowest temperature in the period", required=True),
        Column("value_c", "the temperature", "-32.2", "number", "C"), Column("zone", "hardiness zone", "9a"),
        _PERIOD, _SOURCE, NOTE)),
    Table("circle_packings", "Best known packings of equal circles; for checks", (
        Column("container", "shape of the container", "circle", required=True),
        Column("container_dims", "its size, and what the value is", "container radius 1", required=True),
        Column("n", "how many circles", "7", "integer", required=True, minimum=1),
        Column("best_radius_or_ratio", "the radius, or the ratio", "0.333", "number", required=True), _SOURCE)),
)  # fmt: skip


def _as_entered(table: Table, left_out: tuple[str, ...] = ()) -> Table:
    """A table that is used as it was entered; what its ids refer to is checked where it is used."""
    columns = (
        _SOURCE if column.name == "source_id" else replace(column, refers_to="")
        for column in table.columns
        if column.name not in left_out
    )
    return replace(table, path=table.path.rpartition("/")[2], columns=tuple(columns))


def _rule(table: Table) -> Table:
    columns = (
        replace(column, refers_to="sources.source_id") if column.name.endswith("source_id") else column
        for column in table.columns
    )
    return replace(table, path=table.path.rpartition("/")[2], columns=tuple(columns))


PUBLISHED: dict[str, Table] = {
    table.path: table
    for table in (
        *_OWN,
        *(_rule(table) for table in rules.ENTERED),
        *(
            _as_entered(table, ("simulated_c", "coldest_nights_c"))
            for table in rules.TABLES
            if table.path.startswith("climate/")
        ),
        *(_as_entered(table) for table in space.TABLES if table.path.startswith("space/")),
    )
}
"""Name of a table of a folder -> its columns."""

FOLDERS = Table(
    "published/folders",
    "The folders of what was published, in the order they are read in: of two that say the same the first is kept",
    (
        Column("folder", "its name", "bloom_2", required=True, pattern=r"[a-z0-9_]+"),
        Column("read", "whole: the build reads every table; witnesses: what is grown or recommended where; later: it "
               "is entered and waits", "whole", required=True, enum=("whole", "witnesses", "later")),
        Column("holds", "what it holds", "flowering groups and dates of further lists", required=True),
    ),
    ("folder",),
)  # fmt: skip

COUNTRIES = Table(
    "published/countries",
    "The countries where something is grown, which documents tell by code, and their names in lists of dates",
    (
        Column("code", "two letters of ISO 3166", "CA", required=True, pattern=r"[A-Z]{2}"),
        Column("name", "the name", "Canada", required=True),
    ),
    ("code",),
)  # fmt: skip

UNSEEN = Table(
    "published/unseen",
    "Documents that the build does not use, drawn before they were read (`building/draw.py`): they judge the rest",
    (
        Column("folder", "the folder that cites it", "witnesses", required=True, refers_to="published/folders.folder"),
        replace(_SOURCE, refers_to=""),
        Column("document", "the digest by which the document was drawn", "9f" * 32, required=True,
               pattern=r"[0-9a-f]{64}"),
    ),
    ("folder", "source_id"),
)  # fmt: skip
"""A folder's sources differ from row to row, so `building/check.py` looks them up."""


def published_tables(directory: Path) -> list[Table]:
    """The tables that stand below `directory/published`, each with its path and the sources of its own folder."""
    tables = []
    for path in sorted((directory / "published").glob("*/*.csv")):
        kind, folder = PUBLISHED.get(path.stem), f"published/{path.parent.name}"
        if kind is not None:
            columns = (
                replace(column, refers_to=f"{folder}/{column.refers_to}")
                if column.refers_to and column is not _COUNTRY_CODE
                else column
                for column in kind.columns
            )
            tables.append(replace(kind, path=f"{folder}/{kind.path}", columns=tuple(columns)))
    return sorted(tables, key=lambda table: not table.path.endswith("/sources"))
