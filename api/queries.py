"""Query parameters read strictly into a msgspec struct: unknown and repeated ones are refused, all faults at once.

A parameter that may be repeated is a tuple in the struct. Values are text in an address, so numbers and
``true`` / ``false`` are read from text here, and only here.
"""

import types
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

import msgspec
from litestar import Request

from api.problems import INVALID_PARAMETERS, Fault, Refusal, counted

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
        except (msgspec.ValidationError, LookupError) as wrong:
            detail = str(wrong.args[0]).removesuffix(".").split(" - at `")[0]
            faults.append(Fault(detail=f"{detail}.", parameter=name[:60], location="query"))
    if faults:
        raise Refusal(INVALID_PARAMETERS, counted(faults), faults)
    return model(**values)


def _value(name: str, texts: list[str], hints: dict[str, Any]) -> Any:
    if name not in hints:
        raise LookupError("No such parameter is known here; known are " + ", ".join(sorted(hints)))
    if repeatable(hints[name]):
        return msgspec.convert(texts, hints[name], strict=False)
    if len(texts) > 1:
        raise LookupError("Expected once; it is given more than once")
    if texts == ["null"]:
        raise LookupError("Expected a value; leave the parameter out instead")
    return msgspec.convert(texts[0], hints[name], strict=False)


def repeatable(hint: Any) -> bool:
    """Whether a parameter of this type may be given more than once."""
    if get_origin(hint) in {types.UnionType}:
        return any(repeatable(part) for part in get_args(hint))
    origin = get_origin(hint)
    return origin is tuple or (hasattr(hint, "__metadata__") and repeatable(get_args(hint)[0]))
