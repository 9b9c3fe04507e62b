"""Every fault of the shape of a document, in our words: what a JSON schema finds, or the first that the decoder tells.

The schema is the one that msgspec makes of the struct of a request: both accept the same documents.
"""

import difflib
import functools
import itertools
import json
import re
from collections.abc import Collection, Iterator
from typing import Any

import jsonschema_rs
import msgspec

from api.problems import MOST_FAULTS, Fault
from api.settings import KIB
from domain.common.faults import pointer
from domain.site_climate.site import DAY_FORM, MONTH_DAY_FORM, SEEN_DAY_FORM

MOST_TEXT = 60
_LIKE = 0.5
"""How like a known field, in shared letters, an unknown one is for that to be named."""
_FEW_FIELDS = 12
_MOST_ITEMS_EXPLAINED = (600, 24)
"""Of a list, and of a list inside a list: more than any list must have, or may have that is not of records."""
_MOST_MEMBERS_EXPLAINED = 400
"""Of an object: more than any struct has. Of one with more, the members that some struct knows are explained, and as
many others as faults are listed.
"""
EXPLAINED_AT_ONCE_BYTES = 8 * KIB
"""A longer body is explained by so many items of each of its lists after each other, until there is enough to list. The
validator holds the interpreter until it has found everything: 400 ms for 300 trees that are wrong all through.
"""
_ITEMS_AT_A_TIME = 20
_HOLD_NAMES = {"properties", "$defs"}


@functools.cache
def _validator(model: type[msgspec.Struct]) -> jsonschema_rs.Draft202012Validator:
    return jsonschema_rs.Draft202012Validator(msgspec.json.schema(model))


@functools.cache
def _validator_around_lists(model: type[msgspec.Struct]) -> jsonschema_rs.Draft202012Validator:
    """That of the same schema, as far as it does not look into lists."""

    def without_items(part: Any, names: bool = False) -> Any:
        """names: the members of this part are names, of properties or of structs, and no words of a schema."""
        if isinstance(part, dict):
            return {
                name: without_items(one, not names and name in _HOLD_NAMES)
                for name, one in part.items()
                if names or name not in {"items", "prefixItems"}
            }
        return [without_items(one) for one in part] if isinstance(part, list) else part

    return jsonschema_rs.Draft202012Validator(without_items(msgspec.json.schema(model)))


def all_faults(raw: Any, model: type[msgspec.Struct], at_once: bool) -> list[Fault]:
    """The faults of a document; of a long one as many as are listed, or more."""
    if at_once:
        return [fault for error in _validator(model).iter_errors(raw) for fault in _faults(error, model)]
    found = [fault for error in _validator_around_lists(model).iter_errors(raw) for fault in _faults(error, model)]
    for first in range(0, _longest(raw), _ITEMS_AT_A_TIME):
        if len(found) > MOST_FAULTS:
            break
        for error in _validator(model).iter_errors(_part(raw, slice(first, first + _ITEMS_AT_A_TIME))):
            found += _faults(error, model, first)
    return found


def _longest(raw: Any) -> int:
    """The length of the longest list that stands in no other."""
    if isinstance(raw, dict):
        return max((_longest(value) for value in raw.values()), default=0)
    return len(raw) if isinstance(raw, list) else 0


def _part(raw: Any, items: slice) -> Any:
    """The document with these items of its lists alone, as far as they stand in no other list."""
    if isinstance(raw, dict):
        return {name: _part(value, items) for name, value in raw.items()}
    return raw[items] if isinstance(raw, list) else raw


@functools.cache
def _known_members(model: type[msgspec.Struct]) -> frozenset[str]:
    """The names of members that the schema of a struct knows, wherever."""
    return frozenset(name for names in _fields(model).values() for name in names)


