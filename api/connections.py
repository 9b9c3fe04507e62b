"""Connections: how long a caller may take to say what is asked, and how many may be open at once.

The server itself keeps a connection that has sent nothing, or half of the lines before a body, as long as the caller
likes. Here such a connection is closed after a time, one past the bound is answered and closed at once, and what cannot
be read as HTTP is answered by a problem document like every other refusal.
"""

import asyncio
import functools
import re
import socket
import sys
from collections.abc import Callable
from typing import Any

import h11
import msgspec
from uvicorn.protocols.http.h11_impl import H11Protocol

from api import shares
from api.problems import (
    BAD_REQUEST,
    HEADERS_TOO_LARGE,
    MEDIA_TYPE,
    REQUEST_TIMEOUT,
    RETRY_AFTER_S,
    SERVICE_BUSY,
    ProblemKind,
    problem,
)
from api.settings import MOST_HEADER_BYTES, Settings, from_environment

LAST_WORDS_S = 1.0
"""How long an idle connection stays open when the service stops, for a request that is already on its way."""

BODY_BROKEN = "The body breaks the grammar of HTTP: each chunk begins with its length in hexadecimal digits."
_EMPTY_LINES = re.compile(rb"\A(?:\r\n)+")


@functools.cache
def _settings() -> Settings:
    return from_environment()


class BoundedProtocol(H11Protocol):
    """HTTP/1.1 by h11, with a bound on open connections and on the time until a request is said.

    The server makes one for each connection, in each process, so the settings are those of the environment.
    """

    _too_slow: asyncio.TimerHandle | None = None
    _stopping = False
    on_first_request: Callable[[], None] | None = None
    """What is called once a request of this connection has begun, and counts for itself."""

    def __init__(self, *told: Any, **named: Any) -> None:
        super().__init__(*told, **named)
        self._settings = _settings()

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]  # as the server has it
        """Take a connection, or refuse it past the bound."""
        super().connection_made(transport)
        shares.own().add(connections=1)
        _without_delay(transport)
        if len(self.connections) > self._settings.connections:
            self._refuse(SERVICE_BUSY, "As many connections are open as may be.", f"{RETRY_AFTER_S}")
            return
        self._await_request()

    def data_received(self, data: bytes) -> None:
        """Read what has come; the time for a request begins with its first byte."""
        if self._too_slow is None and self._at_rest():
            self._await_request()
        # No more at once of what stands before a body than may stand there: else its bound would hold for what comes in
        # parts alone, since what has come whole is read without it.
        room = max(MOST_HEADER_BYTES + 1 - len(self.conn.trailing_data[0]), 1) if self._at_rest() else len(data)
        for part in (data[:room], data[room:]):
            if part and not self.transport.is_closing():
                super().data_received(part)
        if not self._at_rest():
            self._request_came()

    def handle_events(self) -> None:
        """Begin what has come whole."""
        if self._at_rest() and self.conn.their_state is h11.IDLE and self._passes_over_empty_lines():
            return
        super().handle_events()
        if not self._at_rest():
            self._request_came()
            if self.on_first_request is not None:
                self.loop.call_soon(self.on_first_request)  # after the request, whose task stands in the line already
                self.on_first_request = None
            if self._stopping:
                self.cycle.keep_alive = False

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget it."""
        shares.own().add(connections=-1)
        self._request_came()
        super().connection_lost(exc)

    def send_400_response(self, msg: str) -> None:
        """Refuse what is no HTTP, or too long before its body; the server calls it as it handles the error."""
        too_large = getattr(sys.exception(), "error_status_hint", BAD_REQUEST.status) == HEADERS_TOO_LARGE.status
        kind = HEADERS_TOO_LARGE if too_large else BAD_REQUEST
        self._refuse(kind, kind.meaning if self._at_rest() else BODY_BROKEN)

    def shutdown(self) -> None:
        """Let what is asked be answered; a request that is on its way over an idle connection is still taken."""
        if not self._at_rest():
            self.cycle.keep_alive = False
            return
        self._stopping = True
        self._request_came()
        self.loop.call_later(LAST_WORDS_S, self._close_at_rest)

    def _passes_over_empty_lines(self) -> bool:
        """Leave out empty lines before a request (RFC 9112, section 2.2), which h11 refuses; whether no more has come.

        What h11 was given cannot be taken back: another of it, which begins as this one would, is given the rest.
        """
        came = self.conn.trailing_data[0]
        if came.startswith(b"\r\n"):
            came = _EMPTY_LINES.sub(b"", came)
            self.conn = h11.Connection(h11.SERVER, MOST_HEADER_BYTES)
            if came:  # nothing at all would mean the end
                self.conn.receive_data(came)
        return came in {b"", b"\r"}

    def _at_rest(self) -> bool:
        return self.cycle is None or self.cycle.response_complete

    def _close_at_rest(self) -> None:
        if self._at_rest() and not self.transport.is_closing():
            super().shutdown()

    def _await_request(self) -> None:
        self._too_slow = self.loop.call_later(self._settings.headers_timeout_s, self._give_up)

    def _request_came(self) -> None:
        if self._too_slow is not None:
            self._too_slow.cancel()
            self._too_slow = None

    def _give_up(self) -> None:
        self._too_slow = None
        if self.transport.is_closing() or not self._at_rest():
            return
        if self.conn.trailing_data[0] and self.conn.our_state is h11.IDLE:
            detail = f"The lines before the body took longer than {self._settings.headers_timeout_s} seconds."
            self._refuse(REQUEST_TIMEOUT, detail)
        else:
            self.transport.close()

    def _refuse(self, kind: ProblemKind, detail: str, retry_after: str = "") -> None:
        """Answer without a request, or to one that cannot be read, and close."""
        self._request_came()
        body = msgspec.json.encode(problem(kind, detail))
        lines = [
            f"HTTP/1.1 {kind.status} {kind.title}",
            f"content-type: {MEDIA_TYPE}",
            f"content-length: {len(body)}",
            "access-control-allow-origin: *",
            "connection: close",
            *([f"retry-after: {retry_after}", "access-control-expose-headers: Retry-After"] if retry_after else []),
        ]
        self.transport.write("\r\n".join([*lines, "", ""]).encode() + body)
        self.transport.close()


def _without_delay(transport: asyncio.Transport) -> None:
    """Send each part of an answer at once: an answer leaves in two writes, and the second would wait 40 ms."""
    connection: Any = transport.get_extra_info("socket")
    if connection is not None and connection.family in {socket.AF_INET, socket.AF_INET6}:
        connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
