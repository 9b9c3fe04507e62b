"""What whoever runs the service sees of each request: one line of the log, an id, and counts.

A line holds when, how urgent, what was asked by its route, what came of it and what it cost. It never holds a body or
an address as it was asked, since names of gardens and their owners may stand in both; of a place it holds the latitude
and longitude to a tenth of a degree, some ten kilometres.
"""

import json
import logging
import re
import time
import uuid
from collections.abc import Collection
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from api import metrics, shares
from api.asgi import App, Message, Receive, Scope, Send, header

TRACE_PARENT = re.compile(rb"(?!ff)[0-9a-f]{2}-(?!0{32})[0-9a-f]{32}-(?!0{16})[0-9a-f]{16}-[0-9a-f]{2}(-.*)?")
"""W3C Trace Context, section 3.2; members that a later version adds are let through."""
LONGEST_TRACE_STATE = 512

log = logging.getLogger("api.requests")


@dataclass
class Watched:
    """One request, as it goes through the service."""

    id: str
    method: str
    route: str
    started: float
    trace: str | None = None
    status: int = 0
    sent_bytes: int = 0
    computed_s: float = 0.0
    """Processor time of the threads that computed for it."""
    places: set[tuple[float, float]] = field(default_factory=set)


_CURRENT: ContextVar[Watched | None] = ContextVar("request", default=None)


def current() -> Watched | None:
    """The request that is being answered; None outside of one."""
    return _CURRENT.get()


def seen_place(latitude: float | None, longitude: float | None) -> None:
    """Remember for the log where a request asks of, rounded; at most a few places."""
    watched = _CURRENT.get()
    if watched is not None and latitude is not None and longitude is not None and len(watched.places) < 3:
        watched.places.add((round(latitude, 1), round(longitude, 1)))


def with_watching(app: App, routes: Collection[str]) -> App:
    """Give each request an id, count it, and write its line when it has ended. routes: as the contract names them."""
    routes = {re.sub(r":\w+}", "}", route) for route in routes}
    parents = {route.rsplit("/", 1)[0]: route for route in routes if route.endswith("}")}
    known = frozenset(route for route in routes if "{" not in route)

    def route_of(path: str) -> str:
        bare = path.rstrip("/") or "/"
        if bare in known:
            return bare
        return parents.get(bare.rsplit("/", 1)[0], "none")

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await app(scope, receive, send)
        watched = Watched(str(uuid.uuid4()), scope["method"], route_of(scope["path"]), time.perf_counter())
        answered = _trace(scope, watched)
        token = _CURRENT.set(watched)
        shares.own().add(under_way=1)

        async def counting(message: Message) -> None:
            if message["type"] == "http.response.start":
                watched.status = message["status"]
                message["headers"] = [*message["headers"], (b"request-id", watched.id.encode()), *answered]
            elif message["type"] == "http.response.body":
                watched.sent_bytes += len(message.get("body", b""))
            await send(message)

        try:
            await app(scope, receive, counting)
        finally:
            shares.own().add(under_way=-1)
            _CURRENT.reset(token)
            _tell(watched)

    return wrapped


def _trace(scope: Scope, watched: Watched) -> list[tuple[bytes, bytes]]:
    """The headers of a trace that the request belongs to, as they are passed through; one that is broken is dropped."""
    parent = header(scope, b"traceparent")
    if parent is None or not TRACE_PARENT.fullmatch(parent):
        return []
    watched.trace = parent[3:35].decode()
    state = header(scope, b"tracestate")
    passed = [(b"traceparent", parent)]
    return passed if state is None or len(state) > LONGEST_TRACE_STATE else [*passed, (b"tracestate", state)]


def _tell(watched: Watched) -> None:
    seconds = time.perf_counter() - watched.started
    metrics.count(watched.method, watched.route, watched.status, seconds, watched.computed_s)
    told: dict[str, Any] = {
        "id": watched.id,
        "method": watched.method,
        "route": watched.route,
        "status": watched.status or "left",
        "ms": round(1000 * seconds, 1),
        "cost_ms": round(1000 * watched.computed_s, 1),
        "bytes": watched.sent_bytes,
    }
    if watched.trace:
        told["trace"] = watched.trace
    if watched.places:
        told["places"] = sorted(watched.places)
    log.info("request", extra={"told": told})


class JsonLines(logging.Formatter):
    """One JSON object a line: time, level, who says it, the message, and what is told beside it."""

    def format(self, record: logging.LogRecord) -> str:
        """The line of a record; a traceback stands in one member of it."""
        line = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
            **getattr(record, "told", {}),
        }
        if record.exc_info:
            line["traceback"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=False)


LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"lines": {"()": "api.watching.JsonLines"}},
    "handlers": {"errors": {"class": "logging.StreamHandler", "formatter": "lines", "stream": "ext://sys.stderr"}},
    "loggers": {"uvicorn": {"level": "INFO"}, "api": {"level": "INFO"}},
    "root": {"handlers": ["errors"], "level": "WARNING"},
}
"""Everything to the error output, a line each."""