def shortened(raw: Any, model: type[msgspec.Struct], lists_around: int = 0) -> Any:
    """The same document with the far ends of its long lists left out, and of objects with very many members those that
    would not be listed, so that explaining a body costs little: the validator lets no other thread go on meanwhile.

    Where the only faults lie there, the first of them is told in the words of the decoder.
    """
    if isinstance(raw, dict):
        names: Collection[str] = raw
        if len(raw) > _MOST_MEMBERS_EXPLAINED:
            known = _known_members(model)
            unknown = (name for name in raw if name not in known)
            names = [*sorted(known & raw.keys()), *itertools.islice(unknown, MOST_FAULTS + 1)]
        return {name: shortened(raw[name], model, lists_around) for name in names}
    if isinstance(raw, list):
        kept = raw[: _MOST_ITEMS_EXPLAINED[min(lists_around, 1)]]
        return [shortened(value, model, lists_around + 1) for value in kept]
    return raw


def first_fault(told: str) -> Fault:
    """The fault that the decoder tells, as ``Expected `float`, got `str` - at `$.site.tmin_c[7]```, in our words."""
    words, _, path = told.partition(" - at `$")
    parts = re.findall(r"\.([^.\[`]+)|\[(\d+)\]", path)
    for name, meant in _DECODER_TYPES.items():
        words = words.replace(f"`{name}`", meant)
    bound = re.fullmatch(r"Expected (.+?) (of length )?([<>]=?) ([-0-9.e+]+)", words)
    if bound:
        kind, of_length, sign, limit = bound.groups()
        unit = {"a list": " items", "text": " characters"}.get(kind, "") if of_length else ""
        words = f"Expected {_SIGNS[sign]} {limit}{unit}"
    words = words.replace(" | ", " or ").replace(", got ", "; got ")
    return Fault(pointer=pointer(*(name or index for name, index in parts)), detail=f"{words.rstrip('.')}.")


def _faults(
    error: jsonschema_rs.ValidationError, model: type[msgspec.Struct], first: int | None = None
) -> Iterator[Fault]:
    """One error of the schema as faults in our words; of a union, the faults of the branch that was meant.

    first: given where only a part of each list was looked at, the place of its first item; what lies in no item is told
    without it.
    """
    kind, path = error.kind, error.instance_path
    if isinstance(kind, jsonschema_rs.ValidationErrorKind.AnyOf):
        if tags := _unknown_tags(kind.context, error):
            options = (one.kind.options for one in tags if isinstance(one.kind, jsonschema_rs.ValidationErrorKind.Enum))
            allowed = ", ".join(_shown(option) for few in options for option in few)
            for fault in _faults(tags[0], model, first):
                yield msgspec.structs.replace(
                    fault, detail=f"Expected one of {allowed}; got {_shown(tags[0].instance)}."
                )
            return
        for inner in _meant(kind.context, error.instance):
            yield from _faults(inner, model, first)
        return
    if first is not None:
        items = [(place, part) for place, part in enumerate(path) if isinstance(part, int)]
        if not items:
            return
        place, part = items[0]
        path = [*path[:place], part + first, *path[place + 1 :]]
    if isinstance(kind, jsonschema_rs.ValidationErrorKind.AdditionalProperties):
        for name in kind.unexpected:
            known = _fields(model).get(str(error.schema_path[-2]), ())
            yield Fault(pointer=pointer(*path, name[:MOST_TEXT]), detail=_unknown(name[:MOST_TEXT], known))
    elif isinstance(kind, jsonschema_rs.ValidationErrorKind.Required):
        yield Fault(pointer=pointer(*path, kind.property), detail="This field is missing.")
    elif not isinstance(kind, jsonschema_rs.ValidationErrorKind.FalseSchema):  # an item too many: the list is told
        yield Fault(pointer=pointer(*path), detail=_expected(kind, error.instance))


@functools.cache
def _fields(model: type[msgspec.Struct]) -> dict[str, tuple[str, ...]]:
    """The fields of each struct that a struct's schema names, by its name."""
    _, definitions = msgspec.json.schema_components([model])
    return {name: tuple(told.get("properties", ())) for name, told in definitions.items()}


@functools.lru_cache(maxsize=1024)
def _unknown(name: str, known: tuple[str, ...]) -> str:
    """What is told of a field that is none of those known there: the one that is likest, or all where they are few.
    Kept, since what is wrong is mostly wrong in every item of a list.
    """
    like = difflib.get_close_matches(name, known, n=1, cutoff=_LIKE)
    if like:
        return f"No such field is known here; “{like[0]}” is."
    if 0 < len(known) <= _FEW_FIELDS:
        return f"No such field is known here; known are {', '.join(known)}."
    return "No such field is known here."


