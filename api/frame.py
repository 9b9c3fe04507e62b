"""What is the same for every request, whatever resource it asks for: headers, bounds of bodies, forms of answers.

Each function wraps an ASGI application in another. They stand outside the framework, so that they hold for unknown
addresses and refused methods as well.
"""

import asyncio
import re
from collections.abc import Collection, Mapping, Sequence
from typing import Any
from urllib.parse import unquote

import msgspec

from api import record_files
from api.answer_forms import JSON, chosen
from api.asgi import BODY_NOT_READ, App, Headers, Message, Receive, Scope, Send, answer, header
from api.problems import (
    BAD_REQUEST,
    BODY_TOO_LARGE,
    HEADERS_TOO_LARGE,
    HTTP_VERSION,
    MEDIA_TYPE,
    NOT_ACCEPTABLE,
    Problem,
    internal_error,
    problem,
)
from api.settings import KIB, MOST_HEADER_BYTES, Settings

_EXPOSED = (
    "Allow, Content-Location, ETag, Link, Program-Version, RateLimit, RateLimit-Policy, Request-Id, Retry-After, "
    "Tables-Version, traceparent"
)
_SPOKEN = re.compile(r"1\.[0-9]|[23]")
"""Versions as a server tells them: of HTTP/1 as the request says, later ones by what the connection speaks."""
_SLASH_OF_A_NAME, _NO_PATH = re.compile("%2f", re.IGNORECASE), "\N{FRACTION SLASH}"
_DRAINED_BYTES = 64 * 1024 * KIB
_DRAINED_BYTES_A_SECOND = 16 * 1024 * KIB
_BETWEEN_PARTS_BYTES = 8 * KIB


async def answer_problem(send: Send, body: Problem, more: Collection[tuple[bytes, bytes]] = ()) -> None:
    """Answer a problem without the framework. more: headers beside those of its body."""
    content = msgspec.json.encode(body)
    headers = [(b"content-type", MEDIA_TYPE.encode()), (b"content-length", b"%d" % len(content)), *more]
    await answer(send, body.status, headers, content)


