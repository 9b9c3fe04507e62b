"""HEAD wherever GET is, entity tags, 304 for what a client already has, 412 (RFC 9110, sections 9.3.2 and 13).

A tag is a digest of the body. Answers are a function of the address, the program and the tables alone, so it changes
only when they do.
"""

import hashlib
from collections.abc import Iterable

from api.asgi import App, Headers, Message, Receive, Scope, Send, answer, header
from api.compressing import LEAST_BYTES
from api.frame import answer_problem
from api.problems import PRECONDITION_FAILED, problem


def with_head(app: App) -> App:
    """Serve HEAD by GET: the same status and headers, whatever is done to a body, and no body."""

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await app(scope, receive, send)
        bare = scope["method"] == "HEAD"

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = _with_head(message["headers"])
            elif bare and message["type"] == "http.response.body":
                message = {**message, "body": b""}
            await send(message)

        await app({**scope, "method": "GET"} if bare else scope, receive, sent)

    return wrapped


def with_conditional_requests(app: App) -> App:
    """Tag every good answer to GET that may be kept; 304 where the tag is known, 412 where another is demanded."""

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["method"] != "GET":
            return await app(scope, receive, send)
        held = _HeldAnswer()
        await app(scope, receive, held.collect)
        if held.status == 200 and held.may_be_kept:
            tag = b'"%s"' % hashlib.sha256(held.body).hexdigest()[:32].encode()
            held.headers.append((b"etag", tag))
            if not _demanded(header(scope, b"if-match"), tag):
                return await answer_problem(send, problem(PRECONDITION_FAILED, PRECONDITION_FAILED.meaning))
            if _known(header(scope, b"if-none-match"), tag):
                held.become_not_modified()
        await answer(send, held.status, held.headers, held.body)

    return wrapped


def _with_head(headers: Iterable[tuple[bytes, bytes]]) -> Headers:
    """The headers, with HEAD beside GET in ``Allow``, its methods in one order."""

    def methods(value: bytes) -> bytes:
        named = {method.strip() for method in value.split(b",")}
        return b", ".join(sorted(named | {b"HEAD"} if b"GET" in named else named))

    return [(name, methods(value) if name.lower() == b"allow" else value) for name, value in headers]


class _HeldAnswer:
    """An answer held back until its body is complete."""

    def __init__(self) -> None:
        self.status = 500
        self.headers: Headers = []
        self.body = b""

    async def collect(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.status = message["status"]
            self.headers = list(message["headers"])
        elif message["type"] == "http.response.body":
            self.body += message.get("body", b"")

    @property
    def may_be_kept(self) -> bool:
        return not any(name == b"cache-control" and b"no-store" in value for name, value in self.headers)

    def become_not_modified(self) -> None:
        may_be_coded = len(self.body) >= LEAST_BYTES
        self.status, self.body = 304, b""
        about_the_body = {b"content-length", b"content-type"}
        self.headers = [(name, value) for name, value in self.headers if name not in about_the_body]
        if may_be_coded:  # as the answer itself would say (RFC 9110, section 15.4.5)
            self.headers.append((b"vary", b"Accept-Encoding"))


def _demanded(if_match: bytes | None, tag: bytes) -> bool:
    """Strong comparison (RFC 9110, section 13.1.1)."""
    return if_match is None or if_match.strip() == b"*" or tag in {part.strip() for part in if_match.split(b",")}


def _known(if_none_match: bytes | None, tag: bytes) -> bool:
    """Weak comparison (RFC 9110, section 13.1.2)."""
    if if_none_match is None:
        return False
    listed = {part.strip().removeprefix(b"W/") for part in if_none_match.split(b",")}
    return b"*" in listed or tag in listed
