"""Reads reference_tables once, at start, and refuses a bad row by its file, line and column."""

import csv
import functools
import hashlib
import io
import re
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

import msgspec

import reference_tables
from domain.common.names import NameIndex
from domain.tables.cultivars import Alias, Cultivar, Estimate, Finding, Status
from domain.tables.observations import Observation, Source
from domain.tables.witnesses import Witness, WitnessPlace

OBSERVATION_TOPICS = (
    "bloom",
    "bloom_heat",
    "chill",
    "disease",
    "fruit",
    "growth",
    "pollination",
    "recommendations",
    "ripening",
)
"""Topics read at start. The single seasons of bloom stay on disk: their means are the observations of `bloom`."""

ADOPTED = tuple(
    f"adopted/{name}.csv" for name in ("findings", "numbers", "rootstocks", "tree_forms", "witness_places", "witnesses")
)
"""Adopted values; they are not read when they are computed anew."""
NEEDED = (
    "sources.csv",
    "catalogue.csv",
    "aliases.csv",
    *(f"observations/{topic}.csv" for topic in OBSERVATION_TOPICS),
    "rules/critical_bud_temperatures.csv",
    "space/commonly_sold.csv",
    "space/set_backs.csv",
    "space/tree_forms.csv",
    "climate/station_ranges.csv",
    "climate/station_spreads.csv",
    "climate/winter_minima.csv",
    "climate/climatology.npz",
    "climate/regimes.npz",
    "climate/station_rules.npz",
)
"""Files that an answer rests on, besides the adopted ones and those of `NEEDED_FOLDERS`."""
NEEDED_FOLDERS = ("parameters/", "words/", "fruits/")
OFFLINE = ("fruits/apple/reading/",)
"""What of these folders only adoption reads."""

_FAULT = re.compile(r"^(?P<what>.*?)(?: - at `\$\[(?P<row>\d+)\](?:\.(?P<column>\w+))?.*`)?$", re.DOTALL)

TABLES = Path(reference_tables.__file__).parent
"""The tables of this program."""

FRUIT = Path("fruits") / "apple"
"""Where in a directory of tables that which is one fruit's stands."""

T = TypeVar("T")
Cells = dict[str, object]


class TableError(ValueError):
    """A reference table, or a row of it, that cannot be used; says file, line and column."""


class _Entry(msgspec.Struct, frozen=True):
    """A row of catalogue.csv."""

    cultivar_id: str
    name: str
    status: Status
    kind: str
    sport_of: str | None = None


class _KindRow(msgspec.Struct, frozen=True):
    """What of a row of fruits/apple/kinds.csv the catalogue refers to."""

    kind: str


class _AliasRow(msgspec.Struct, frozen=True):
    """A row of aliases.csv."""

    cultivar_id: str
    alias: str
    kind: str
    source_id: str


@dataclass(frozen=True)
class Tables:
    """Everything the program knows of cultivars and of the documents that say so."""

    cultivars: tuple[Cultivar, ...]
    by_id: dict[str, Cultivar]
    sources: dict[str, Source]
    names: NameIndex
    version: str
    by_topic: Mapping[str, tuple[Observation, ...]] = field(repr=False)
    witnesses: tuple[Witness, ...] = field(default=(), repr=False)
    witness_places: tuple[WitnessPlace, ...] = field(default=(), repr=False)

    def observations(self, cultivar_id: str) -> tuple[Observation, ...]:
        """Published values of one cultivar, topic by topic; empty for an unknown id."""
        return self._by_cultivar.get(cultivar_id, ())

    @functools.cached_property
    def origin_texts(self) -> frozenset[str]:
        """What texts print of where cultivars were raised, as adopted."""
        return frozenset(text for cultivar in self.cultivars for text in cultivar.origin_texts)

    @functools.cached_property
    def _by_cultivar(self) -> dict[str, tuple[Observation, ...]]:
        collected: defaultdict[str, list[Observation]] = defaultdict(list)
        for observations in self.by_topic.values():
            for observation in observations:
                collected[observation.cultivar_id].append(observation)
        return {cultivar_id: tuple(rows) for cultivar_id, rows in collected.items()}


