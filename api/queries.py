"""Query parameters read strictly into a msgspec struct: unknown and repeated ones are refused, all faults at once.

A parameter that may be repeated is a tuple in the struct. Values are text in an address, so numbers and
``true`` / ``false`` are read from text here, and only here.
"""

import json
import math
import types
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

import msgspec
from litestar import Request

from api.problems import INVALID_PARAMETERS, Fault, Refusal, counted

_LONGEST_SHOWN = 60
_WORDS = {
    "`bool`": "true or false",
    "`float`": "a number",
    "`int`": "a whole number",
    "`str`": "text",
    "`array`": "fewer or more values",
}

T = TypeVar("T", bound=msgspec.Struct)


class NoQuery(msgspec.Struct, frozen=True):
    """The query of a resource that takes no parameters."""


def read(request: Request[Any, Any, Any], model: type[T]) -> T:
    """The query of a request as a struct. Raises Refusal (400) with every fault of every parameter."""
    given = request.query_params
    hints = get_type_hints(model, include_extras=True)
    values: dict[str, Any] = {}
    faults: list[Fault] = []
    for name in sorted(given.keys()):
        try:
            values[name] = _value(name, given.getall(name), hints)
        except ValueError as wrong:
            faults.append(Fault(detail=str(wrong), parameter=name[:_LONGEST_SHOWN], location="query"))
    if faults:
        raise Refusal(INVALID_PARAMETERS, counted(faults), faults)
    return model(**values)


def repeatable(hint: Any) -> bool:
    """Whether a parameter of this type may be given more than once."""
    return get_origin(_bare(hint)) is tuple


def _value(name: str, texts: list[str], hints: dict[str, Any]) -> Any:
    if name not in hints:
        known = ", ".join(sorted(hints)) or "none"
        raise ValueError(f"No such parameter is known here; known are: {known}.")
    hint = _present(hints[name])
    if not repeatable(hint) and len(texts) > 1:
        raise ValueError("Expected once; it is given more than once.")
    try:
        value = msgspec.convert(texts if repeatable(hint) else texts[0], hint, strict=False)
    except msgspec.ValidationError as wrong:
        raise ValueError(f"{_expected(hint, str(wrong))} Got {_shown(texts)}.") from wrong
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError(f"Expected a number. Got {_shown(texts)}.")
    return value


def _expected(hint: Any, told: str) -> str:
    options = _options(hint)
    if options:
        return f"Expected one of {', '.join(options)}."
    words = told.split(" - at `", maxsplit=1)[0].split(", got ", maxsplit=1)[0]
    for name, meant in _WORDS.items():
        words = words.replace(name, meant)
    return f"{words}."


def _shown(texts: list[str]) -> str:
    text = json.dumps(texts[0] if len(texts) == 1 else texts, ensure_ascii=False)
    return text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + "…"


def _present(hint: Any) -> Any:
    """The type of a parameter that is given: a union without its None."""
    if get_origin(hint) in {Union, types.UnionType}:
        return next(part for part in get_args(hint) if part is not type(None))
    return hint


def _bare(hint: Any) -> Any:
    """A type without its annotations."""
    present = _present(hint)
    return _bare(get_args(present)[0]) if hasattr(present, "__metadata__") else present


def _options(hint: Any) -> tuple[str, ...]:
    """The texts of an enumeration, or of the items of a list of them."""
    bare = _bare(hint)
    if get_origin(bare) is Literal:
        return tuple(str(option) for option in get_args(bare))
    return _options(get_args(bare)[0]) if get_origin(bare) is tuple else ()
