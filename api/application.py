"""The application: routes, what frames them, and the contract they make."""

import gc
from typing import cast

from litestar import Litestar, Router
from litestar.datastructures import CacheControlHeader, State
from litestar.di import Provide
from litestar.handlers import HTTPRouteHandler
from litestar.openapi import OpenAPIConfig
from litestar.openapi.plugins import JsonRenderPlugin

from api import __version__, openapi, problems
from api.advisor import Advisor
from api.asgi import App
from api.conditional_requests import with_conditional_requests
from api.frame import with_body_bounds, with_headers, with_json_only
from api.resources import OPERATIONS, RESOURCES
from api.review_streams import with_review_streams
from api.settings import Settings, from_environment
from api.workers import Workers
from domain.orchard_site.warm_up import warm_up
from domain.tables import loading as tables

RECORDS_AT = frozenset(one.path for one in OPERATIONS.values() if one.takes_records)
"""Where bodies may hold temperature records."""


def create_app(settings: Settings | None = None) -> App:
    """The whole service as an ASGI application. Loads the tables: a bad row raises domain.tables.loading.TableError."""
    bounds = settings or from_environment()
    advisor = Advisor(tables.load(), bounds)
    warm_up()
    workers = Workers(bounds.computations_at_a_time, bounds.waiting_computations)
    inner = cast(App, _routes(bounds, advisor, workers, contract_bytes()))
    versions = {"program": advisor.versions.program, "tables": advisor.versions.tables}
    bounded = with_body_bounds(inner, bounds, RECORDS_AT)
    streamed = with_review_streams(with_json_only(bounded), advisor, workers, bounds)
    # What stands from here on is never garbage: the collector then looks only at what requests make.
    gc.collect()
    gc.freeze()
    return with_headers(with_conditional_requests(streamed), versions)


def contract_bytes() -> bytes:
    """The contract, as it is served and as it is committed."""
    described = OpenAPIConfig(
        title=openapi.TITLE,
        version=__version__,
        description=openapi.DESCRIPTION,
        render_plugins=[JsonRenderPlugin()],
        use_handler_docstrings=True,
    )
    return openapi.encoded(openapi.document(_routes(Settings(), None, None, b"", described), OPERATIONS))


def _routes(
    settings: Settings,
    advisor: Advisor | None,
    workers: Workers | None,
    contract: bytes,
    described: OpenAPIConfig | None = None,
) -> Litestar:
    """The framework's application: every route, without what frames it.

    `described` makes it describe itself, under an address of its own; the application that serves is not.
    """
    kept = CacheControlHeader(max_age=settings.reference_max_age_s, public=True)
    return Litestar(
        [
            Router("/", route_handlers=_handlers(kept=False)),
            Router("/", route_handlers=_handlers(kept=True), cache_control=kept),
        ],
        dependencies={
            "advisor": Provide(lambda: advisor, sync_to_thread=False),
            "contract": Provide(lambda: contract, sync_to_thread=False),
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