def _unknown_tags(
    branches: list[list[jsonschema_rs.ValidationError]], union: jsonschema_rs.ValidationError
) -> list[jsonschema_rs.ValidationError]:
    """What each struct of a union says of the tag of an object that is none of them; nothing where it is one of them.

    Then no other member of the object tells anything.
    """
    kinds, depth = jsonschema_rs.ValidationErrorKind, len(union.instance_path)
    if not isinstance(union.instance, dict):
        return []
    structs = [
        branch
        for branch in branches
        if not any(isinstance(error.kind, kinds.Type) and len(error.instance_path) == depth for error in branch)
    ]
    tags = [
        error
        for branch in structs
        for error in branch
        if isinstance(error.kind, kinds.Enum) and len(error.instance_path) == depth + 1
    ]
    return tags if 1 < len(structs) == len(tags) else []


def _meant(branches: list[list[jsonschema_rs.ValidationError]], instance: Any) -> list[jsonschema_rs.ValidationError]:
    """The errors of the branch that comes nearest to the instance: its type fits, and its tag if it has one."""

    def distance(branch: list[jsonschema_rs.ValidationError]) -> tuple[int, int]:
        own = [error for error in branch if len(error.instance_path) == shortest]
        wrong_type = any(isinstance(error.kind, jsonschema_rs.ValidationErrorKind.Type) for error in own)
        wrong_tag = any(isinstance(error.kind, jsonschema_rs.ValidationErrorKind.Enum) for error in branch)
        return wrong_type, wrong_tag

    shortest = min(len(error.instance_path) for branch in branches for error in branch)
    if instance is None:
        return branches[0]
    return min(branches, key=distance)


_SIGNS = {"<=": "at most", ">=": "at least", "<": "less than", ">": "more than"}
_FORMS = {
    MONTH_DAY_FORM: "a date MM-DD, month and day, such as 04-20",
    DAY_FORM: "a date YYYY-MM-DD such as 2024-04-25",
    SEEN_DAY_FORM: "a date YYYY-MM-DD from 1900 to 2199, such as 2024-04-25",
}
_TYPES = {
    "array": "a list",
    "boolean": "true or false",
    "integer": "a whole number",
    "null": "null",
    "number": "a number",
    "object": "an object",
    "string": "text",
}
_DECODER_TYPES = {
    "array": "a list",
    "bool": "true or false",
    "int": "a whole number",
    "float | null": "a number or null",
    "float": "a number",
    "null": "null",
    "object": "an object",
    "str": "text",
}


def _expected(kind: Any, instance: Any) -> str:
    """What was expected, in words, and what was there as far as it is short."""
    kinds = jsonschema_rs.ValidationErrorKind
    match kind:
        case kinds.Type():
            expected = " or ".join(_TYPES[name] for name in kind.types)
        case kinds.Enum():
            expected = "one of " + ", ".join(_shown(option) for option in kind.options)
        case kinds.Minimum():
            expected = f"at least {kind.limit}"
        case kinds.Maximum():
            expected = f"at most {kind.limit}"
        case kinds.ExclusiveMinimum():
            expected = f"more than {kind.limit}"
        case kinds.ExclusiveMaximum():
            expected = f"less than {kind.limit}"
        case kinds.MinItems():
            expected = f"at least {kind.limit} item{'s' * (kind.limit != 1)}"
        case kinds.MaxItems():
            expected = f"at most {kind.limit} items"
        case kinds.MinLength():
            expected = f"at least {kind.limit} character{'s' * (kind.limit != 1)}"
        case kinds.MaxLength():
            expected = f"at most {kind.limit} characters"
        case kinds.Pattern():
            expected = _FORMS.get(kind.pattern, f"text of the form {kind.pattern}")
        case _:
            expected = f"what the contract says of {kind.name}"
    return f"Expected {expected}; got {_shown(instance)}."


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list):
        return f"a list of {len(value)}" + " or more" * (len(value) in _MOST_ITEMS_EXPLAINED)
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= MOST_TEXT else text[:MOST_TEXT] + "…"
