"""The types of ASGI 3 as its specification states them: a scope and messages are mappings."""

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

Headers = list[tuple[bytes, bytes]]

BODY_NOT_READ = frozenset({"GET", "HEAD", "OPTIONS"})
"""Methods whose requests ask nothing in a body: one that comes is left where it is."""


def header(scope: Scope, name: bytes) -> bytes | None:
    """The values of one request header (lower case) joined by commas, or None."""
    values = [value for key, value in scope["headers"] if key.lower() == name]
    return b", ".join(values) if values else None


async def answer(send: Send, status: int, headers: Headers, body: bytes = b"") -> None:
    """Send a whole answer."""
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body, "more_body": False})
