"""The application: routes, what frames them, and the contract they make."""

from collections.abc import Sequence
from typing import cast

from litestar import Litestar, Router
from litestar.datastructures import CacheControlHeader, State
from litestar.di import Provide
from litestar.handlers import HTTPRouteHandler
from litestar.openapi import OpenAPIConfig
from litestar.openapi.plugins import JsonRenderPlugin

from api import (
    __version__,
    cultivars,
    multi_cultivar_trees,
    openapi,
    parameters,
    planting_lists,
    plot_layouts,
    pollination_pairs,
    problems,
    rootstocks,
    season_calendars,
    service,
    site_climates,
    sources,
    suitabilities,
    tree_forms,
)
from api.advisor import Advisor
from api.asgi import App
from api.conditional_requests import with_conditional_requests
from api.frame import with_body_bounds, with_headers, with_json_only
from api.openapi import Example, Operation
from api.settings import Settings, from_environment
from api.site_climates import SiteClimatesRequest
from domain.ground.layout_request import PlotLayoutRequest
from domain.planting_list.list_request import PlantingListsRequest
from domain.pollination.pairs_answer import PollinationPairsRequest
from domain.suitability.suitability_request import SuitabilityRequest
from domain.tables import loading as tables
from domain.trunks.trunk_answer import MultiCultivarTreeRequest
from domain.year_of_work.calendar_answer import SeasonCalendarsRequest

SERVICE: Sequence[HTTPRouteHandler] = (
    service.get_service,
    service.list_problem_kinds,
    service.get_problem_kind,
    service.get_contract,
)
ADVICE: Sequence[HTTPRouteHandler] = (
    multi_cultivar_trees.choose_multi_cultivar_tree,
    planting_lists.choose_planting_lists,
    plot_layouts.lay_out_plot,
    pollination_pairs.judge_pollination_pairs,
    site_climates.describe_site_climate,
    season_calendars.tell_season_calendars,
    suitabilities.rank_suitabilities,
)
HEALTH: Sequence[HTTPRouteHandler] = (service.get_health, service.get_readiness)
CATALOGUE: Sequence[HTTPRouteHandler] = (
    cultivars.list_cultivars,
    cultivars.get_cultivar,
    rootstocks.list_rootstocks,
    rootstocks.get_rootstock,
    tree_forms.list_tree_forms,
    tree_forms.get_tree_form,
    sources.list_sources,
    sources.get_source,
    parameters.list_parameters,
    parameters.get_parameter,
)

