"""The documents that the tables rest on."""

from typing import Annotated, Any

import msgspec
from litestar import Request, Response, get
from litestar.di import NamedDependency
from litestar.params import PathParameter

from api import pages, queries
from api.advisor import Advisor, Versions
from api.pages import DEFAULT_PAGE_LIMIT, Cursor, PageLimit
from api.problems import UNKNOWN_SOURCE, Fault, Refusal
from domain.tables.observations import Source


class SourceQuery(msgspec.Struct, frozen=True, kw_only=True):
    """The query of the list."""

    kind: Annotated[str, msgspec.Meta(min_length=1, max_length=40, description="Kind of document.")] | None = None
    page_limit: PageLimit = DEFAULT_PAGE_LIMIT
    cursor: Cursor | None = None


class SourcePage(msgspec.Struct, frozen=True, kw_only=True):
    """A page of sources; `next` is the cursor of the page after it, null on the last."""

    versions: Versions
    items: tuple[Source, ...]
    next: str | None


class SourceAnswer(Source, frozen=True, kw_only=True):
    """One source."""

    versions: Versions


@get("/sources", operation_id="listSources", summary="Sources of the tables", tags=["sources"], sync_to_thread=True)
def list_sources(request: Request[Any, Any, Any], advisor: NamedDependency[Advisor]) -> Response[SourcePage]:
    """The documents that observations, names and adopted values come from, by id."""
    asked = queries.read(request, SourceQuery)
    found = [source for _, source in sorted(advisor.tables.sources.items()) if asked.kind in {None, source.kind}]
    shown, next_cursor = pages.page(found, lambda source: source.id, asked.page_limit, asked.cursor)
    answer = SourcePage(versions=advisor.versions, items=shown, next=next_cursor)
    return Response(answer, headers=pages.link(request, next_cursor))


@get("/sources/{source_id:str}", operation_id="getSource", summary="One source", tags=["sources"], sync_to_thread=True)
def get_source(
    request: Request[Any, Any, Any],
    source_id: Annotated[str, PathParameter(description="Id of a source.")],
    advisor: NamedDependency[Advisor],
) -> SourceAnswer:
    """One document by its id."""
    queries.read(request, queries.NoQuery)
    source = advisor.tables.sources.get(source_id)
    if source is None:
        detail = f"No source has the id “{source_id[:80]}”."
        raise Refusal(UNKNOWN_SOURCE, detail, [Fault(detail=detail, parameter="source_id", location="path")])
    return SourceAnswer(**msgspec.structs.asdict(source), versions=advisor.versions)
