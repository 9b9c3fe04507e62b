"""Figures of the trade that decide advice: rows of ``reference_tables/parameters/``, read once into frozen structs.

A room's figures stand in ``parameters/<room>.csv`` (the fruit's in ``fruits/apple/figures.csv``), grouped by subject.
The module that uses a subject declares a frozen struct with one field a row and fills it by `figures`:

    class FrostFigures(msgspec.Struct, frozen=True):
        kill_for_half_crop: float

    FIGURES = figures("hazards", "frost_at_bloom", FrostFigures)

Each row states value, unit, low and high (blank where nobody knows), basis, sources and a note, and is served. Numeric
method (steps, tolerances of a solver) is not a figure of the trade and stays in code.
"""

import functools
from pathlib import Path
from typing import Literal, TypeVar, get_args

import msgspec

from domain.tables.loading import FRUIT, TABLES, TableError, rows

ParameterRoom = Literal[
    "adoption",
    "fruit",
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
]
ROOMS: tuple[ParameterRoom, ...] = get_args(ParameterRoom)
ParameterBasis = Literal["published", "fitted", "common-practice", "own-judgement", "from-memory"]

Struct = TypeVar("Struct", bound=msgspec.Struct)


class Parameter(msgspec.Struct, frozen=True, kw_only=True):
    """One figure: its value, the range in which it may lie (null where nobody knows), and what it rests on."""

    id: str
    room: ParameterRoom
    subject: str
    name: str
    value: str
    unit: str
    low: float | None
    high: float | None
    basis: ParameterBasis
    sources: tuple[str, ...]
    note: str


class _Row(msgspec.Struct, frozen=True, kw_only=True):
    """A row of parameters/<room>.csv."""

    subject: str
    name: str
    value: str
    basis: ParameterBasis
    unit: str = ""
    low: float | None = None
    high: float | None = None
    sources: tuple[str, ...] = ()
    note: str = ""


@functools.cache
def parameters(room: ParameterRoom, directory: Path = TABLES) -> tuple[Parameter, ...]:
    """The figures of a room, in the order of its table. Raises TableError for a row that cannot be used."""
    path = _path(room, directory)
    found = []
    seen: set[str] = set()
    for line, row in enumerate(rows(path, _Row, ("sources",)), start=2):
        parameter_id = f"{room}.{row.subject}.{row.name}"
        if parameter_id in seen:
            raise TableError(f"parameters/{path.name}, line {line}, column name: {row.name!r} stands twice")
        seen.add(parameter_id)
        fields = {name: getattr(row, name) for name in row.__struct_fields__}
        found.append(Parameter(id=parameter_id, room=room, **fields))
    return tuple(found)


def all_parameters(directory: Path = TABLES) -> tuple[Parameter, ...]:
    """Every figure of every room, by id."""
    found = [one for room in ROOMS if _path(room, directory).exists() for one in parameters(room, directory)]
    return tuple(sorted(found, key=lambda one: one.id))


READ: dict[tuple[str, str], msgspec.Struct] = {}
"""The structs made so far, by room and subject: what a sweep moves, and what a check compares with the rows."""


def figures(room: ParameterRoom, subject: str, model: type[Struct]) -> Struct:
    """The figures of one subject as a struct with one field a row; several numbers in a cell are parted by ';'.

    Raises TableError for a row without its field, a field without its row, or a value of another type.
    """
    told: dict[str, object] = {
        one.name: tuple(one.value.split(";")) if ";" in one.value else one.value
        for one in parameters(room)
        if one.subject == subject
    }
    where = f"figures of {room}, subject {subject}"
    odd = sorted(set(told) ^ set(model.__struct_fields__))
    if odd:
        raise TableError(f"{where}: {', '.join(odd)} stand in the table or in {model.__name__}, not in both")
    try:
        made = msgspec.convert(told, model, strict=False)
    except msgspec.ValidationError as fault:
        raise TableError(f"{where}: {fault}") from fault
    READ[room, subject] = made
    return made


def _path(room: ParameterRoom, directory: Path) -> Path:
    """Where the figures of a room stand; those of the fruit lie beside the other tables of the fruit."""
    return directory / FRUIT / "figures.csv" if room == "fruit" else directory / "parameters" / f"{room}.csv"
