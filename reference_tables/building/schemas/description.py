"""How a table is described: its columns, what a cell may hold, and the Table Schema made of it."""

from dataclasses import dataclass, field
from typing import Literal

ColumnType = Literal["string", "number", "integer"]


@dataclass(frozen=True)
class Column:
    """One column: what it means, its unit, and what a cell may hold. `refers_to` is ``table.column``."""

    name: str
    meaning: str
    example: str
    type: ColumnType = "string"
    unit: str = ""
    required: bool = False
    enum: tuple[str, ...] = ()
    pattern: str = ""
    minimum: float | None = None
    maximum: float | None = None
    refers_to: str = ""
    separator: str = ""
    """Where a cell holds several values, what stands between them."""


@dataclass(frozen=True)
class Table:
    """One table: its path below reference_tables without ``.csv``, its columns, and the columns that name a row."""

    path: str
    title: str
    columns: tuple[Column, ...]
    key: tuple[str, ...] = ()
    ordered: tuple[tuple[str, str], ...] = field(default=())
    """Pairs of number columns of which the first is never above the second."""


def descriptor(table: Table) -> dict[str, object]:
    """The Table Schema of a table (Frictionless Data: Table Schema, version 2)."""
    schema: dict[str, object] = {
        "$schema": "https://datapackage.org/profiles/2.0/tableschema.json",
        "title": table.title,
        "fields": [_field(column) for column in table.columns],
        "missingValues": [""],
    }
    if table.key:
        schema["primaryKey"] = list(table.key)
    references = [column for column in table.columns if column.refers_to and not column.separator]
    if references:
        schema["foreignKeys"] = [
            {
                "fields": [column.name],
                "reference": {
                    "resource": column.refers_to.partition(".")[0],
                    "fields": [column.refers_to.partition(".")[2]],
                },
            }
            for column in references
        ]
    return schema


def _field(column: Column) -> dict[str, object]:
    constraints: dict[str, object] = {}
    if column.required:
        constraints["required"] = True
    if column.enum:
        constraints["enum"] = list(column.enum)
    if column.pattern:
        constraints["pattern"] = column.pattern
    if column.minimum is not None:
        constraints["minimum"] = column.minimum
    if column.maximum is not None:
        constraints["maximum"] = column.maximum
    described: dict[str, object] = {"name": column.name, "type": column.type, "description": column.meaning}
    if column.unit:
        described["unit"] = column.unit
    return described | {"example": column.example} | ({"constraints": constraints} if constraints else {})
