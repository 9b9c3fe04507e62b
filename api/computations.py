"""Computations: resources that take a question by POST and answer it, without side effects."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar, get_type_hints

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
"""A longer body is read in the long line: reading records, or telling all that is wrong with it, takes a while. What
follows is done as for any other: equal new sites once, many sites apart.
"""

ITEMS_AT_A_TIME = 40
_ENCODER = msgspec.json.Encoder()

Asked = TypeVar("Asked", bound=msgspec.Struct)
Answer = msgspec.Raw | Response[bytes]
"""An answer in the form that goes out: JSON as it stands, or another form."""


def encoded(answer: msgspec.Struct) -> bytes:
    """The answer as `msgspec.json.encode` writes it, its long lists some items at a time: all cultivars are 5 MB, and
    the encoder lets no other thread go on before it has written all.
    """
    parts = {}
    for name in answer.__struct_fields__:
        items = getattr(answer, name)
        if isinstance(items, tuple) and len(items) > ITEMS_AT_A_TIME:
            written = bytearray()
            for first in range(0, len(items), ITEMS_AT_A_TIME):
                start = len(written)
                _ENCODER.encode_into(items[first : first + ITEMS_AT_A_TIME], written, -1)
                written[start : start + 1] = b"," if first else b"["
                written.pop()  # the bracket that closes the list is that of the last
            written += b"]"
            parts[name] = msgspec.Raw(written)
    return _ENCODER.encode(msgspec.structs.replace(answer, **parts) if parts else answer)


@dataclass(frozen=True)
class Begun(Generic[Asked]):
    """What is asked, by what its site is known where that is new, its pieces of work, and the answer where it is to be
    had at once.
    """

    asked: Asked
    new_site: bytes | None
    pieces: Sequence[Callable[[], object]]
    answer: Answer | None


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

        def answered(asked: Asked, *done: object) -> Answer:
            form = written(request.headers.get("accept"), forms, asked, lambda: compute(asked, advisor, *done))
            if form is None:
                told = encoded(compute(asked, advisor, *done))
                language = language_of(request.headers.get("accept-language"))
                if language == "en":
                    return msgspec.Raw(told)
                return Response(in_language(told, language), media_type=JSON, headers={"content-language": language})
            media_type, text = form
            return Response(text.encode(), media_type=media_type)  # the framework names the charset of text

        long = len(body) > LONG_BODY_BYTES

        def begun() -> Begun[Asked]:
            asked = strict_bodies.read(request, body, body_type, settings)
            new, pieces = advisor.new_site(asked), () if apart is None else apart(asked, advisor)
            soon = new is None and not pieces and (light or long)
            return Begun(asked, new, pieces, answered(asked) if soon else None)

        line = workers.long if long else workers.short
        found = await line.run(begun, request.receive)
        asked, answer = found.asked, found.answer
        if answer is None and found.new_site is not None:
            answer = await workers.once(found.new_site, lambda: answered(asked), request.receive, has_waited=long)
        pieces = [await workers.long.run(one, request.receive, has_waited=long) for one in found.pieces]
        if answer is None:
            line = workers.short if light and not long else workers.long
            has_waited = long or found.new_site is not None or bool(pieces)
            done = (pieces,) if pieces else ()
            answer = await line.run(lambda: answered(asked, *done), request.receive, has_waited=has_waited)
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
