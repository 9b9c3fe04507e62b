"""Days of picking that documents tell beside what is grown at a place, as lists of picking at that place.

A document that is read for what is grown where often says from which day each is picked there. These days are a list
like any other, where enough cultivars have one and the days tell them apart; of a document whose picking stands in
`lists.csv` or `facts.csv` already nothing is taken a second time, nor of a tree that is kept in a collection, whose
table may tell the season of use.
"""

import calendar
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping

from reference_tables.building import traits, values
from reference_tables.building.observations import Raw
from reference_tables.building.published import Folder, Row
from reference_tables.spelling import slug

FEWEST_CULTIVARS = 3
FEWEST_DAYS = 3
"""A list of fewer, or one whose days are all alike ("ripe now"), tells no order."""

SCHEME = "first picking told beside where it is grown"
MONTH_SCHEME = f"{SCHEME}; month printed"

_MONTH = re.compile("|".join(name.lower() for name in calendar.month_name if name))
_IN_A_COLLECTION = "collection_survives"


def read(
    folders: Iterable[Folder],
    source_ids: Mapping[tuple[str, str], str],
    raw: Iterable[Raw],
    countries: Mapping[str, str],
) -> list[Raw]:
    """The days of picking of the folders' witnesses; `raw` is what is read of picking elsewhere.

    countries: code of a country -> its name in lists of dates; the check before a build names a row of another code.
    """
    dated_already = {entry.source_id for entry in raw if entry.topic == "ripening" and entry.unit == "day_of_year"}
    lists: defaultdict[tuple[str, str], list[Row]] = defaultdict(list)
    for folder in folders:
        for row in folder.rows("witnesses"):
            source_id = source_ids[folder.name, row["source_id"]]
            if row["first_pick"] and row["kind"] != _IN_A_COLLECTION and source_id not in dated_already:
                lists[source_id, row["place"]].append(row)
    return [
        _raw(row, source_id, countries)
        for (source_id, _), rows in sorted(lists.items())
        if len({row["cultivar"] for row in rows}) >= FEWEST_CULTIVARS
        and len({row["first_pick"] for row in rows}) >= FEWEST_DAYS
        for row in rows
    ]


def is_one(entry: Raw) -> bool:
    """Whether a row is such a day: it makes no cultivar known that nothing else speaks of."""
    return entry.scheme.startswith(SCHEME)


def _raw(row: Row, source_id: str, countries: Mapping[str, str]) -> Raw:
    """One row; where a month alone is printed, which is entered as its first day, the whole month."""
    month = row["first_pick"].endswith("-01") and _MONTH.search(row["words"].lower()) is not None
    printed = row["first_pick"]
    low, high = values.month_words(_MONTH_NAME[printed[:2]]) if month else values.parse(printed, "MM-DD")
    return Raw(
        cultivar=row["cultivar"],
        topic=traits.TOPIC_OF["harvest_start"],
        trait="harvest_start",
        published=printed,
        low=low,
        high=high,
        unit="day_of_year",
        scheme=MONTH_SCHEME if month else SCHEME,
        list_id=f"{source_id}-picked-{slug(row['place'])}",
        place=row["place"],
        country=countries.get(row["country"], row["country"]),
        latitude=row["latitude"],
        longitude=row["longitude"],
        years=row["year"],
        source_id=source_id,
        locator="",
        note=row["words"],
    )


_MONTH_NAME = {f"{month:02d}": name for month, name in enumerate(calendar.month_name) if name}
