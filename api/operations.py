"""What a resource is: what it is for, and the operations on it.

Routes, the index at ``/``, the contract, the examples and the bounds of bodies are all made from one list of these,
`api.resources.RESOURCES`.
"""

from dataclasses import dataclass
from typing import get_args

import msgspec
from litestar.handlers import HTTPRouteHandler

from api import record_files
from api.answer_forms import JSON, Form
from api.problems import ProblemKind
from api.queries import NoQuery


@dataclass(frozen=True)
class Example:
    """One example: the address asked, and the name of its files.

    ``examples/requests`` holds the bodies of POST requests, ``examples/answers`` what was answered.
    """

    name: str
    address: str


@dataclass(frozen=True, kw_only=True)
class Operation:
    """One method at one address: its route, what it takes and what it refuses."""

    handler: HTTPRouteHandler
    examples: tuple[Example, ...] = ()
    """The first is that of the parameters; further ones are of answers of another kind."""
    query: type[msgspec.Struct] = NoQuery
    body: type[msgspec.Struct] | None = None
    in_path: str = ""
    """What the parameter of the address is, where it has one."""
    refuses: tuple[ProblemKind, ...] = ()
    """Kinds of problem beside those of every GET or POST."""
    forms: tuple[Form, ...] = ()
    """Forms of its answer beside JSON."""

    @property
    def id(self) -> str:
        """The name of the operation in the contract."""
        return str(self.handler.operation_id)

    @property
    def path(self) -> str:
        """The address, its parameter in braces."""
        return min(self.handler.paths)

    @property
    def media_types(self) -> tuple[str, ...]:
        """The media types of its answer, JSON first."""
        return (JSON, *(form.media_type for form in self.forms))

    @property
    def takes_records(self) -> bool:
        """Whether its body may hold temperature records, so that the larger bound of bodies holds."""
        return self.body is not None and record_files.takes_file(self.body)

    @property
    def answers(self) -> tuple[type[msgspec.Struct], ...]:
        """The structs that it answers with, by themselves or inside a Response."""
        answered = self.handler.parsed_fn_signature.return_type.annotation
        return get_args(answered) or (answered,)


@dataclass(frozen=True)
class Resource:
    """A resource of the service; the first of its operations is at its own address."""

    title: str
    operations: tuple[Operation, ...]
    kept: bool = False
    """Whether clients may keep its answers for a while."""

    @property
    def href(self) -> str:
        """Where it is."""
        return self.operations[0].path

    @property
    def methods(self) -> tuple[str, ...]:
        """What may be done there, beside HEAD and OPTIONS."""
        return tuple(sorted({str(method) for method in self.operations[0].handler.http_methods}))
