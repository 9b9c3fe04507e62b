"""What each field of the contract means, where the struct that holds it does not say so itself.

`field_words.csv` has a row for each name of a field, and further rows for components in which the name means something
else. What a struct says of a field in the text below it is brought there by ``python -m api.field_words``, since the
program reads no sources when it starts. A test holds every field described, every row used, and both texts the same.
"""

import ast
import csv
import functools
import inspect
import json
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

from api.plain_schemas import LEFT_OUT

Document = dict[str, Any]

_NAMED_SO = {"SetBackTold", "ResourceTold"}
"""Structs whose own name ends in the word that the contract puts after others."""
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
        own = schema.get("description", "")
        if words is not None and (not own or own.startswith(LEFT_OUT)):  # a default alone says not what the field is
            fields[field] = {"description": ""} | schema | {"description": f"{words} {own}".strip()}
        else:
            fields[field] = schema
    return component | {"properties": fields}


def of_the_structs() -> dict[tuple[str, str], str]:
    """What structs say of a field in the text below it, by field and name of the struct; read from the sources."""
    own: dict[str, dict[str, str]] = {}
    bases: dict[str, list[str]] = {}
    top = TABLE.parent.parent
    for path in sorted([*(top / "api").rglob("*.py"), *(top / "domain").rglob("*.py")]):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ClassDef):
                bases[node.name] = [base.id for base in node.bases if isinstance(base, ast.Name)]
                own[node.name] = dict(_said_below(node))
    found: dict[tuple[str, str], str] = {}
    for name in own:
        waiting, told = [name], dict[str, str]()
        while waiting:
            one = waiting.pop(0)
            told = own.get(one, {}) | told  # what stands nearer counts
            waiting += [base for base in bases.get(one, ()) if base != one]
        found |= {(field, name): words for field, words in told.items()}
    return found


def _said_below(node: ast.ClassDef) -> Iterator[tuple[str, str]]:
    for field, below in pairwise(node.body):
        if (
            isinstance(field, ast.AnnAssign)
            and isinstance(field.target, ast.Name)
            and isinstance(below, ast.Expr)
            and isinstance(below.value, ast.Constant)
            and isinstance(below.value.value, str)
        ):
            yield field.target.id, " ".join(inspect.cleandoc(below.value.value).split())


def main() -> None:
    """Write what the structs say of their fields into the table: ``python -m api.field_words``."""
    contract = json.loads((TABLE.parent.parent / "openapi" / "openapi.json").read_bytes())
    fields = {
        (field, name.removesuffix("Told") if name not in _NAMED_SO else name)
        for name, one in contract["components"]["schemas"].items()
        for field in one.get("properties", ())
    }
    kept = {key: words for key, words in field_words().items() if key in fields or not key[1]}
    table = kept | {key: words for key, words in of_the_structs().items() if key in fields}
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("field", "component", "words"))
        writer.writerows((*key, words) for key, words in sorted(table.items()))
    print(f"{len(table)} rows in {TABLE.name}; now `python -m api.contract`.")


if __name__ == "__main__":
    main()
