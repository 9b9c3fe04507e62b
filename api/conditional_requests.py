"""HEAD wherever GET is, entity tags, and 304 for what a client already has (RFC 9110, sections 9.3.2 and 13).

A tag is a digest of the body. Answers are a function of the address, the program and the tables alone, so it changes
only when they do.
"""

import hashlib

from api.asgi import App, Headers, Message, Receive, Scope, Send, answer, header


def with_conditional_requests(app: App) -> App:
    """Serve HEAD by GET, tag every good answer that may be kept, and answer 304 where the tag is known."""

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["method"] not in {"GET", "HEAD"}:
            return await app(scope, receive, send)
        held = _HeldAnswer()
        await app({**scope, "method": "GET"}, receive, held.collect)
        if held.status == 200 and held.may_be_kept:
            tag = b'"%s"' % hashlib.sha256(held.body).hexdigest()[:32].encode()
            held.headers.append((b"etag", tag))
            if _known(header(scope, b"if-none-match"), tag):
                held.become_not_modified()
        await answer(send, held.status, held.headers, b"" if scope["method"] == "HEAD" else held.body)

    return wrapped


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
        self.status, self.body = 304, b""
        about_the_body = {b"content-length", b"content-type"}
        self.headers = [(name, value) for name, value in self.headers if name not in about_the_body]


def _known(if_none_match: bytes | None, tag: bytes) -> bool:
    """Weak comparison (RFC 9110, section 13.1.2)."""
    if if_none_match is None:
        return False
    listed = {part.strip().removeprefix(b"W/") for part in if_none_match.split(b",")}
    return b"*" in listed or tag in listed