OPERATIONS = {
    "getService": Operation(example=Example("service", "/")),
    "getHealth": Operation(example=Example("health", "/healthz")),
    "getReadiness": Operation(example=Example("readiness", "/readyz")),
    "listProblemKinds": Operation(example=Example("problem-kinds", "/problems")),
    "getProblemKind": Operation(
        example=Example("not-json", "/problems/not-json"),
        refuses=(problems.NOT_FOUND,),
    ),
    "listCultivars": Operation(
        example=Example("cooking-apples-tolerant-of-scab", "/v1/cultivars?use=cooking&tolerates=scab&page_limit=2"),
        query=cultivars.CultivarQuery,
    ),
    "getCultivar": Operation(
        example=Example("bramley", "/v1/cultivars/Bramley's%20Seedling"),
        query=cultivars.EvidenceQuery,
        refuses=(problems.UNKNOWN_CULTIVAR, problems.NOT_FOUND),
    ),
    "listRootstocks": Operation(
        example=Example("hardy-rootstocks", "/v1/rootstocks?hardy=true&greatest_size=70&page_limit=3"),
        query=rootstocks.RootstockQuery,
    ),
    "getRootstock": Operation(
        example=Example("mm-106", "/v1/rootstocks/MM.106"),
        query=cultivars.EvidenceQuery,
        refuses=(problems.UNKNOWN_ROOTSTOCK, problems.NOT_FOUND),
    ),
    "listTreeForms": Operation(
        example=Example("forms-along-a-fence", "/v1/tree-forms?arrangement=fence&no_ladder=true"),
        query=tree_forms.TreeFormQuery,
    ),
    "getTreeForm": Operation(
        example=Example("espalier", "/v1/tree-forms/espalier"),
        query=cultivars.EvidenceQuery,
        refuses=(problems.UNKNOWN_TREE_FORM, problems.NOT_FOUND),
    ),
    "listSources": Operation(
        example=Example("papers", "/v1/sources?kind=paper&page_limit=2"),
        query=sources.SourceQuery,
    ),
    "getSource": Operation(
        example=Example("from-memory", "/v1/sources/from-memory"),
        refuses=(problems.UNKNOWN_SOURCE, problems.NOT_FOUND),
    ),
    "listParameters": Operation(
        example=Example("figures-of-pollination", "/v1/parameters?room=pollination&basis=own-judgement&page_limit=2"),
        query=parameters.ParameterQuery,
    ),
    "getParameter": Operation(
        example=Example("golden-delicious-heat", "/v1/parameters/tree_year.bloom.golden_delicious_heat_gdh"),
        refuses=(problems.UNKNOWN_PARAMETER, problems.NOT_FOUND),
    ),
    "choosePlantingLists": Operation(
        example=Example("hollin-lane-planting-lists", "/v1/planting-lists"),
        also=(Example("hollin-lane-garden-planting-lists", "/v1/planting-lists"),),
        body=PlantingListsRequest,
    ),
    "layOutPlot": Operation(
        example=Example("hollin-lane-plot-layouts", "/v1/plot-layouts"),
        also=(Example("walled-corner-plot-layouts", "/v1/plot-layouts"),),
        body=PlotLayoutRequest,
    ),
    "chooseMultiCultivarTree": Operation(
        example=Example("old-james-grieve-multi-cultivar-trees", "/v1/multi-cultivar-trees"),
        body=MultiCultivarTreeRequest,
    ),
    "judgePollinationPairs": Operation(
        example=Example("bramley-and-company-pollination-pairs", "/v1/pollination-pairs"),
        body=PollinationPairsRequest,
    ),
    "describeSiteClimate": Operation(
        example=Example("hollin-lane-site-climates", "/v1/site-climates"),
        body=SiteClimatesRequest,
    ),
    "tellSeasonCalendars": Operation(
        example=Example("hollin-lane-season-calendars", "/v1/season-calendars"),
        body=SeasonCalendarsRequest,
    ),
    "rankSuitabilities": Operation(
        example=Example("hollin-lane-suitabilities", "/v1/suitabilities"),
        body=SuitabilityRequest,
    ),
}


def create_app(settings: Settings | None = None) -> App:
    """The whole service as an ASGI application. Loads the tables: a bad row raises domain.tables.loading.TableError."""
    bounds = settings or from_environment()
    advisor = Advisor(tables.load(), bounds.remembered_sites)
    inner = cast(App, _routes(bounds, advisor, contract_bytes()))
    versions = {"program": advisor.versions.program, "tables": advisor.versions.tables}
    return with_headers(with_conditional_requests(with_json_only(with_body_bounds(inner, bounds))), versions)


def contract_bytes() -> bytes:
    """The contract, as it is served and as it is committed."""
    described = OpenAPIConfig(
        title=openapi.TITLE,
        version=__version__,
        description=openapi.DESCRIPTION,
        render_plugins=[JsonRenderPlugin()],
        use_handler_docstrings=True,
    )
    return openapi.encoded(openapi.document(_routes(Settings(), None, b"", described), OPERATIONS))


def _routes(
    settings: Settings, advisor: Advisor | None, contract: bytes, described: OpenAPIConfig | None = None
) -> Litestar:
    """The framework's application: every route, without what frames it.

    `described` makes it describe itself, under an address of its own; the application that serves is not.
    """
    kept = CacheControlHeader(max_age=settings.reference_max_age_s, public=True)
    return Litestar(
        [
            *HEALTH,
            Router("/v1", route_handlers=ADVICE),
            Router("/", route_handlers=SERVICE, cache_control=kept),
            Router("/v1", route_handlers=CATALOGUE, cache_control=kept),
        ],
        dependencies={
            "advisor": Provide(lambda: advisor, sync_to_thread=False),
            "contract": Provide(lambda: contract, sync_to_thread=False),
        },
        state=State({"settings": settings}),
        exception_handlers=problems.EXCEPTION_HANDLERS,
        openapi_config=described,
        request_max_body_size=None,
        logging_config=None,
    )
