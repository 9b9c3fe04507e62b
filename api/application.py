"""The application: routes, what frames them, and the contract they make."""

import functools
import gc
import threading
from typing import cast

import msgspec
from litestar import Litestar, Router
from litestar.datastructures import CacheControlHeader, State
from litestar.di import Provide
from litestar.handlers import HTTPRouteHandler
from litestar.openapi import OpenAPIConfig
from litestar.openapi.plugins import JsonRenderPlugin

from api import metrics, openapi, problems
from api.advisor import Advisor
from api.arrivals import with_patience
from api.asgi import App
from api.compressing import with_compression
from api.conditional_requests import with_conditional_requests, with_head
from api.docs_page import docs_page
from api.frame import with_accepted_forms, with_body_bounds, with_headers, with_plain_targets
from api.giving_way import counting_short
from api.metrics import with_metrics
from api.rate_limits import with_rate_limits
from api.resources import OPERATIONS, RESOURCES
from api.review_streams import with_review_streams
from api.service import DOCS
from api.settings import Settings, from_environment
from api.watching import with_watching
from api.workers import Workers
from domain import __version__
from domain.orchard_site.warm_up import warm_up
from domain.tables import loading as tables

RECORDS_AT = frozenset(one.path for one in OPERATIONS.values() if one.takes_records)
"""Where bodies may hold temperature records."""
STALE_WHILE_REVALIDATE_S = 86_400
"""How long a cache may answer with what has grown old, while it asks again (RFC 5861)."""
FORMS_AT: dict[str, tuple[str, ...]] = {
    DOCS.href: ("text/html",),
    **{one.path: one.media_types for one in OPERATIONS.values() if one.forms},
}
"""Where answers have other forms than JSON."""

_MAKING = threading.Lock()
"""Callers who first ask for the contract at once wait for one making of it."""


def create_app(settings: Settings | None = None) -> App:
    """The whole service as an ASGI application. Loads the tables: a bad row raises domain.tables.loading.TableError."""
    # What is made here stands and is never garbage: nothing is looked through before, and nothing of it afterwards.
    gc.disable()
    try:
        made = _made(settings or from_environment())
        gc.collect()
        gc.freeze()
    finally:
        gc.enable()
    return made


def _made(bounds: Settings) -> App:
    advisor = Advisor(tables.load(), bounds)
    warm_up()
    workers = Workers(bounds.computations_at_a_time, bounds.waiting_computations)
    inner = cast(App, _routes(bounds, advisor, workers))
    versions = {"program": advisor.versions.program, "tables": advisor.versions.tables}
    conditional = with_conditional_requests(with_accepted_forms(with_body_bounds(inner, bounds, RECORDS_AT), FORMS_AT))
    # A stream is sent as it is made: coded for the way, its lines would wait for each other.
    streamed = with_review_streams(counting_short(with_compression(conditional)), advisor, workers, bounds)
    limited = with_rate_limits(with_patience(with_head(with_metrics(streamed)), bounds), bounds.requests_a_minute)
    routes = [path for resource in RESOURCES for one in resource.operations for path in one.handler.paths]
    return with_watching(with_headers(with_plain_targets(limited), versions), [*routes, metrics.ADDRESS])


def contract_bytes() -> bytes:
    """The contract, as it is served and as it is committed; made when first asked for, once, in most of a second."""
    with _MAKING:
        return _contract()


@functools.cache
def _contract() -> bytes:
    described = OpenAPIConfig(
        title=openapi.TITLE,
        version=__version__,
        description=openapi.DESCRIPTION,
        render_plugins=[JsonRenderPlugin()],
        use_handler_docstrings=True,
    )
    return openapi.encoded(openapi.document(_routes(Settings(), None, None, described), OPERATIONS))


def docs_bytes() -> bytes:
    """The contract as a page; made when first asked for, once."""
    with _MAKING:
        return _docs()


@functools.cache
def _docs() -> bytes:
    return docs_page(msgspec.json.decode(_contract())).encode()


def _routes(
    settings: Settings,
    advisor: Advisor | None,
    workers: Workers | None,
    described: OpenAPIConfig | None = None,
) -> Litestar:
    """The framework's application: every route, without what frames it.

    `described` makes it describe itself, under an address of its own; the application that serves is not.
    """
    kept = CacheControlHeader(
        max_age=settings.reference_max_age_s, public=True, stale_while_revalidate=STALE_WHILE_REVALIDATE_S
    )
    return Litestar(
        [
            Router("/", route_handlers=_handlers(kept=False)),
            Router("/", route_handlers=_handlers(kept=True), cache_control=kept),
        ],
        dependencies={
            "advisor": Provide(lambda: advisor, sync_to_thread=False),
            "contract": Provide(lambda: contract_bytes, sync_to_thread=False),
            "docs": Provide(lambda: docs_bytes, sync_to_thread=False),
            "resources": Provide(lambda: RESOURCES, sync_to_thread=False),
            "workers": Provide(lambda: workers, sync_to_thread=False),
        },
        state=State({"settings": settings}),
        exception_handlers=problems.EXCEPTION_HANDLERS,
        openapi_config=described,
        request_max_body_size=None,
        logging_config=None,
    )


def _handlers(kept: bool) -> list[HTTPRouteHandler]:
    return [one.handler for resource in RESOURCES if resource.kept == kept for one in resource.operations]
