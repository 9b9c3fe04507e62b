"""The documents that the tables rest on."""

from typing import Annotated

import msgspec

from api import queries
from api.advisor import Advisor, Versions
from api.collections import Listing, Single, collection
from api.operations import Example
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


def list_sources(advisor: Advisor, asked: SourceQuery) -> list[Source]:
    """The documents that observations, names and adopted values come from, by id."""
    return [source for _, source in sorted(advisor.tables.sources.items()) if asked.kind in {None, source.kind}]


def tell_source(advisor: Advisor, source_id: str, _: queries.NoQuery) -> SourceAnswer:
    """One document by its id."""
    source = advisor.tables.sources.get(source_id)
    if source is None:
        detail = f"No source has the id “{source_id[:80]}”."
        raise Refusal(UNKNOWN_SOURCE, detail, [Fault(detail=detail, parameter="source_id", location="path")])
    return SourceAnswer(**msgspec.structs.asdict(source), versions=advisor.versions)


SOURCES = collection(
    "/v1/sources",
    Listing(
        operation_id="listSources",
        summary="Sources of the tables",
        query=SourceQuery,
        page=SourcePage,
        find=list_sources,
        record=lambda source: source,
        example=Example("papers", "/v1/sources?kind=paper&page_limit=2"),
    ),
    Single(
        operation_id="getSource",
        summary="One source",
        query=queries.NoQuery,
        tell=tell_source,
        parameter="source_id",
        in_path="Id of a source.",
        unknown=UNKNOWN_SOURCE,
        example=Example("from-memory", "/v1/sources/from-memory"),
    ),
    title="The documents that the tables rest on",
    tag="sources",
)