@functools.lru_cache(maxsize=2)
def load(directory: Path | None = None, *, adopted: bool = True) -> Tables:
    """The tables of a directory (by default those of this program), every row checked.

    Without `adopted` the cultivars have no traits yet: what was adopted before is not read when it is computed anew.

    Raises TableError for a file that is not the one `datapackage.json` names, a cell of a wrong type, an unknown
    cultivar or source, or an id that stands twice.
    """
    root = directory or TABLES
    version = whole(root, adopted=adopted)
    sources = _sources(root / "sources.csv") | _sources(root / "parameters" / "sources.csv")
    path = root / "catalogue.csv"
    entries = _converted(path, _read(path), _Entry)
    known = {entry.cultivar_id for entry in entries}
    _refuse_twice(path, "cultivar_id", [entry.cultivar_id for entry in entries])
    _refuse_unknown(path, "kind", [entry.kind for entry in entries], _kinds(root))
    _refuse_unknown(path, "sport_of", [entry.sport_of for entry in entries], known)

    aliases = _aliases(root / "aliases.csv", known, sources)
    before = root / "adopted"
    numbers = _adopted(before / "numbers.csv", Estimate, known, sources) if adopted else defaultdict(dict)
    findings = _adopted(before / "findings.csv", Finding, known, sources) if adopted else defaultdict(dict)
    by_topic = {
        topic: _observations(root / "observations" / f"{topic}.csv", known, sources) for topic in OBSERVATION_TOPICS
    }
    recommended_by = _recommended_by(by_topic["recommendations"])
    cultivars = tuple(
        Cultivar(
            id=entry.cultivar_id,
            name=entry.name,
            status=entry.status,
            kind=entry.kind,
            sport_of=entry.sport_of,
            aliases=tuple(aliases[entry.cultivar_id]),
            numbers=numbers.get(entry.cultivar_id, {}),
            findings=findings.get(entry.cultivar_id, {}),
            recommended_by=recommended_by[entry.cultivar_id],
        )
        for entry in sorted(entries, key=lambda entry: entry.cultivar_id)
    )
    names = NameIndex(
        {cultivar.id: cultivar.name for cultivar in cultivars},
        [(cultivar.id, alias.name) for cultivar in cultivars for alias in cultivar.aliases],
    )
    by_id = {cultivar.id: cultivar for cultivar in cultivars}
    places, witnesses = _witnesses(before, known, sources) if adopted else ((), ())
    return Tables(cultivars, by_id, sources, names, version, by_topic, witnesses, places)


def whole(root: Path, *, adopted: bool = True) -> str:
    """The version of the tables below `root`, once every file needed is the one that this version names.

    Raises TableError naming the first file that is missing, or has another content than `datapackage.json` says.
    """
    package = _package(root / "datapackage.json")
    named = {resource.path: resource for resource in package.resources}
    for name in needed_files(root, adopted=adopted):
        if name not in named:
            raise TableError(f"datapackage.json names no content of {name}")
        content = _content(root / name, name)
        if len(content) != named[name].bytes:
            raise TableError(f"{name} has {len(content)} bytes, datapackage.json names {named[name].bytes}")
        if f"sha256:{hashlib.sha256(content).hexdigest()}" != named[name].hash:
            raise TableError(f"{name} has another content than datapackage.json names")
    return package.version


def needed_files(root: Path, *, adopted: bool = True) -> tuple[str, ...]:
    """Every file below `root` that an answer rests on, by its path there."""
    described = (resource.path for resource in _package(root / "datapackage.json").resources)
    folders = tuple(name for name in described if name.startswith(NEEDED_FOLDERS) and not name.startswith(OFFLINE))
    return (*NEEDED, *folders, *(ADOPTED if adopted else ()))


def rows(path: Path, row_type: type[T], lists: Collection[str] = ()) -> list[T]:
    """Rows of a CSV file, blank cells left out; cells of the columns named `lists` are split at ';'.

    Raises TableError for a cell of a wrong type or a row of a wrong length.
    """
    told = _read(path)
    for row in told:
        row |= {name: tuple(part.strip() for part in str(row[name]).split(";")) for name in lists if name in row}
    return _converted(path, told, row_type)


def _sources(path: Path) -> dict[str, Source]:
    rows = _read(path)
    for row in rows:
        row["id"] = row.pop("source_id", None)
    sources = _converted(path, rows, Source)
    _refuse_twice(path, "source_id", [source.id for source in sources])
    return {source.id: source for source in sources}


def _kinds(root: Path) -> frozenset[str]:
    """Kinds that a catalogue may name; a directory of computed tables alone goes by those of this program."""
    path = root / FRUIT / "kinds.csv"
    return frozenset(row.kind for row in rows(path if path.exists() else TABLES / FRUIT / "kinds.csv", _KindRow))


def _aliases(path: Path, known: Collection[str], sources: Collection[str]) -> defaultdict[str, list[Alias]]:
    rows = _converted(path, _read(path), _AliasRow)
    _refuse_unknown(path, "cultivar_id", [row.cultivar_id for row in rows], known)
    _refuse_unknown(path, "source_id", [row.source_id for row in rows], sources)
    aliases: defaultdict[str, list[Alias]] = defaultdict(list)
    for row in rows:
        aliases[row.cultivar_id].append(Alias(name=row.alias, kind=row.kind, source_id=row.source_id))
    return aliases


def _observations(path: Path, known: Collection[str], sources: Collection[str]) -> tuple[Observation, ...]:
    rows = _converted(path, _read(path), Observation)
    _refuse_unknown(path, "cultivar_id", [row.cultivar_id for row in rows], known)
    _refuse_unknown(path, "source_id", [row.source_id for row in rows], sources)
    return tuple(rows)


