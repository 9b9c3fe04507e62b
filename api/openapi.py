"""The contract, OpenAPI 3.1: made from the code, committed as ``openapi/openapi.json``, served as ``/openapi.json``.

All that stands in it comes from the list of resources: addresses, operation ids, summaries, tags and words from their
routes, what goes into an operation and what it refuses from the operation. Schemas of bodies and answers come from
msgspec, which states all that it checks; examples from ``examples/``.
"""

import copy
import inspect
from collections.abc import Collection, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

import msgspec
from litestar import Litestar

from api import problems, record_files
from api.enumerations import with_named_enumerations, with_names
from api.field_words import with_field_words
from api.forms import FORM
from api.operations import Operation
from api.plain_schemas import plain, with_names_unlike_their_fields
from api.problems import Problem, ProblemKind
from api.queries import repeatable
from api.sets_of_tables import with_sets_of_tables

EXAMPLES = Path(__file__).parent.parent / "examples"

Document = dict[str, Any]

TITLE = "Variety-siting advisor"
DESCRIPTION = """\
What should I plant here? A site in, ranked planting lists of apples out, with the pollen sources of every tree.

Bodies are JSON objects in UTF-8, or forms with temperature records as a CSV file beside the JSON; unknown fields are
refused and text is never read as a number. Names of fields carry their unit. Recurring dates are `MM-DD`, dates of a
year `YYYY-MM-DD`. Every refusal is a problem document (RFC 9457) that lists all faults with JSON pointers.
Computations are POST requests without side effects: they are safe to repeat, and equal requests to equal `versions`
get equal answers.

Ids of cultivars, rootstocks, tree forms and sources stay; one whose item is gone answers 404 and is never given to
another. Fields of answers, words of their enumerations and optional fields of requests may be added at any time: pass
over what you do not know. From version 1.0 on nothing that callers rest on is taken away within `/v1`, and what is to
go with the next is marked `deprecated` for six months; before it, a minor version may change names, and tells each."""

TAGS = {
    "advice": "Computations for a site.",
    "space": "Rootstocks, tree forms, plots, several cultivars on one trunk.",
    "cultivars": "The catalogue.",
    "sources": "The documents that the tables rest on.",
    "parameters": "The figures of the trade that decide advice, and what each rests on.",
    "words": "What the codes of the answers say.",
    "service": "The service about itself.",
}

LANGUAGE: Document = {
    "name": "Accept-Language",
    "in": "header",
    "required": False,
    "description": "Languages of the sentences, the best first: `en`, or `de` in the JSON answers to POST. What is in "
    "no other language, the words of problems and of other forms among it, is in English. `Content-Language` of the "
    "answer says which.",
    "schema": {"type": "string"},
    "example": "de",
}

GET_REFUSES = (
    problems.INVALID_PARAMETERS,
    problems.NOT_ACCEPTABLE,
    problems.PRECONDITION_FAILED,
    problems.TOO_MANY_REQUESTS,
)
POST_REFUSES = (
    problems.NOT_JSON,
    problems.NOT_A_FORM,
    problems.INVALID_PARAMETERS,
    problems.NOT_ACCEPTABLE,
    problems.REQUEST_TIMEOUT,
    problems.BODY_TOO_LARGE,
    problems.TOO_MANY_REQUESTS,
    problems.UNSUPPORTED_MEDIA_TYPE,
    problems.INVALID_SHAPE,
    problems.INVALID_CONTENT,
    problems.SERVICE_BUSY,
)


def document(app: Litestar, operations: dict[str, Operation]) -> Document:
    """The contract of an application that has these operations."""
    made: Document = copy.deepcopy(app.openapi_schema.to_schema())
    made["paths"] = {
        path: {method: _operation(path, told, operations[told["operationId"]]) for method, told in methods.items()}
        for path, methods in sorted(made["paths"].items())
    }
    components = with_named_enumerations(with_sets_of_tables(with_field_words(plain(_schemas(operations.values())))))
    made["paths"] = with_names(made["paths"], components)
    made["components"] = {"schemas": dict(sorted(components.items()))}
    made = with_names_unlike_their_fields(made)
    made["security"] = []
    made["tags"] = [{"name": name, "description": words} for name, words in TAGS.items()]
    cleaned: Document = with_clean_descriptions(made)
    return cleaned


def with_clean_descriptions(part: Any) -> Any:
    """The document with the indentation of every description taken out: libraries differ in what they leave of it."""
    if isinstance(part, dict):
        return {
            key: inspect.cleandoc(value)
            if key == "description" and isinstance(value, str)
            else with_clean_descriptions(value)
            for key, value in part.items()
        }
    return [with_clean_descriptions(item) for item in part] if isinstance(part, list) else part


def encoded(contract: Document) -> bytes:
    """The bytes that are committed and served: indented, keys in the order of the document."""
    return msgspec.json.format(msgspec.json.encode(contract), indent=1) + b"\n"


def _reference(*models: type[msgspec.Struct]) -> Document:
    """A reference to a component, or to any of several, told apart by their tag."""
    found = {_tag(model): f"#/components/schemas/{model.__name__}" for model in models}
    references = [{"$ref": reference} for reference in found.values()]
    if len(references) == 1:
        return references[0]
    return {
        "anyOf": references,
        "discriminator": {"propertyName": models[0].__struct_config__.tag_field, "mapping": found},
    }


def _tag(model: type[msgspec.Struct]) -> str:
    return str(model.__struct_config__.tag)


def _operation(path: str, told: Document, operation: Operation) -> Document:
    made = {key: told[key] for key in ("operationId", "summary", "description", "tags")}
    in_path, in_query = _asked(path, operation.examples[0].address)
    parameters = [_path_parameter(name, operation.in_path, value) for name, value in in_path.items()]
    parameters += list(_query_parameters(operation.query, in_query))
    if operation.body is not None:
        parameters.append(LANGUAGE)
    if parameters:
        made["parameters"] = parameters
    if operation.body is not None:
        content = {"schema": _reference(operation.body), **_examples("requests", operation)}
        made["requestBody"] = {"required": True, "content": {"application/json": content, **_form(operation)}}
    answered = {"schema": _reference(*operation.answers), **_examples("answers", operation)}
    made["responses"] = {
        "200": {"description": "The answer.", "content": {"application/json": answered, **_forms(operation)}},
        **_refusals(operation),
    }
    return made


def _forms(operation: Operation) -> Document:
    """The forms of the answer beside JSON."""
    return {
        form.media_type: {"schema": {"type": "string", "description": form.description}} for form in operation.forms
    }


def _form(operation: Operation) -> Document:
    """The body as a form with records as a file, where the request asks of a site."""
    body = operation.body
    if body is None or not operation.takes_records:
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


def _asked(path: str, address: str) -> tuple[dict[str, str], dict[str, str]]:
    """The parameters in the address of an example: those of its path, and those of its query."""
    asked = urlsplit(address)
    parts = zip(path.split("/"), asked.path.split("/"), strict=True)
    in_path = {part[1:-1]: unquote(value) for part, value in parts if part.startswith("{")}
    return in_path, dict(parse_qsl(asked.query))


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


def _path_parameter(name: str, description: str, asked: str) -> Document:
    schema = {"type": "string", "minLength": 1}
    made = {"name": name, "in": "path", "required": True, "description": description, "schema": schema}
    return {**made, "example": asked}


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


def _schemas(operations: Collection[Operation]) -> Document:
    bodies = [operation.body for operation in operations if operation.body is not None]
    answers = [answer for operation in operations for answer in operation.answers]
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
