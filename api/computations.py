"""Computations: resources that take a question by POST and answer it, without side effects."""

from collections.abc import Callable
from typing import Any, TypeVar, get_type_hints

import msgspec
from litestar import Request, Response, post
from litestar.di import NamedDependency
from litestar.params import RawBody

from api import queries, strict_bodies
from api.advisor import Advisor
from api.answer_forms import JSON, Form, chosen
from api.operations import Example, Operation, Resource
from api.workers import Workers

Asked = TypeVar("Asked", bound=msgspec.Struct)


def computation(
    path: str,
    compute: Callable[[Asked, Advisor], msgspec.Struct],
    *,
    operation_id: str,
    title: str,
    summary: str,
    tag: str,
    examples: tuple[str, ...],
    forms: tuple[Form, ...] = (),
) -> Resource:
    """The resource of a computation. Body, answer and words of the contract are those of the function `compute`.

    title: its line in the index. examples: names of example requests. forms: of the answer beside JSON.
    """
    hints = get_type_hints(compute, include_extras=True)
    body_type: type[Asked] = hints["asked"]
    by_type = {form.media_type: form for form in forms}

    async def handle(
        request: Request[Any, Any, Any],
        body: RawBody,
        advisor: NamedDependency[Advisor],
        workers: NamedDependency[Workers],
    ) -> Any:
        queries.read(request, queries.NoQuery)

        form = by_type.get(chosen(request.headers.get("accept"), (JSON, *by_type)) or JSON)

        def work() -> msgspec.Struct | Response[bytes]:
            asked = strict_bodies.read(request, body, body_type, request.app.state.settings)
            answered = compute(asked, advisor)
            if form is None:
                return answered
            return Response(form.write(asked, answered).encode(), media_type=f"{form.media_type}; charset=utf-8")

        return await workers.run(work, request.receive)

    handle.__doc__, handle.__name__ = compute.__doc__, compute.__name__
    handle.__annotations__["return"] = hints["return"]
    route = post(path, status_code=200, operation_id=operation_id, summary=summary, tags=[tag])
    operation = Operation(
        handler=route(handle),
        examples=tuple(Example(name, path) for name in examples),
        body=body_type,
        forms=forms,
    )
    return Resource(title, (operation,))
