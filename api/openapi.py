"""The contract, OpenAPI 3.1: made from the code, committed as ``openapi/openapi.json``, served as ``/openapi.json``.

Addresses, operation ids, summaries and tags come from the routes; what goes into an operation and what it refuses
from `OPERATIONS`; schemas of bodies and answers from msgspec, which states all that it checks; examples from
``examples/``.
"""

import copy
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args
from urllib.parse import parse_qsl, unquote, urlsplit

import msgspec
from litestar import Litestar
from litestar.handlers import HTTPRouteHandler

from api import problems, record_files
from api.forms import FORM
from api.problems import Problem, ProblemKind
from api.queries import NoQuery, repeatable

EXAMPLES = Path(__file__).parent.parent / "examples"

Document = dict[str, Any]

TITLE = "Variety-siting advisor"
DESCRIPTION = """\
What should I plant here? A site in, ranked planting lists of apples out, with the pollen sources of every tree.

Bodies are JSON objects in UTF-8, or forms with temperature records as a CSV file beside the JSON; unknown fields are
refused and text is never read as a number. Names of fields carry
their unit. Recurring dates are `MM-DD`, dates of a year `YYYY-MM-DD`. Every refusal is a problem document (RFC 9457)
that lists all faults with JSON pointers. Computations are POST requests without side effects: they are safe to
repeat, and equal requests to equal `versions` get equal answers. Enumerations in answers may grow."""

TAGS = {
    "advice": "Computations for a site.",
    "space": "Rootstocks, tree forms, plots, several cultivars on one trunk.",
    "cultivars": "The catalogue.",
    "sources": "The documents that the tables rest on.",
    "parameters": "The figures of the trade that decide advice, and what each rests on.",
    "service": "The service about itself.",
}


@dataclass(frozen=True)
class Example:
    """One example: the address asked, and the name of its files.

    ``examples/requests`` holds the bodies of POST requests, ``examples/answers`` what was answered.
    """

    name: str
    address: str


@dataclass(frozen=True)
class Operation:
    """What an operation takes and refuses, beside what its route says."""

    example: Example
    also: tuple[Example, ...] = ()
    """Further examples, of answers of another kind."""
    query: type[msgspec.Struct] = NoQuery
    body: type[msgspec.Struct] | None = None
    refuses: tuple[ProblemKind, ...] = ()
    """Kinds of problem beside those of every GET or POST."""

    @property
    def examples(self) -> tuple[Example, ...]:
        """All of them."""
        return (self.example, *self.also)


GET_REFUSES = (problems.INVALID_PARAMETERS, problems.NOT_ACCEPTABLE)
POST_REFUSES = (
    problems.NOT_JSON,
    problems.NOT_A_FORM,
    problems.INVALID_PARAMETERS,
    problems.NOT_ACCEPTABLE,
    problems.BODY_TOO_LARGE,
    problems.UNSUPPORTED_MEDIA_TYPE,
    problems.INVALID_SHAPE,
    problems.INVALID_CONTENT,
)


def document(app: Litestar, operations: dict[str, Operation]) -> Document:
    """The contract of an application whose routes have these operations."""
    made: Document = copy.deepcopy(app.openapi_schema.to_schema())
    handlers = dict(_handlers(app))
    if handlers.keys() != operations.keys():
        raise LookupError(f"Operations without a route or the other way round: {handlers.keys() ^ operations.keys()}")
    made["paths"] = {
        path: {
            method: _operation(path, told, operations[told["operationId"]], handlers[told["operationId"]])
            for method, told in methods.items()
        }
        for path, methods in sorted(made["paths"].items())
    }
    made["components"] = {"schemas": _schemas(operations, handlers)}
    made["tags"] = [{"name": name, "description": words} for name, words in TAGS.items()]
    return made


def encoded(contract: Document) -> bytes:
    """The bytes that are committed and served: indented, keys in the order of the document."""
    return msgspec.json.format(msgspec.json.encode(contract), indent=1) + b"\n"


def _handlers(app: Litestar) -> Iterator[tuple[str, HTTPRouteHandler]]:
    for route in app.routes:
        for handler in getattr(route, "route_handlers", ()):
            if isinstance(handler.operation_id, str) and handler.include_in_schema:
                yield handler.operation_id, handler


def _answer_types(handler: HTTPRouteHandler) -> tuple[type[msgspec.Struct], ...]:
    """The structs that a handler answers with, by themselves or inside a Response."""
    annotation: Any = handler.parsed_fn_signature.return_type.annotation
    return get_args(annotation) or (annotation,)


def _reference(*models: type[msgspec.Struct]) -> Document:
    """A reference to a component, or to any of several."""
    found = [{"$ref": f"#/components/schemas/{model.__name__}"} for model in models]
    return found[0] if len(found) == 1 else {"anyOf": found}


