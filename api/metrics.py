"""Counts and times of the service for a Prometheus server, at `/metrics`.

Several processes write theirs to files of one folder, whose name stands in the environment before the library is
imported; whichever is asked tells the sum of all.
"""

import os
from typing import cast

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, make_asgi_app
from prometheus_client.multiprocess import MultiProcessCollector, mark_process_dead
from prometheus_client.process_collector import ProcessCollector

from api.asgi import App, Receive, Scope, Send
from api.settings import COUNTS_FOLDER

ADDRESS = "/metrics"

_REGISTRY = CollectorRegistry()
_PREFIX = "siting_advisor"
_SECONDS = (0.001, 0.003, 0.01, 0.03, 0.1, 0.3, 1, 3, 10, 30)

_REQUESTS = Counter(f"{_PREFIX}_requests", "Requests ended.", ["method", "route", "status"], registry=_REGISTRY)
_LENGTH = Histogram(
    f"{_PREFIX}_request_seconds", "Time from a request to its answer.", ["route"], buckets=_SECONDS, registry=_REGISTRY
)
_COMPUTED = Counter(
    f"{_PREFIX}_computed_seconds", "Processor time of computing threads.", ["route"], registry=_REGISTRY
)
COMPUTING = Gauge(
    f"{_PREFIX}_computing", "Computations under way.", ["lane"], registry=_REGISTRY, multiprocess_mode="livesum"
)
WAITING = Gauge(
    f"{_PREFIX}_waiting", "Computations in the line.", ["lane"], registry=_REGISTRY, multiprocess_mode="livesum"
)
HELD_BYTES = Gauge(
    f"{_PREFIX}_held_body_bytes", "Bytes of bodies held.", registry=_REGISTRY, multiprocess_mode="livesum"
)
REMEMBERED = Gauge(
    f"{_PREFIX}_remembered_sites", "Sites in memory.", ["what"], registry=_REGISTRY, multiprocess_mode="livesum"
)
REMEMBERED_BYTES = Gauge(
    f"{_PREFIX}_remembered_bytes", "Bytes they hold.", ["what"], registry=_REGISTRY, multiprocess_mode="livesum"
)
_METHODS = frozenset({"GET", "HEAD", "POST", "OPTIONS"})

if COUNTS_FOLDER not in os.environ:
    ProcessCollector(registry=_REGISTRY)


def count(method: str, route: str, status: int, seconds: float, computed_s: float) -> None:
    """Count a request that has ended. status 0: the caller left before the answer began."""
    _REQUESTS.labels(method if method in _METHODS else "other", route, str(status or "left")).inc()
    _LENGTH.labels(route).observe(seconds)
    if computed_s:
        _COMPUTED.labels(route).inc(computed_s)


def forget(pid: int) -> None:
    """Count no longer what a process held that is gone; what it has done stays counted."""
    if COUNTS_FOLDER in os.environ:
        mark_process_dead(pid)  # type: ignore[no-untyped-call]  # the library tells no types of it


def with_metrics(app: App) -> App:
    """Tell the counts at their address, in the text form that the asker accepts."""
    registry = _REGISTRY
    if COUNTS_FOLDER in os.environ:
        registry = CollectorRegistry()
        MultiProcessCollector(registry)  # type: ignore[no-untyped-call]  # the library tells no types of it
    library = cast(App, make_asgi_app(registry))

    async def wrapped(scope: Scope, receive: Receive, send: Send) -> None:
        asked = scope["type"] == "http" and scope["path"] == ADDRESS and scope["method"] == "GET"
        await (library if asked else app)(scope, receive, send)

    return wrapped
