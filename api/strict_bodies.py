"""Bodies read strictly into msgspec structs, and when one does not fit, every fault of its shape at once.

msgspec stops at the first fault. So a body that it refuses is decoded once more without types and checked against
the JSON schema that msgspec makes of the same struct; good bodies never pay for that. The schema and the struct
accept the same documents: where JSON knows no difference (1.0 for 1), the struct is given the whole number.
"""

import functools
import json
import re
from collections.abc import Iterator
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
from api.settings import Settings
from domain.common.faults import pointer
from domain.site_climate.site import DAY_FORM, MONTH_DAY_FORM, SEEN_DAY_FORM

JSON = "application/json"
DEFAULTS = Settings()

_OR_A_FORM = f", or {FORM} with records as a file"
_MOST_TEXT = 60
_MOST_ITEMS_EXPLAINED = (600, 24)
"""Of a list, and of a list inside a list: more than any list must have, or may have that is not of records."""

T = TypeVar("T", bound=msgspec.Struct)


def read(request: Request[Any, Any, Any], body: bytes, model: type[T], bounds: Settings = DEFAULTS) -> T:
    """The body of a request as a struct. Raises Refusal: 415, then 413, then 400 for broken JSON, then 422.

    A request that asks of a site may also be a form, with records of its temperature as a file. Every fault of the
    shape is told at once. The larger bound of bodies holds for those that hold records.
    """
    content_type = request.headers.get("content-type", "")
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
    faults = [fault for error in _validator(model).iter_errors(_shortened(raw)) for fault in _faults(error)]
    if not faults:
        try:
            return msgspec.convert(_whole_numbers(raw), model)
        except msgspec.ValidationError as still:
            first = still
    listed = sorted(set(faults), key=lambda fault: (fault.pointer or "", fault.detail))
    listed = listed or [_first_fault(str(first))]
    raise Refusal(INVALID_SHAPE, counted(listed), listed) from first


def _untyped(body: bytes) -> Any:
    if not body:
        raise Refusal(NOT_JSON, "The body is empty; a JSON object was expected.")
    try:
        return msgspec.json.decode(body)
    except UnicodeDecodeError as broken:
        raise Refusal(NOT_JSON, f"The body is not UTF-8: byte {broken.start} of a text cannot be read.") from broken
    except msgspec.DecodeError as broken:
        raise Refusal(NOT_JSON, f"The body cannot be read: {broken}.") from broken


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


def _shortened(raw: Any, lists_around: int = 0) -> Any:
    """The same document with the far ends of its long lists left out, so that explaining a body costs little.

    Where the only faults lie there, the first of them is told in the words of the decoder.
    """
    if isinstance(raw, dict):
        return {name: _shortened(value, lists_around) for name, value in raw.items()}
    if isinstance(raw, list):
        kept = raw[: _MOST_ITEMS_EXPLAINED[min(lists_around, 1)]]
        return [_shortened(value, lists_around + 1) for value in kept]
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


def _faults(error: jsonschema_rs.ValidationError) -> Iterator[Fault]:
    """One error of the schema as faults in our words; of a union, the faults of the branch that was meant."""
    kind, path = error.kind, error.instance_path
    if isinstance(kind, jsonschema_rs.ValidationErrorKind.AnyOf):
        for inner in _meant(kind.context, error.instance):
            yield from _faults(inner)
    elif isinstance(kind, jsonschema_rs.ValidationErrorKind.AdditionalProperties):
        for name in kind.unexpected:
            yield Fault(pointer=pointer(*path, name[:_MOST_TEXT]), detail="No such field is known here.")
    elif isinstance(kind, jsonschema_rs.ValidationErrorKind.Required):
        yield Fault(pointer=pointer(*path, kind.property), detail="This field is missing.")
    elif not isinstance(kind, jsonschema_rs.ValidationErrorKind.FalseSchema):  # an item too many: the list is told
        yield Fault(pointer=pointer(*path), detail=_expected(kind, error.instance))


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
