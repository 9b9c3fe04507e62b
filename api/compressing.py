"""Answers coded for the way (RFC 9110, section 8.4): zstd, br or gzip, as the caller accepts.

A library decides and codes. It does so where it is called, and a whole answer of some megabytes takes it tens of
milliseconds, in which the event loop would serve nobody; so large answers are coded on a thread. The levels are the
fast ones: bytes saved beyond them cost more time than they save on most ways.
"""

import asyncio
from typing import Any, cast

from starlette_compress import CompressMiddleware, add_compress_type

from api.asgi import App, Message, Receive, Scope, Send, header
from api.problems import MEDIA_TYPE
from api.settings import KIB
from api.tables_of_answers import TEXT_CSV

LEAST_BYTES = KIB
ON_A_THREAD_BYTES = 64 * KIB
_CODINGS = (b"zstd", b"br", b"gzip", b"*")
"""What a caller names who may be given a coded answer; for any other nothing is coded, and no thread asked for."""

add_compress_type(MEDIA_TYPE)
add_compress_type(TEXT_CSV)


def with_compression(app: App) -> App:
    """Code answers that are worth it. An entity tag that a coded answer may bear is told as weak.

    The same tag then stands for every coding of one answer, which a strong one may not (RFC 9110, section 8.8.3.3).
    """

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await app(scope, receive, send)
        told: list[Message] = []

        async def hold(message: Message) -> None:
            told.append(message)

        await app(scope, receive, hold)
        accepted = (header(scope, b"accept-encoding") or b"").lower()
        if accepted:
            told[0]["headers"] = [_weak(name, value) for name, value in told[0]["headers"]]
        size = sum(len(message.get("body", b"")) for message in told)
        dear = size > ON_A_THREAD_BYTES and any(coding in accepted for coding in _CODINGS)
        coded = await asyncio.to_thread(_coded, scope, told) if dear else _coded(scope, told)
        for message in coded:
            await send(message)

    return wrapped


def _weak(name: bytes, value: bytes) -> tuple[bytes, bytes]:
    return (name, b"W/" + value) if name == b"etag" and not value.startswith(b"W/") else (name, value)


def _coded(scope: Scope, told: list[Message]) -> list[Message]:
    """The messages of an answer as the library sends them on; nothing in it waits."""
    made: list[Message] = []

    async def tell(_: Scope, __: Receive, send: Send) -> None:
        for message in told:
            await send(message)

    async def take(message: Message) -> None:
        made.append(message)

    async def nothing() -> Message:
        return {"type": "http.disconnect"}

    library: Any = CompressMiddleware(
        cast(Any, tell), minimum_size=LEAST_BYTES, zstd_level=1, brotli_quality=1, gzip_level=1
    )
    steps = library(scope, nothing, take).__await__()
    for _ in steps:
        raise RuntimeError("coding an answer has to wait for nothing")
    return made
