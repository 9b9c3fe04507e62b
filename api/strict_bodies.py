"""Bodies read strictly into msgspec structs, and when one does not fit, every fault of its shape at once.

msgspec stops at the first fault. So a body that it refuses is decoded once more without types and checked against
the JSON schema that msgspec makes of the same struct; good bodies never pay for that. The schema and the struct
accept the same documents: where JSON knows no difference (1.0 for 1), the struct is given the whole number.
"""

import difflib
import functools
import itertools
import json
import re
from collections.abc import Collection, Iterator
from typing import Any, TypeVar

import jsonschema_rs
import msgspec
from litestar import Request

from api import record_files
from api.forms import FORM, media_type
from api.problems import (
    BODY_TOO_LARGE,
    INVALID_SHAPE,
    MOST_FAULTS,
    NOT_JSON,
    UNSUPPORTED_MEDIA_TYPE,
    Fault,
    Refusal,
    counted,
)
from api.repeated_members import repeated_members
from api.settings import KIB, Settings
from domain.common.faults import pointer
from domain.site_climate.site import DAY_FORM, MONTH_DAY_FORM, SEEN_DAY_FORM

JSON = "application/json"
DEFAULTS = Settings()

_OR_A_FORM = f", or {FORM} with records as a file"
_MOST_TEXT = 60
_LIKE = 0.5
"""How like a known field, in shared letters, an unknown one is for that to be named."""
_FEW_FIELDS = 12
_MOST_ITEMS_EXPLAINED = (600, 24)
"""Of a list, and of a list inside a list: more than any list must have, or may have that is not of records."""
_MOST_MEMBERS_EXPLAINED = 400
"""Of an object: more than any struct has. Of one with more, the members that some struct knows are explained, and as
many others as faults are listed.
"""
_EXPLAINED_AT_ONCE_BYTES = 8 * KIB
"""A longer body is explained by so many items of each of its lists after each other, until there is enough to list. The
validator holds the interpreter until it has found everything: 400 ms for 300 trees that are wrong all through.
"""
_ITEMS_AT_A_TIME = 20
_CUT_OFF, _HALF_OF_A_PAIR = "Input data was truncated", re.compile(rb"\\u[dD][89a-bA-B]")
"""What the decoder says of a text that ends before it ends, and of one that ends with half of a pair."""
_HOLD_NAMES = {"properties", "$defs"}

T = TypeVar("T", bound=msgspec.Struct)


def read(request: Request[Any, Any, Any], body: bytes, model: type[T], bounds: Settings = DEFAULTS) -> T:
    """The body of a request as a struct. Raises Refusal: 415, then 413, then 400 for broken JSON, then 422.

    A request that asks of a site may also be a form, with records of its temperature as a file. Every fault of the
    shape is told at once. The larger bound of bodies holds for those that hold records.
    """
    content_type = ", ".join(request.headers.getall("content-type", []))  # two of them name none
    takes_file = record_files.takes_file(model)
    accepted = f"{JSON}, {FORM}" if takes_file else JSON
    _check_coding(request.headers.get("content-encoding", "identity"), accepted)
    if takes_file and record_files.is_form(content_type):
        content, records = record_files.read_form(content_type, body, bounds)
        return record_files.with_records(decoded(content, model, bounds), records)
    _check_content_type(content_type, accepted)
    return decoded(body, model, bounds)


def decoded(body: bytes, model: type[T], bounds: Settings = DEFAULTS) -> T:
    """A JSON document as a struct. Raises Refusal: 413, 400 for broken JSON, then 422 with every fault of its shape."""
    decoder: msgspec.json.Decoder[T] = _decoder(model)
    long = len(body) > bounds.body_bound_bytes
    try:
        found = decoder.decode(body)
    except (ValueError, RecursionError) as first:
        try:
            found = _explain(body, model, first, bounds if long else None)
        except (RecursionError, ValueError) as broken:
            if isinstance(broken, ValueError) and "Recursion limit" not in str(broken):
                raise  # the validator of the schema says by a ValueError that its own limit was reached
            raise Refusal(NOT_JSON, "The body is nested too deeply.") from broken
    if long and not record_files.holds_records(found):
        raise Refusal(BODY_TOO_LARGE, bounds.bounds_in_words)
    _check_repeated_members(body)
    return found


