"""Computations: resources that take a question by POST and answer it, without side effects."""

from collections.abc import Callable, Sequence
from typing import Any, TypeVar, get_type_hints

import msgspec
from litestar import Request, Response, post
from litestar.di import NamedDependency
from litestar.params import RawBody

from api import queries, strict_bodies
from api.advisor import Advisor
from api.answer_forms import Form, written
from api.operations import Example, Operation, Resource
from api.settings import KIB, Settings
from api.workers import Workers

LONG_BODY_BYTES = 32 * KIB
"""A longer body is read in the long line: reading records, or telling all that is wrong with it, takes a while."""

Asked = TypeVar("Asked", bound=msgspec.Struct)
Answer = msgspec.Raw | Response[bytes]
"""An answer in the form that goes out: JSON as it stands, or another form."""


def computation(
    path: str,
    compute: Callable[..., msgspec.Struct],
    *,
    operation_id: str,
    title: str,
    summary: str,
    tag: str,
    examples: tuple[str, ...],
    light: bool = False,
    apart: Callable[[Asked, Advisor], Sequence[Callable[[], object]]] | None = None,
    forms: tuple[Form, ...] = (),
) -> Resource:
    """The resource of a computation. Body, answer and words of the contract are those of the function `compute`.

    title: its line in the index. examples: names of example requests. light: it ends soon where the site is known, and
    then waits for nobody who asks for more. apart: the pieces of work that are done one by one before, so that others
    have their turn between; `compute` is given what they return. forms: of the answer beside JSON.
    """
    hints = get_type_hints(compute, include_extras=True)
    body_type: type[Asked] = hints["asked"]

    async def handle(
        request: Request[Any, Any, Any],
        body: RawBody,
        advisor: NamedDependency[Advisor],
        workers: NamedDependency[Workers],
    ) -> Any:
        queries.read(request, queries.NoQuery)

        settings: Settings = request.app.state.settings

        def read() -> Asked:
            return strict_bodies.read(request, body, body_type, settings)

        def answered(asked: Asked, *pieces: object) -> Answer:
            found = written(request.headers.get("accept"), forms, asked, lambda: compute(asked, advisor, *pieces))
            if found is None:
                return msgspec.Raw(msgspec.json.encode(compute(asked, advisor, *pieces)))
            media_type, text = found
            return Response(text.encode(), media_type=media_type)  # the framework names the charset of text

        def begun() -> tuple[Asked, bytes | None, Answer | None]:
            """What is asked, by what its site is known, and the answer where it is to be had soon."""
            asked = read()
            new = advisor.new_site(asked)
            return asked, new, answered(asked) if light and new is None else None

        if len(body) > LONG_BODY_BYTES:
            return await workers.long.run(lambda: answered(read()), request.receive)
        asked, new, answer = await workers.short.run(begun, request.receive)
        if answer is None and new is not None:
            answer = await workers.once(new, lambda: answered(asked), request.receive)
        pieces = await workers.short.run(lambda: apart(asked, advisor), request.receive) if apart else ()
        done = [await workers.long.run(one, request.receive) for one in pieces]
        if answer is None:
            line = workers.short if light else workers.long
            waited = new is not None or bool(done)
            answer = await line.run(
                lambda: answered(asked, *([done] if done else [])), request.receive, has_waited=waited
            )
        return answer

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
