"""What was published as observations: one shape for facts, lists and pairs, duplicates and double counting dropped."""

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, replace

from reference_tables.building import traits, values
from reference_tables.building.denominations import Names
from reference_tables.building.published import Folder, Row

_GROUP = re.compile(r"^\(|^(most|five|all|several|other) |cultivars|\((?:NFC|UNIBO|CRA-W)\)$")
"""Names that stand for a whole trial, or for one collection's tree of doubtful identity."""

_REFERENCE = re.compile(r"^days (?:after|against|before) (.+?)(?: at (.+))?$")


@dataclass(frozen=True)
class Raw:
    """One published value before names are resolved; numbers and coordinates already parsed."""

    cultivar: str
    topic: str
    trait: str
    published: str
    low: float | None
    high: float | None
    unit: str
    scheme: str
    list_id: str
    place: str
    country: str
    latitude: str
    longitude: str
    years: str
    source_id: str
    locator: str
    note: str


ANY, DOES_NOT_WORK = "ANY", "does_not_work"
"""Of a pair: what stands for every cultivar, so that the row speaks of the other's pollen; the verdict against it."""


def crosses(folders: Iterable[Folder], source_ids: dict[tuple[str, str], str]) -> list[Raw]:
    """The pairs of the folders, as printed: what is read of pollination in folders that are read for witnesses only."""
    return [
        replace(raw, source_id=source_ids[folder.name, raw.source_id]) for folder in folders for raw in _crosses(folder)
    ]


def read(folders: list[Folder], source_ids: dict[tuple[str, str], str]) -> list[Raw]:
    """Every observation of the folders, as printed."""
    found: list[Raw] = []
    for folder in folders:
        for raw in _of_folder(folder):
            if not _GROUP.search(raw.cultivar):
                found.append(replace(raw, source_id=source_ids[folder.name, raw.source_id]))
    return found


def _of_folder(folder: Folder) -> Iterator[Raw]:
    for table in ("facts", "lists", "seasons"):
        for row in folder.rows(table):
            raw = _raw(row, row["trait"])
            yield raw if table != "seasons" else replace(raw, topic="bloom_seasons")
    for row in folder.rows("recommendations"):
        as_fact = {"value": row["verdict"], "scheme": row["basis"], "place": row["region"], "note": row["reason"]}
        yield _raw(row | as_fact, "recommended")
    yield from _crosses(folder)
    for row in folder.rows("heat_sums"):
        base = f"base {row['base_c']} C" if row["base_c"] else "base not stated"
        scheme = f"{row['stage']}, {base}" + (f", from {row['start_rule']}" if row["start_rule"] else "")
        yield _raw(row | {"scheme": scheme}, "bloom_heat_sum")
    places = {row["list_id"]: row for row in folder.rows("recommendations")}
    for row in folder.rows("harvest_order"):
        yield _harvest_order(row, places.get(row["list_id"], {}))


def _crosses(folder: Folder) -> Iterator[Raw]:
    for row in folder.rows("crosses"):
        if row["pollinated"] == ANY:
            poor = {"cultivar": row["pollen_from"], "value": "poor" if row["verdict"] == DOES_NOT_WORK else "good"}
            yield _raw(row | poor | {"list_id": "", "scheme": "as pollen source of any other"}, "pollen_viability")
        else:
            as_fact = {
                "cultivar": row["pollinated"],
                "value": row["verdict"],
                "scheme": f"pollen of {row['pollen_from']}",
            }
            yield _raw(row | as_fact, "cross")


def _harvest_order(row: Row, place: Row) -> Raw:
    value = row["order_or_date"]
    located = row | {column: place.get(column, "") for column in ("latitude", "longitude", "country")}
    if re.fullmatch(r"\d{2}-\d{2}", value):
        return _raw(located | {"value": value, "unit": "MM-DD"}, "harvest_mid")
    if value.isdigit():
        return _raw(located | {"value": value, "unit": "rank"}, "ripening_order")
    window = values.month_words(value)
    return replace(_raw(located | {"value": value, "unit": "MM-DD"}, "harvest_window"), low=window[0], high=window[1])