def _check_coding(header: str, accepted: str) -> None:
    if header.strip().lower() not in {"", "identity"}:
        raise Refusal(
            UNSUPPORTED_MEDIA_TYPE,
            f"Expected a body without content coding; it is “{header[:_MOST_TEXT]}”.",
            headers={"Accept-Encoding": "identity", "Accept-Post": accepted},
        )


def _check_content_type(header: str, accepted: str) -> None:
    kind, parameters = media_type(header)
    if kind == JSON and parameters.get("charset", "utf-8").lower() in {"utf-8", "utf8"}:
        return
    named = f"“{header[:_MOST_TEXT]}”" if header else "missing"
    raise Refusal(
        UNSUPPORTED_MEDIA_TYPE,
        f"Expected the content type {JSON} in UTF-8{_OR_A_FORM * (accepted != JSON)}; it is {named}.",
        headers={"Accept-Post": accepted},
    )


def _explain(body: bytes, model: type[T], first: Exception, bounds: Settings | None) -> T:
    """Refuse a body that the decoder did not take, in full; or take it, if it differs by whole numbers alone.

    bounds: given for a body above the smaller bound, which is refused for that where it names no records.
    """
    try:
        raw = _untyped(body)
    except Refusal:
        raw = None
        if bounds is None:
            raise
    if bounds is not None and not record_files.names_records(raw):
        raise Refusal(BODY_TOO_LARGE, bounds.bounds_in_words) from first
    faults = _all_faults(_shortened(raw, model), model, at_once=len(body) <= _EXPLAINED_AT_ONCE_BYTES)
    if not faults:
        try:
            return msgspec.convert(_whole_numbers(raw), model)
        except msgspec.ValidationError as still:
            first = still
    listed = sorted(set(faults), key=lambda fault: (fault.pointer or "", fault.detail))
    listed = listed or [_first_fault(str(first))]
    raise Refusal(INVALID_SHAPE, counted(listed), listed) from first


def _untyped(body: bytes) -> Any:
    if not body.strip():
        raise Refusal(NOT_JSON, "The body is empty; a JSON object was expected.")
    try:
        return msgspec.json.decode(body)
    except UnicodeDecodeError as broken:
        raise Refusal(NOT_JSON, f"The body is not UTF-8: byte {broken.start} of a text cannot be read.") from broken
    except msgspec.DecodeError as broken:
        why = str(broken).partition(" - at ")[0]  # of a body without types the place is told as `$[...]`
        if why == _CUT_OFF and _HALF_OF_A_PAIR.search(body):
            why += ", or half of a surrogate pair stands alone"
        raise Refusal(NOT_JSON, f"The body cannot be read: {why}.") from broken


def _check_repeated_members(body: bytes) -> None:
    """Refuse an object that names a member twice."""
    repeated = repeated_members(body)
    if repeated:
        named = ", ".join(f"“{name[:_MOST_TEXT]}”" for name in repeated[:MOST_FAULTS])
        raise Refusal(NOT_JSON, f"An object names a member twice: {named}.")


@functools.cache
def _decoder(model: type[T]) -> msgspec.json.Decoder[T]:
    return msgspec.json.Decoder(model)


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


def _all_faults(raw: Any, model: type[msgspec.Struct], at_once: bool) -> list[Fault]:
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


def _shortened(raw: Any, model: type[msgspec.Struct], lists_around: int = 0) -> Any:
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
        return {name: _shortened(raw[name], model, lists_around) for name in names}
    if isinstance(raw, list):
        kept = raw[: _MOST_ITEMS_EXPLAINED[min(lists_around, 1)]]
        return [_shortened(value, model, lists_around + 1) for value in kept]
    return raw


def _first_fault(told: str) -> Fault:
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


def _whole_numbers(raw: Any) -> Any:
    """The same document with 1.0 written as 1."""
    if isinstance(raw, dict):
        return {name: _whole_numbers(value) for name, value in raw.items()}
    if isinstance(raw, list):
        return [_whole_numbers(value) for value in raw]
    return int(raw) if isinstance(raw, float) and raw.is_integer() else raw


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
            yield Fault(pointer=pointer(*path, name[:_MOST_TEXT]), detail=_unknown(name[:_MOST_TEXT], known))
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
    return text if len(text) <= _MOST_TEXT else text[:_MOST_TEXT] + "…"
