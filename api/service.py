"""The service about itself: where its resources are, whether it lives, what its problems mean, its contract."""

from typing import Annotated, Any, Literal

import msgspec
from litestar import Request, Response, get
from litestar.di import NamedDependency
from litestar.params import PathParameter

from api import queries
from api.advisor import Advisor, Versions
from api.problems import KINDS, NOT_FOUND, Fault, ProblemKind, Refusal

_NOT_KEPT = {"Cache-Control": "no-store"}


class Resource(msgspec.Struct, frozen=True, kw_only=True):
    """A resource, the methods it takes, and what it is for."""

    href: str
    methods: tuple[str, ...]
    title: str


class ServiceAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The resources of the service."""

    versions: Versions
    title: str
    resources: tuple[Resource, ...]


class HealthAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The process lives."""

    status: Literal["alive"]
    versions: Versions


class ReadinessAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The tables are loaded."""

    status: Literal["ready"]
    versions: Versions
    cultivars: int
    sources: int


class ProblemKindsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Every kind of problem that the service answers with."""

    versions: Versions
    items: tuple[ProblemKind, ...]


class ProblemKindAnswer(ProblemKind, frozen=True, kw_only=True):
    """One kind of problem."""

    versions: Versions


RESOURCES = (
    ("/v1/cultivars", ("GET",), "Cultivars by trait; one by name"),
    ("/v1/rootstocks", ("GET",), "Rootstocks by trait; one by name"),
    ("/v1/tree-forms", ("GET",), "Trained forms of trees; one by name"),
    ("/v1/sources", ("GET",), "The documents that the tables rest on"),
    ("/v1/parameters", ("GET",), "The figures of the trade that decide advice, and what each rests on"),
    ("/v1/site-climates", ("POST",), "Chill, frost, winter, heat, disease weather and codling moth at a site"),
    ("/v1/suitabilities", ("POST",), "Cultivars ranked for a site, with reasons"),
    ("/v1/pollination-pairs", ("POST",), "Which cultivar pollinates which"),
    ("/v1/planting-lists", ("POST",), "Ranked planting lists for a site"),
    ("/v1/plot-layouts", ("POST",), "Trees laid out on a plot"),
    ("/v1/multi-cultivar-trees", ("POST",), "Several cultivars on one trunk"),
    ("/openapi.json", ("GET",), "The contract, OpenAPI 3.1"),
    ("/problems", ("GET",), "What each kind of problem means"),
    ("/healthz", ("GET",), "Whether the process lives"),
    ("/readyz", ("GET",), "Whether the tables are loaded"),
)


@get("/", operation_id="getService", summary="The resources", tags=["service"], sync_to_thread=False)
def get_service(request: Request[Any, Any, Any], advisor: NamedDependency[Advisor]) -> Response[ServiceAnswer]:
    """Where everything is."""
    queries.read(request, queries.NoQuery)
    resources = tuple(Resource(href=href, methods=methods, title=title) for href, methods, title in RESOURCES)
    answer = ServiceAnswer(versions=advisor.versions, title="Variety-siting advisor", resources=resources)
    return Response(answer, headers={"Link": '</openapi.json>; rel="service-desc"; type="application/json"'})


@get("/healthz", operation_id="getHealth", summary="Alive", tags=["service"], sync_to_thread=False)
def get_health(request: Request[Any, Any, Any], advisor: NamedDependency[Advisor]) -> Response[HealthAnswer]:
    """Answers as long as the process lives."""
    queries.read(request, queries.NoQuery)
    return Response(HealthAnswer(status="alive", versions=advisor.versions), headers=_NOT_KEPT)


@get("/readyz", operation_id="getReadiness", summary="Ready", tags=["service"], sync_to_thread=False)
def get_readiness(request: Request[Any, Any, Any], advisor: NamedDependency[Advisor]) -> Response[ReadinessAnswer]:
    """Answers once the tables are loaded: the service listens only then."""
    queries.read(request, queries.NoQuery)
    counts = {"cultivars": len(advisor.tables.cultivars), "sources": len(advisor.tables.sources)}
    return Response(ReadinessAnswer(status="ready", versions=advisor.versions, **counts), headers=_NOT_KEPT)


@get("/problems", operation_id="listProblemKinds", summary="Problems", tags=["service"], sync_to_thread=False)
def list_problem_kinds(request: Request[Any, Any, Any], advisor: NamedDependency[Advisor]) -> ProblemKindsAnswer:
    """Every kind of problem, its meaning and what to do about it."""
    queries.read(request, queries.NoQuery)
    return ProblemKindsAnswer(versions=advisor.versions, items=tuple(KINDS.values()))


@get(
    "/problems/{slug:str}", operation_id="getProblemKind", summary="One problem", tags=["service"], sync_to_thread=False
)
def get_problem_kind(
    request: Request[Any, Any, Any],
    slug: Annotated[str, PathParameter(description="Last part of the `type` of a problem.")],
    advisor: NamedDependency[Advisor],
) -> ProblemKindAnswer:
    """What one kind of problem means and what to do about it."""
    queries.read(request, queries.NoQuery)
    if slug not in KINDS:
        detail = f"No kind of problem is called “{slug[:80]}”; `GET /problems` lists them."
        raise Refusal(NOT_FOUND, detail, [Fault(detail=detail, parameter="slug", location="path")])
    return ProblemKindAnswer(**msgspec.structs.asdict(KINDS[slug]), versions=advisor.versions)


@get("/openapi.json", include_in_schema=False, media_type="application/json", sync_to_thread=False)
def get_contract(request: Request[Any, Any, Any], contract: NamedDependency[bytes]) -> bytes:
    """The contract of the service."""
    queries.read(request, queries.NoQuery)
    return contract
