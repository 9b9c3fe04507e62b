"""Schemas written so that the common generators of clients read them, without a change of what they accept.

What generators trip over (`tests/clients` runs two): a list of fixed length told item by item with `items: false`; a
default, which makes a field that may be left out a required one of the type they write; and words on a branch of a
union, which they do not show at the field.
A component with a field of its own name (`Factor.factor`) becomes two variables of one name in a generated function.
"""

import json
import re
from collections.abc import Collection
from typing import Any

Document = dict[str, Any]

LEFT_OUT = "Left out, it is"
"""What stands before the default of a field."""


def plain(part: Any) -> Any:
    """The same part of a document: lists of one kind of item, no defaults, words beside the field they are of."""
    if isinstance(part, list):
        return [plain(item) for item in part]
    if not isinstance(part, dict):
        return part
    always = part.get("required", ())
    made = {key: _properties(value, always) if key == "properties" else plain(value) for key, value in part.items()}
    return _one_kind_of_item(made)


def _properties(fields: Any, always: Collection[str]) -> Any:
    """always: the fields that are never left out, and of which no default is told."""
    return {
        name: _words_at_the_field(_without_default(plain(field), told=name not in always))
        for name, field in fields.items()
    }


def _one_kind_of_item(schema: Document) -> Document:
    """`prefixItems` of equal schemas as `items`; the length stands beside it already."""
    items = schema.pop("prefixItems", None)
    if items is None:
        return schema
    different = [item for n, item in enumerate(items) if item not in items[:n]]
    return schema | {"items": different[0] if len(different) == 1 else {"anyOf": different}}


def _without_default(field: Any, told: bool) -> Any:
    """A default in words: as a member it makes the field a required one of generated types."""
    if not (isinstance(field, dict) and "default" in field):
        return field
    default = field["default"]
    kept = {key: value for key, value in field.items() if key != "default"}
    if not told or default in (None, [], ()) or isinstance(default, dict):  # the fields of an object tell their own
        return kept
    left_out = f"{LEFT_OUT} {json.dumps(default, ensure_ascii=False)}."
    return {"description": f"{_told(kept)} {left_out}".strip()} | {k: v for k, v in kept.items() if k != "description"}


def _told(field: Document) -> str:
    own = str(field.get("description", ""))
    return own or next((str(one["description"]) for one in field.get("anyOf", ()) if "description" in one), "")


def _words_at_the_field(field: Any) -> Any:
    if not isinstance(field, dict):
        return field
    if any(one.get("deprecated") for one in field.get("anyOf", ())):
        field = field | {"deprecated": True}
    told = _told(field)
    return {"description": told} | field if told and "description" not in field else field


def with_names_unlike_their_fields(document: Document) -> Document:
    """The whole document with `Told` after the name of every component that has a field of that name."""
    components = document["components"]["schemas"]
    renamed = {name: f"{name}Told" for name, one in components.items() if _snake(name) in one.get("properties", ())}
    schemas = {renamed.get(name, name): _retitled(one, renamed) for name, one in components.items()}
    made: Document = _rereferred(document | {"components": {"schemas": dict(sorted(schemas.items()))}}, renamed)
    return made


def _snake(name: str) -> str:
    return re.sub(r"(?<=[a-z0-9])(?=[A-Z])", "_", name).lower()


def _retitled(component: Document, renamed: dict[str, str]) -> Document:
    return component | {"title": renamed[component["title"]]} if component.get("title") in renamed else component


def _rereferred(part: Any, renamed: dict[str, str]) -> Any:
    if isinstance(part, list):
        return [_rereferred(item, renamed) for item in part]
    if not isinstance(part, dict):
        return _at_its_name(part, renamed) if isinstance(part, str) else part
    return {key: _rereferred(value, renamed) for key, value in part.items()}


def _at_its_name(text: str, renamed: dict[str, str]) -> str:
    before, found, name = text.rpartition("#/components/schemas/")
    return f"{found}{renamed[name]}" if found and not before and name in renamed else text
