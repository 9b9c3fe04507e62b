"""Bodies read strictly into msgspec structs, and when one does not fit, every fault of its shape at once.

msgspec stops at the first fault. So a body that it refuses is decoded once more without types and its faults are
looked for (body_faults.py); good bodies never pay for that. Where JSON knows no difference (1.0 for 1), the struct is
given the whole number.
"""

import codecs
import functools
import re
from typing import Any, TypeVar

import msgspec
from litestar import Request

from api import record_files
from api.body_faults import EXPLAINED_AT_ONCE_BYTES, MOST_TEXT, all_faults, first_fault, shortened
from api.forms import FORM, media_type
from api.problems import BODY_TOO_LARGE, INVALID_SHAPE, MOST_FAULTS, NOT_JSON, UNSUPPORTED_MEDIA_TYPE, Refusal, counted
from api.repeated_members import repeated_members
from api.settings import Settings

JSON = "application/json"
DEFAULTS = Settings()

_OR_A_FORM = f", or {FORM} with records as a file"
_CUT_OFF, _HALF_OF_A_PAIR = "Input data was truncated", re.compile(rb"\\u[dD][89a-bA-B]")
"""What the decoder says of a text that ends before it ends, and of one that ends with half of a pair."""
_MARKS = {
    codecs.BOM_UTF8: "The body begins with a byte order mark; UTF-8 without one was expected (RFC 8259, section 8.1).",
    codecs.BOM_UTF16_LE: "The body is UTF-16; UTF-8 was expected.",
    codecs.BOM_UTF16_BE: "The body is UTF-16; UTF-8 was expected.",
}
"""What is told of a body that begins with a mark of its encoding, as some editors and shells write one."""

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
            f"Expected a body without content coding; it is “{header[:MOST_TEXT]}”.",
            headers={"Accept-Encoding": "identity", "Accept-Post": accepted},
        )


def _check_content_type(header: str, accepted: str) -> None:
    kind, parameters = media_type(header)
    if kind == JSON and parameters.get("charset", "utf-8").lower() in {"utf-8", "utf8"}:
        return
    named = f"“{header[:MOST_TEXT]}”" if header else "missing"
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
    faults = all_faults(shortened(raw, model), model, at_once=len(body) <= EXPLAINED_AT_ONCE_BYTES)
    if not faults:
        try:
            return msgspec.convert(_whole_numbers(raw), model)
        except msgspec.ValidationError as still:
            first = still
    listed = sorted(set(faults), key=lambda fault: (fault.pointer or "", fault.detail))
    listed = listed or [first_fault(str(first))]
    raise Refusal(INVALID_SHAPE, counted(listed), listed) from first


def _untyped(body: bytes) -> Any:
    if not body.strip():
        raise Refusal(NOT_JSON, "The body is empty; a JSON object was expected.")
    for mark, told in _MARKS.items():
        if body.startswith(mark):
            raise Refusal(NOT_JSON, told)
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
        named = ", ".join(f"“{name[:MOST_TEXT]}”" for name in repeated[:MOST_FAULTS])
        raise Refusal(NOT_JSON, f"An object names a member twice: {named}.")


def _whole_numbers(raw: Any) -> Any:
    """The same document with 1.0 written as 1."""
    if isinstance(raw, dict):
        return {name: _whole_numbers(value) for name, value in raw.items()}
    if isinstance(raw, list):
        return [_whole_numbers(value) for value in raw]
    return int(raw) if isinstance(raw, float) and raw.is_integer() else raw


@functools.cache
def _decoder(model: type[T]) -> msgspec.json.Decoder[T]:
    return msgspec.json.Decoder(model)
