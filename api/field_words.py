"""What each field of the contract means, where the struct that holds it does not say so itself.

`field_words.csv` has a row for each name of a field, and further rows for components in which the name means something
else. A test holds every field described and every row used.
"""

import csv
import functools
from pathlib import Path
from typing import Any

Document = dict[str, Any]

TABLE = Path(__file__).parent / "field_words.csv"


@functools.cache
def field_words() -> dict[tuple[str, str], str]:
    """Words by field and component; the component is empty where they hold wherever the name stands."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return {(row["field"], row["component"]): row["words"] for row in csv.DictReader(file)}


def with_field_words(components: Document) -> Document:
    """The components with words beside every field that has none of its own."""
    return {name: _told(name, one) if "properties" in one else one for name, one in components.items()}


def _told(name: str, component: Document) -> Document:
    table = field_words()
    fields = {}
    for field, schema in component["properties"].items():
        words = table.get((field, name), table.get((field, "")))
        fields[field] = schema if "description" in schema or words is None else {"description": words} | schema
    return component | {"properties": fields}
