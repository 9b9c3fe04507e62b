"""Computations: resources that take a question by POST and answer it, without side effects."""

from collections.abc import Callable
from typing import Any, TypeVar, get_type_hints

import msgspec
from litestar import Request, Response, post
from litestar.di import NamedDependency
from litestar.params import RawBody

from api import queries, strict_bodies
from api.advisor import Advisor
from api.answer_forms import JSON, Form, written
from api.languages import in_language, language_of
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
    compute: Callable[[Asked, Advisor], msgspec.Struct],
    *,
    operation_id: str,
    title: str,
    summary: str,
    tag: str,
    examples: tuple[str, ...],
    light: bool = False,
    forms: tuple[Form, ...] = (),
) -> Resource:
    """The resource of a computation. Body, answer and words of the contract are those of the function `compute`.

    title: its line in the index. examples: names of example requests. light: it ends soon where the site is known, and
    then waits for nobody who asks for more. forms: of the answer beside JSON.
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

        def answered(asked: Asked) -> Answer:
            found = written(request.headers.get("accept"), forms, asked, lambda: compute(asked, advisor))
            if found is None:
                told = msgspec.json.encode(compute(asked, advisor))
                language = language_of(request.headers.get("accept-language"))
                if language == "en":
                    return msgspec.Raw(told)
                return Response(in_language(told, language), media_type=JSON, headers={"content-language": language})
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
        held = [await workers.long.run(one, request.receive) for one in advisor.sites_apart(asked)]
        if answer is None:
            line = workers.short if light else workers.long
            answer = await line.run(lambda: answered(asked), request.receive, has_waited=new is not None or bool(held))
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
