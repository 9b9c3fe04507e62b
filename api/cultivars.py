"""The catalogue: cultivars by trait, in pages, and one by any of its names, with its evidence."""

from typing import Annotated, Any

import msgspec
from litestar import Request, Response, get
from litestar.di import NamedDependency
from litestar.params import PathParameter

from api import pages, queries
from api.advisor import Advisor, Versions
from api.pages import DEFAULT_PAGE_LIMIT, Cursor, PageLimit
from api.problems import UNKNOWN_CULTIVAR, unknown_name
from domain.fruit.kinds import Kind
from domain.tables.cultivars import Alias, Cultivar, Estimate, Finding, Shelf
from domain.tables.observations import Observation, Source
from domain.traits.cultivar_search import CultivarFilters, search


class CultivarQuery(CultivarFilters, frozen=True, kw_only=True):
    """The query of the list: filters, and where its page starts."""

    page_limit: PageLimit = DEFAULT_PAGE_LIMIT
    cursor: Cursor | None = None


class EvidenceQuery(msgspec.Struct, frozen=True, kw_only=True):
    """The query of one cultivar, rootstock or tree form."""

    evidence: Annotated[
        bool, msgspec.Meta(description="Whether to add what was published of it, value by value, with the sources.")
    ] = False


class CultivarRecord(msgspec.Struct, frozen=True, kw_only=True):
    """A cultivar with its adopted traits: every one with its basis; an absent one is unknown."""

    id: str
    name: str
    shelf: Shelf
    kind: Kind
    sport_of: str | None
    aliases: tuple[Alias, ...]
    recommended_by: int
    numbers: dict[str, Estimate]
    findings: dict[str, Finding]


class CultivarPage(msgspec.Struct, frozen=True, kw_only=True):
    """A page of the catalogue; `next` is the cursor of the page after it, null on the last."""

    versions: Versions
    items: tuple[CultivarRecord, ...]
    next: str | None


class CultivarAnswer(CultivarRecord, frozen=True, kw_only=True):
    """One cultivar. `observations` and `sources` are null unless the evidence was asked for."""

    versions: Versions
    observations: tuple[Observation, ...] | None
    sources: tuple[Source, ...] | None


def _traits(cultivar: Cultivar) -> dict[str, Any]:
    return {field: getattr(cultivar, field) for field in CultivarRecord.__struct_fields__}


@get("/cultivars", operation_id="listCultivars", summary="Cultivars by trait", tags=["cultivars"], sync_to_thread=True)
def list_cultivars(request: Request[Any, Any, Any], advisor: NamedDependency[Advisor]) -> Response[CultivarPage]:
    """The cultivars of the catalogue that have every trait asked for, by id."""
    asked = queries.read(request, CultivarQuery)
    found = search(advisor.tables.cultivars, asked)
    shown, next_cursor = pages.page(found, lambda cultivar: cultivar.id, asked.page_limit, asked.cursor)
    items = tuple(CultivarRecord(**_traits(cultivar)) for cultivar in shown)
    answer = CultivarPage(versions=advisor.versions, items=items, next=next_cursor)
    return Response(answer, headers=pages.link(request, next_cursor))


@get(
    "/cultivars/{name:str}", operation_id="getCultivar", summary="One cultivar", tags=["cultivars"], sync_to_thread=True
)
def get_cultivar(
    request: Request[Any, Any, Any],
    name: Annotated[str, PathParameter(description="Id, denomination or alias of a cultivar, in any spelling.")],
    advisor: NamedDependency[Advisor],
) -> CultivarAnswer:
    """One cultivar by any of its names, if wanted with everything published of it that the tables hold."""
    asked = queries.read(request, EvidenceQuery)
    cultivar = _named(advisor, name)
    observations = advisor.tables.observations(cultivar.id) if asked.evidence else None
    sources = None if observations is None else _sources(advisor, cultivar, observations)
    return CultivarAnswer(**_traits(cultivar), versions=advisor.versions, observations=observations, sources=sources)


def _named(advisor: Advisor, name: str) -> Cultivar:
    cultivar_id = advisor.tables.names.resolve(name)
    if cultivar_id is None:
        raise unknown_name(UNKNOWN_CULTIVAR, "cultivar", name, advisor.tables.names)
    return advisor.tables.by_id[cultivar_id]


def _sources(advisor: Advisor, cultivar: Cultivar, observations: tuple[Observation, ...]) -> tuple[Source, ...]:
    """Every source that the record of a cultivar names, by id."""
    named = {source for estimate in cultivar.numbers.values() for source in estimate.sources}
    named |= {source for finding in cultivar.findings.values() for source in finding.sources}
    named |= {observation.source_id for observation in observations} | {alias.source_id for alias in cultivar.aliases}
    return advisor.sources(named)