def with_headers(app: App, versions: dict[str, str]) -> App:
    """Add to every answer the versions and the headers for browsers; answer preflight requests (CORS).

    Any page may use the service: there are no accounts and no cookies to protect. A failure that nothing inside
    answered becomes a problem here.
    """
    everywhere: Headers = [
        (b"access-control-allow-origin", b"*"),
        (b"access-control-expose-headers", _EXPOSED.encode()),
        (b"content-language", b"en"),
        (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'"),
        (b"referrer-policy", b"no-referrer"),
        (b"x-content-type-options", b"nosniff"),
        *((f"{name}-version".encode(), version.encode()) for name, version in versions.items()),
    ]

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await app(scope, receive, send)
        started = False

        async def send_with_headers(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                own = {name.lower() for name, _ in message["headers"]}
                message["headers"] = [*message["headers"], *(one for one in everywhere if one[0] not in own)]
            await send(message)

        if scope["method"] == "OPTIONS" and header(scope, b"access-control-request-method"):
            return await _answer_preflight(send_with_headers)
        try:
            await app(scope, receive, send_with_headers)
        except Exception as error:
            if started:
                raise
            await answer_problem(send_with_headers, internal_error(error))

    return wrapped


def with_plain_targets(app: App) -> App:
    """Read every form of target (RFC 9112, section 3.2), and refuse what cannot be read for sure: a request of another
    major version of HTTP (RFC 9110, section 15.6.6), more than 32 KiB before the body (RFC 6585, section 5), and a body
    whose end can be read in two ways.

    A slash that belongs to a name (`%2F`) parts no path: it is shown as a slash that is none, which `asked_name` turns
    back. An absolute target is that of its path. `OPTIONS *` asks for the methods of the whole service. A body with
    both a length and a transfer coding is the mark of a request smuggled past a proxy (RFC 9112, section 6.3): refused,
    and the connection is closed.
    """

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await app(scope, receive, send)
        version = scope.get("http_version", "1.1")
        if not _SPOKEN.fullmatch(version):
            refused = problem(HTTP_VERSION, f"HTTP/{version} is not served; expected HTTP/1.1.")
            return await answer_problem(send, refused, [(b"connection", b"close")])
        if _size_before_body(scope) > MOST_HEADER_BYTES:
            refused = problem(HEADERS_TOO_LARGE, HEADERS_TOO_LARGE.meaning)
            return await answer_problem(send, refused, [(b"connection", b"close")])
        if header(scope, b"content-length") is not None and header(scope, b"transfer-encoding") is not None:
            refused = problem(BAD_REQUEST, "Expected `Content-Length` or `Transfer-Encoding`, not both.")
            return await answer_problem(send, refused, [(b"connection", b"close")])
        if scope["path"] == "*" and scope["method"] == "OPTIONS":
            return await answer(send, 204, [(b"allow", b"GET, HEAD, OPTIONS, POST")])
        absolute = re.fullmatch(r"https?://[^/]*(/.*)?", scope["path"], re.IGNORECASE | re.DOTALL)
        if absolute:
            path = absolute[1] or "/"
            scope = {**scope, "path": path, "raw_path": path.encode()}
        elif b"%2f" in (raw := scope.get("raw_path") or b"").lower():
            scope = {**scope, "path": unquote(_SLASH_OF_A_NAME.sub(_NO_PATH, raw.decode("latin-1")))}
        await app(scope, receive, send)

    return wrapped


def _size_before_body(scope: Scope) -> int:
    """Bytes that stood there at least, with what parts them: blanks around the value of a header are not told here."""
    line = f"{scope['method']}  HTTP/{scope.get('http_version', '1.1')}\r\n"
    query = scope.get("query_string") or b""
    return (
        len(line)
        + len(scope.get("raw_path") or b"")
        + len(query)
        + bool(query)
        + sum(len(name) + len(value) + len(":\r\n") for name, value in scope["headers"])
        + len("\r\n")
    )


def asked_name(scope: Mapping[str, Any], read: str) -> str:
    """A name that was read from the path, as it was asked: with the slashes that belong to it."""
    return read.replace(_NO_PATH, "/") if b"%2f" in (scope.get("raw_path") or b"").lower() else read


async def _answer_preflight(send: Send) -> None:
    headers = [
        (b"access-control-allow-methods", b"GET, HEAD, POST"),
        (b"access-control-allow-headers", b"content-type, if-match, if-none-match, traceparent, tracestate"),
        (b"access-control-max-age", b"86400"),
    ]
    await answer(send, 204, headers)


def with_accepted_forms(app: App, forms_at: Mapping[str, Sequence[str]]) -> App:
    """Refuse (406) a request that accepts none of the forms of its address; RFC 9110, section 12.5.1.

    forms_at: address -> the media types that it answers with; everywhere else that is JSON. Where there are several,
    the answer says that it varies with the header; what is computed varies with the language asked for too.
    """

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await app(scope, receive, send)
        offered = forms_at.get(scope["path"].rstrip("/"), (JSON,))
        varies = [b"Accept"] if len(offered) > 1 else []
        if scope["method"] == "POST":
            varies.append(b"Accept-Language")
        answering = varying(send, b", ".join(varies)) if varies else send
        accept = header(scope, b"accept")
        if accept and chosen(accept.decode("latin-1"), offered) is None:
            named = " or ".join(f"`{kind}`" for kind in offered)
            return await answer_problem(answering, problem(NOT_ACCEPTABLE, f"Expected `Accept` to take {named}."))
        await app(scope, receive, answering)

    return wrapped


def varying(send: Send, names: bytes = b"Accept") -> Send:
    """Say that the answer depends on these headers of the request."""

    async def wrapped(message: Message) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = [*message["headers"], (b"vary", names)]
        await send(message)

    return wrapped


def with_body_bounds(app: App, settings: Settings, records_at: Collection[str]) -> App:
    """Refuse (413) a body above the bound of its address before it is decoded.

    The larger bound holds at the addresses that read temperature records; that the body does hold some is looked at
    where it is decoded. A form may have both bounds together, since each holds for one of its parts. What is sent
    beyond a bound is read and thrown away, up to 64 MiB, since many clients read no answer before they have sent
    everything; but not as fast as it can come, since reading it takes time from others: all of it together no faster
    than one body alone.
    """
    drained = asyncio.Lock()
    of_form = settings.records_body_bound_bytes + settings.body_bound_bytes + _BETWEEN_PARTS_BYTES

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["method"] in BODY_NOT_READ:
            return await app(scope, receive, send)
        is_form = record_files.is_form((header(scope, b"content-type") or b"").decode("latin-1"))
        bound = settings.body_bound_bytes
        if scope["path"].rstrip("/") in records_at:
            bound = of_form if is_form else settings.records_body_bound_bytes
        told = header(scope, b"content-length") or b""
        told_too_large = told.isdigit() and int(told) > bound
        if header(scope, b"expect") and told_too_large:  # nothing is sent before it is asked for
            return await answer_problem(send, problem(BODY_TOO_LARGE, settings.bounds_in_words))
        chunks: list[bytes] = []
        size, more = 0, True
        while more and size <= _DRAINED_BYTES:
            message = await receive()
            if message["type"] != "http.request":
                return None  # the client has gone
            chunk, more = message.get("body", b""), message.get("more_body", False)
            size += len(chunk)
            if size <= bound and not told_too_large:
                chunks.append(chunk)
            elif more:
                chunks.clear()
                async with drained:
                    await asyncio.sleep(len(chunk) / _DRAINED_BYTES_A_SECOND)
        if size > bound or told_too_large:
            return await answer_problem(send, problem(BODY_TOO_LARGE, settings.bounds_in_words))
        await app(scope, _replayed(b"".join(chunks), receive), send)

    return wrapped


def _replayed(body: bytes, receive: Receive) -> Receive:
    """A channel that delivers the body already read, then what the server says next."""
    pending = [body]

    async def replayed() -> Message:
        if pending:
            return {"type": "http.request", "body": pending.pop(), "more_body": False}
        return await receive()

    return replayed
