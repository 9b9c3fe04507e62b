"""Collections: reference data listed by trait, in pages, and each item by its name."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, get_type_hints
from urllib.parse import quote

import msgspec
from litestar import Request, Response, get
from litestar.di import NamedDependency

from api import pages, queries
from api.advisor import Advisor
from api.frame import asked_name
from api.operations import Example, Operation, Resource
from api.problems import NOT_FOUND, ProblemKind


@dataclass(frozen=True, kw_only=True)
class Listing:
    """The list: its query, its page, and what is on it. The words of the contract are those of `find`."""

    operation_id: str
    summary: str
    query: type[msgspec.Struct]
    """Filters beside `page_limit` and `cursor`."""
    page: type[msgspec.Struct]
    find: Callable[[Advisor, Any], Sequence[Any]]
    """The items that a query asks for, in the order of their ids."""
    record: Callable[[Any], msgspec.Struct]
    """An item as the list shows it."""
    example: Example
    key: Callable[[Any], str] = lambda item: str(item.id)
    """What the items are in the order of."""


@dataclass(frozen=True, kw_only=True)
class Single:
    """One item by its name: its query and its answer. The words of the contract are those of `tell`."""

    operation_id: str
    summary: str
    query: type[msgspec.Struct]
    tell: Callable[[Advisor, str, Any], msgspec.Struct]
    """The item of a name. Raises Refusal for an unknown one."""
    parameter: str = "name"
    in_path: str
    unknown: ProblemKind
    example: Example


def collection(path: str, listing: Listing, single: Single, *, title: str, tag: str) -> Resource:
    """The resource of a collection. title: its line in the index."""

    def handle_list(request: Request[Any, Any, Any], advisor: NamedDependency[Advisor]) -> Any:
        asked: Any = queries.read(request, listing.query)
        found = listing.find(advisor, asked)
        shown, next_cursor = pages.page(found, listing.key, asked.page_limit, asked.cursor)
        items = tuple(listing.record(item) for item in shown)
        answer = listing.page(versions=advisor.versions, items=items, next=next_cursor)
        return Response(answer, headers=pages.link(request, next_cursor))

    def handle_one(request: Request[Any, Any, Any], advisor: NamedDependency[Advisor]) -> Any:
        asked = queries.read(request, single.query)
        told = single.tell(advisor, asked_name(request.scope, request.path_params[single.parameter]), asked)
        # Whatever name was asked by, the answer is that of the id (RFC 9110, section 8.7).
        query = f"?{request.url.query}" if request.url.query else ""
        at = f"{path}/{quote(listing.key(told), safe='')}{query}"
        return Response(told, headers={"Content-Location": at})

    handle_list.__doc__, handle_one.__doc__ = listing.find.__doc__, single.tell.__doc__
    handle_list.__annotations__["return"] = Response[listing.page]  # type: ignore[name-defined]  # a type known at run time
    told = get_type_hints(single.tell)["return"]
    handle_one.__annotations__["return"] = Response[told]  # type: ignore[valid-type]  # a type known at run time
    list_route = get(path, operation_id=listing.operation_id, summary=listing.summary, tags=[tag], sync_to_thread=True)
    one_route = get(
        f"{path}/{{{single.parameter}:str}}",
        operation_id=single.operation_id,
        summary=single.summary,
        tags=[tag],
        sync_to_thread=True,
    )
    operations = (
        Operation(handler=list_route(handle_list), examples=(listing.example,), query=listing.query),
        Operation(
            handler=one_route(handle_one),
            examples=(single.example,),
            query=single.query,
            in_path=single.in_path,
            refuses=(single.unknown, NOT_FOUND),
        ),
    )
    return Resource(title, operations, kept=True)