def _raw(row: Row, printed_trait: str) -> Raw:
    trait = traits.unified(printed_trait, row)
    unit = row.get("unit", "")
    if trait == "hardiness_zone":
        unit = "zone"
    if trait == "months_in_use":
        low, high = values.months(row["value"])
        unit = "month"
    elif trait in ("s_alleles", "parentage", "sport_of", "scab_gene", "recommended", "cross"):
        low = high = None
    else:
        low, high = values.parse(row["value"], unit)
    in_use = re.fullmatch(r"in use until month (\d+)", row["value"])
    if in_use:
        low, high, unit = float(in_use[1]), float(in_use[1]), "month"
    return Raw(
        cultivar=row["cultivar"],
        topic=traits.TOPIC_OF.get(trait, "fruit"),
        trait=trait,
        published=traits.words(trait, row["value"]),
        low=low,
        high=high,
        unit="day_of_year" if "MM-DD" in unit or unit == "day of year" else unit,
        scheme=row.get("scheme", ""),
        list_id=row.get("list_id", ""),
        place=row.get("place", ""),
        country=row.get("country", ""),
        latitude=row.get("latitude", ""),
        longitude=row.get("longitude", ""),
        years=row.get("years", ""),
        source_id=row["source_id"],
        locator=row.get("locator", ""),
        note=row.get("note", ""),
    )


def without_double_counting(raw: list[Raw], names: Names) -> list[Raw]:
    """Drop what says one thing twice.

    Days from bloom of a list whose dates are kept (``<list>-days`` beside ``<list>``: the one is the other minus the
    bloom date), rows that one document gives twice, and a fact that the same document gives as a value of a place.
    """
    listed = {_said(entry, names) for entry in raw if entry.list_id}
    dated = {
        (names.resolve(entry.cultivar), entry.list_id) for entry in raw if entry.unit == "day_of_year" and entry.list_id
    }
    kept: list[Raw] = []
    seen: set[tuple[object, ...]] = set()
    for entry in raw:
        cultivar_id = names.resolve(entry.cultivar)
        base = entry.list_id.removesuffix("-days")
        if entry.list_id != base and (cultivar_id, base) in dated:
            continue
        if not entry.list_id and _said(entry, names) in listed:
            continue
        same = (
            *_said(entry, names),
            entry.topic,
            entry.unit,
            entry.scheme if entry.trait == "cross" else "",
            entry.list_id,
            entry.years,
            entry.note if entry.list_id else "",
        )
        if same not in seen:
            seen.add(same)
            kept.append(entry)
    return kept


def _said(entry: Raw, names: Names) -> tuple[object, ...]:
    value = entry.published.lower() if entry.low is None and entry.high is None else (entry.low, entry.high)
    return names.resolve(entry.cultivar), entry.trait, value, entry.source_id


def resolved(raw: list[Raw], names: Names, served: frozenset[str]) -> dict[str, list[Row]]:
    """Rows of each topic table for the cultivars served, sorted; cultivars named inside a value become ids too."""
    topics: defaultdict[str, list[Row]] = defaultdict(list)
    for entry in raw:
        cultivar_id = names.resolve(entry.cultivar)
        if cultivar_id is None or cultivar_id not in served:
            continue
        row = {column: "" if cell is None else str(cell) for column, cell in asdict(entry).items()}
        del row["cultivar"], row["topic"]
        row["low"], row["high"] = _number(entry.low), _number(entry.high)
        if entry.trait == "cross":
            row["scheme"] = f"pollen of {names.resolve(entry.scheme.removeprefix('pollen of ')) or 'unknown'}"
        if entry.trait in ("days_from_reference", "bloom_days_from_reference", "full_bloom"):
            row = _with_reference(row, cultivar_id, names)
        topics[entry.topic].append({"cultivar_id": cultivar_id} | row)
    for rows in topics.values():
        rows.sort(
            key=lambda row: (
                row["cultivar_id"],
                row["trait"],
                row["list_id"],
                row["source_id"],
                row["published"],
                row["years"],
                row["scheme"],
                row["note"],
            )
        )
    return dict(topics)


def _with_reference(row: Row, cultivar_id: str, names: Names) -> Row:
    """The unit of an offset names the id of the cultivar it is counted from, wherever the text put it."""
    for column in ("unit", "scheme"):
        match = _REFERENCE.match(row[column].split(",")[0])
        reference = match and names.resolve(match[1])
        if match and reference:
            return row | {"unit": f"days after {reference}" + (f" at {match[2]}" if match[2] else "")}
    if row["scheme"] == "reference":
        return row | {"unit": f"days after {cultivar_id}"}
    return row


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"
