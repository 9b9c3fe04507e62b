"""The service about itself: where its resources are, whether it lives, what its problems mean, its contract."""

from collections.abc import Callable, Sequence
from typing import Any, Literal

import msgspec
from litestar import Request, Response, get
from litestar.di import NamedDependency
from litestar.params import FromPath

from api import queries
from api.advisor import Advisor, Versions
from api.docs_page import POLICY
from api.frame import asked_name
from api.operations import Example, Operation, Resource
from api.problems import KINDS, NOT_FOUND, SERVICE_BUSY, Fault, ProblemKind, Refusal
from api.workers import Workers, busy

_LINKS = (
    '</openapi.json>; rel="service-desc"; type="application/json"',
    '</docs>; rel="service-doc"; type="text/html"',
)
"""RFC 8631."""
_NOT_KEPT = {"Cache-Control": "no-store"}


class ResourceTold(msgspec.Struct, frozen=True, kw_only=True):
    """A resource, the methods it takes, and what it is for."""

    href: str
    methods: tuple[str, ...]
    title: str


class ServiceAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The resources of the service."""

    versions: Versions
    title: str
    resources: tuple[ResourceTold, ...]


class HealthAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The process lives."""

    status: Literal["alive"]
    versions: Versions


class ReadinessAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The tables are loaded. `computing` and `waiting` count the computations now under way and in the line."""

    status: Literal["ready"]
    versions: Versions
    cultivars: int
    sources: int
    computing: int
    waiting: int


class ProblemKindsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Every kind of problem that the service answers with."""

    versions: Versions
    items: tuple[ProblemKind, ...]


class ProblemKindAnswer(ProblemKind, frozen=True, kw_only=True):
    """One kind of problem."""

    versions: Versions


@get("/", operation_id="getService", summary="The resources", tags=["service"], sync_to_thread=False)
def get_service(
    request: Request[Any, Any, Any], advisor: NamedDependency[Advisor], resources: NamedDependency[Sequence[Resource]]
) -> Response[ServiceAnswer]:
    """Where everything is."""
    queries.read(request, queries.NoQuery)
    told = tuple(ResourceTold(href=one.href, methods=one.methods, title=one.title) for one in resources)
    answer = ServiceAnswer(versions=advisor.versions, title="Variety-siting advisor", resources=told)
    return Response(answer, headers={"Link": ", ".join(_LINKS)})


@get("/healthz", operation_id="getHealth", summary="Alive", tags=["service"], sync_to_thread=False)
def get_health(request: Request[Any, Any, Any], advisor: NamedDependency[Advisor]) -> Response[HealthAnswer]:
    """Answers as long as the process lives."""
    queries.read(request, queries.NoQuery)
    return Response(HealthAnswer(status="alive", versions=advisor.versions), headers=_NOT_KEPT)


@get("/readyz", operation_id="getReadiness", summary="Ready", tags=["service"], sync_to_thread=False)
def get_readiness(
    request: Request[Any, Any, Any], advisor: NamedDependency[Advisor], workers: NamedDependency[Workers]
) -> Response[ReadinessAnswer]:
    """Answers once the tables are loaded (the service listens only then), while another computation may be asked."""
    queries.read(request, queries.NoQuery)
    if workers.full:
        raise busy()
    answer = ReadinessAnswer(
        status="ready",
        versions=advisor.versions,
        cultivars=len(advisor.tables.cultivars),
        sources=len(advisor.tables.sources),
        computing=workers.computing,
        waiting=workers.waiting,
    )
    return Response(answer, headers=_NOT_KEPT)


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
    slug: FromPath[str],
    advisor: NamedDependency[Advisor],
) -> ProblemKindAnswer:
    """What one kind of problem means and what to do about it."""
    queries.read(request, queries.NoQuery)
    slug = asked_name(request.scope, slug)
    if slug not in KINDS:
        detail = f"No kind of problem is called “{slug[:80]}”; `GET /problems` lists them."
        raise Refusal(NOT_FOUND, detail, [Fault(detail=detail, parameter="slug", location="path")])
    return ProblemKindAnswer(**msgspec.structs.asdict(KINDS[slug]), versions=advisor.versions)


@get("/openapi.json", include_in_schema=False, media_type="application/json", sync_to_thread=True)
def get_contract(request: Request[Any, Any, Any], contract: NamedDependency[Callable[[], bytes]]) -> bytes:
    """The contract of the service."""
    queries.read(request, queries.NoQuery)
    return contract()


@get("/docs", include_in_schema=False, media_type="text/html", sync_to_thread=True)
def get_docs(request: Request[Any, Any, Any], docs: NamedDependency[Callable[[], bytes]]) -> Response[bytes]:
    """The contract as a page to read."""
    queries.read(request, queries.NoQuery)
    return Response(docs(), media_type="text/html", headers={"Content-Security-Policy": POLICY})


SERVICE = Resource(
    "The resources of the service", (Operation(handler=get_service, examples=(Example("service", "/"),)),), kept=True
)
CONTRACT = Resource("The contract, OpenAPI 3.1", (Operation(handler=get_contract),), kept=True)
DOCS = Resource("The contract as a page to read", (Operation(handler=get_docs),), kept=True)
PROBLEMS = Resource(
    "What each kind of problem means",
    (
        Operation(handler=list_problem_kinds, examples=(Example("problem-kinds", "/problems"),)),
        Operation(
            handler=get_problem_kind,
            examples=(Example("not-json", "/problems/not-json"),),
            in_path="Last part of the `type` of a problem.",
            refuses=(NOT_FOUND,),
        ),
    ),
    kept=True,
)
HEALTH = Resource(
    "Whether the process lives", (Operation(handler=get_health, examples=(Example("health", "/healthz"),)),)
)
READINESS = Resource(
    "Whether the tables are loaded and a computation may be asked",
    (Operation(handler=get_readiness, examples=(Example("readiness", "/readyz"),), refuses=(SERVICE_BUSY,)),),
)