A = TypeVar("A", Estimate, Finding)


def _adopted(
    path: Path, adopted_type: type[A], known: Collection[str], sources: Collection[str]
) -> defaultdict[str, dict[str, A]]:
    """Cultivar id to its adopted values by trait."""
    adopted: defaultdict[str, dict[str, A]] = defaultdict(dict)
    rows = _read(path)
    keys = [(str(row.pop("cultivar_id", "")), str(row.pop("trait", ""))) for row in rows]
    for row in rows:
        row["sources"] = str(row["sources"]).split(";") if "sources" in row else ()
        if "conflicts" in row:
            row["conflicts"] = str(row["conflicts"]).split("; ")
    values = _converted(path, rows, adopted_type)
    _refuse_unknown(path, "cultivar_id", [cultivar_id for cultivar_id, _ in keys], known)
    _refuse_unknown(path, "inherited_from", [value.inherited_from for value in values], known)
    _refuse_twice(path, "trait", [" ".join(key) for key in keys])
    for line, ((cultivar_id, trait), value) in enumerate(zip(keys, values, strict=True), start=2):
        for source_id in value.sources:
            if source_id not in sources:
                raise TableError(f"{path.name}, line {line}, column sources: unknown {source_id!r}")
        adopted[cultivar_id][trait] = value
    return adopted


def _witnesses(
    directory: Path, known: Collection[str], sources: Collection[str]
) -> tuple[tuple[WitnessPlace, ...], tuple[Witness, ...]]:
    """The places of witnesses, and the witnesses."""
    path = directory / "witness_places.csv"
    places = _converted(path, _read(path), WitnessPlace)
    _refuse_twice(path, "place_id", [place.place_id for place in places])
    path = directory / "witnesses.csv"
    found = _converted(path, _read(path), Witness)
    _refuse_unknown(path, "source_id", [one.source_id for one in found], sources)
    _refuse_unknown(path, "place_id", [one.place_id for one in found], {place.place_id for place in places})
    _refuse_unknown(path, "cultivar_id", [one.cultivar_id for one in found], known)
    return tuple(places), tuple(found)


def _recommended_by(observations: Iterable[Observation]) -> Counter[str]:
    lists = {(row.cultivar_id, row.list_id) for row in observations if row.published == "recommended"}
    return Counter(cultivar_id for cultivar_id, _ in lists)


class _Resource(msgspec.Struct, frozen=True):
    """A file of the data package."""

    path: str
    bytes: int
    hash: str


class _Package(msgspec.Struct, frozen=True):
    """What `datapackage.json` says of the whole."""

    version: str
    resources: tuple[_Resource, ...]


def _package(path: Path) -> _Package:
    try:
        return msgspec.json.decode(_content(path, path.name), type=_Package)
    except msgspec.DecodeError as fault:
        raise TableError(f"{path.name}: {fault}") from fault


def _content(path: Path, name: str) -> bytes:
    try:
        return path.read_bytes()
    except OSError as fault:
        raise TableError(f"{name} cannot be read: {fault.strerror}") from fault


def _read(path: Path) -> list[Cells]:
    """Rows of a CSV file as mappings of the cells that are not blank."""
    try:
        text = _content(path, path.name).decode("utf-8")
    except UnicodeDecodeError as fault:
        raise TableError(f"{path.name}: byte {fault.start} is not UTF-8") from fault
    reader = csv.reader(io.StringIO(text, newline=""))
    header = next(reader, None)
    if header is None:
        raise TableError(f"{path.name} is empty")
    rows: list[Cells] = []
    for cells in reader:
        if len(cells) != len(header):
            raise TableError(f"{path.name}, line {reader.line_num}: {len(cells)} cells, {len(header)} columns")
        rows.append({column: cell for column, cell in zip(header, cells, strict=True) if cell})
    return rows


def _converted(path: Path, rows: list[Cells], row_type: type[T]) -> list[T]:
    try:
        return msgspec.convert(rows, list[row_type], strict=False)  # type: ignore[valid-type]  # a type known at run time
    except msgspec.ValidationError as fault:
        match = _FAULT.match(str(fault))
        if match is None or match["row"] is None:
            raise TableError(f"{path.name}: {fault}") from fault
        column = f", column {match['column']}" if match["column"] else ""
        raise TableError(f"{path.name}, line {int(match['row']) + 2}{column}: {match['what']}") from fault


def _refuse_unknown(path: Path, column: str, cells: Iterable[str | None], known: Collection[str]) -> None:
    for line, cell in enumerate(cells, start=2):
        if cell is not None and cell not in known:
            raise TableError(f"{path.name}, line {line}, column {column}: unknown {cell!r}")


def _refuse_twice(path: Path, column: str, cells: Iterable[str]) -> None:
    seen: set[str] = set()
    for line, cell in enumerate(cells, start=2):
        if cell in seen:
            raise TableError(f"{path.name}, line {line}, column {column}: {cell!r} stands twice")
        seen.add(cell)