def _operation(path: str, told: Document, operation: Operation, handler: HTTPRouteHandler) -> Document:
    made = {key: told[key] for key in ("operationId", "summary", "description", "tags")}
    asked = _asked(path, operation.example.address)
    parameters = [_path_parameter(parameter, asked) for parameter in told.get("parameters", ())]
    parameters += list(_query_parameters(operation.query, asked))
    if parameters:
        made["parameters"] = parameters
    if operation.body is not None:
        content = {"schema": _reference(operation.body), **_examples("requests", operation)}
        made["requestBody"] = {"required": True, "content": {"application/json": content, **_form(operation.body)}}
    answered = {"schema": _reference(*_answer_types(handler)), **_examples("answers", operation)}
    made["responses"] = {
        "200": {"description": "The answer.", "content": {"application/json": answered}},
        **_refusals(operation),
    }
    return made


def _form(body: type[msgspec.Struct]) -> Document:
    """The body as a form with records as a file, where the request asks of a site."""
    if not record_files.takes_file(body):
        return {}
    file = {"type": "string", "contentMediaType": "text/csv", "description": record_files.DESCRIPTION}
    schema = {
        "type": "object",
        "properties": {record_files.REQUEST: _reference(body), record_files.RECORDS: file},
        "required": [record_files.REQUEST, record_files.RECORDS],
        "additionalProperties": False,
    }
    encoding = {name: {"contentType": kind} for name, kind in record_files.TYPES.items()}
    return {FORM: {"schema": schema, "encoding": encoding}}


def _asked(path: str, address: str) -> dict[str, str]:
    """The parameters in the address of an example."""
    asked = urlsplit(address)
    parts = zip(path.split("/"), asked.path.split("/"), strict=True)
    in_path = {part[1:-1]: unquote(value) for part, value in parts if part.startswith("{")}
    return in_path | dict(parse_qsl(asked.query))


def _refusals(operation: Operation) -> Document:
    by_status: dict[int, list[ProblemKind]] = {}
    standard = GET_REFUSES if operation.body is None else POST_REFUSES
    for kind in (*standard, *operation.refuses, problems.INTERNAL_ERROR):
        by_status.setdefault(kind.status, []).append(kind)
    return {
        str(status): {
            "description": " Or: ".join(f"{kind.title} (`{kind.uri}`)." for kind in kinds),
            "content": {problems.MEDIA_TYPE: {"schema": _reference(Problem)}},
        }
        for status, kinds in sorted(by_status.items())
    }


def _path_parameter(told: Document, asked: dict[str, str]) -> Document:
    name = told["name"]
    schema = {"type": "string", "minLength": 1}
    made = {"name": name, "in": "path", "required": True, "description": told["description"], "schema": schema}
    return {**made, "example": asked[name]}


def _query_parameters(model: type[msgspec.Struct], asked: dict[str, str]) -> Iterator[Document]:
    """One parameter for each field of a query struct; a list is given by repeating the parameter."""
    properties = msgspec.json.schema(model)["$defs"][model.__name__]["properties"]
    for field in sorted(msgspec.structs.fields(model), key=lambda field: field.name):
        given = properties[field.name]
        given = next((branch for branch in given.get("anyOf", ()) if branch.get("type") != "null"), given)
        given = {key: value for key, value in given.items() if not (key == "default" and value in (None, []))}
        made = {"name": field.name, "in": "query", "required": False, "description": given.pop("description", "")}
        if repeatable(field.type):
            made |= {"style": "form", "explode": True}
        made["schema"] = given
        if field.name in asked:
            text = asked[field.name]
            value = msgspec.convert([text] if repeatable(field.type) else text, field.type, strict=False)
            made["example"] = msgspec.to_builtins(value)
        yield made


def _examples(kind: str, operation: Operation) -> Document:
    paths = {example.name: EXAMPLES / kind / f"{example.name}.json" for example in operation.examples}
    found = {name: {"value": msgspec.json.decode(path.read_bytes())} for name, path in paths.items() if path.exists()}
    return {"examples": found} if found else {}


def _schemas(operations: dict[str, Operation], handlers: dict[str, HTTPRouteHandler]) -> Document:
    bodies = [operation.body for operation in operations.values() if operation.body is not None]
    answers = [answer for handler in handlers.values() for answer in _answer_types(handler)]
    _, components = msgspec.json.schema_components(
        [*bodies, *answers, Problem], ref_template="#/components/schemas/{name}"
    )
    asked = set(_reached(components, [body.__name__ for body in bodies]))
    for name, component in components.items():
        if name not in asked and name not in {Problem.__name__, problems.Fault.__name__}:
            component["required"] = list(component.get("properties", ()))  # answers leave no field out
    return dict(sorted(components.items()))


def _reached(components: Document, names: list[str]) -> Iterator[str]:
    """The names of the components that these lead to, themselves included."""
    seen: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            yield name
            waiting += [reference.rsplit("/", 1)[1] for reference in references(components[name])]


def references(part: Any) -> Iterator[str]:
    """Every ``$ref`` inside a part of a document."""
    if isinstance(part, dict):
        for key, value in part.items():
            if key == "$ref":
                yield value
            else:
                yield from references(value)
    elif isinstance(part, list):
        for value in part:
            yield from references(value)
