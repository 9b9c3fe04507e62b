"""What every column of every reference table means: the one place from which schemas, package and checks are made."""

from reference_tables.building.schemas import cultivars, fruits, parameters, reading, rules, space, witnesses, words
from reference_tables.building.schemas.description import Column, Table, descriptor

__all__ = ["TABLES", "Column", "Table", "descriptor"]

TABLES: tuple[Table, ...] = (
    *fruits.TABLES,
    *cultivars.TABLES,
    *witnesses.TABLES,
    *space.TABLES,
    *rules.TABLES,
    *parameters.TABLES,
    *words.TABLES,
    *reading.TABLES,
)
"""Every table, one that is referred to before those that refer to it."""
