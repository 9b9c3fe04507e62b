"""The figures of the trade that decide advice, each with what it rests on."""

from typing import Annotated, Any

import msgspec
from litestar import Request, Response, get
from litestar.di import NamedDependency
from litestar.params import PathParameter

from api import pages, queries
from api.advisor import Advisor, Versions
from api.pages import DEFAULT_PAGE_LIMIT, Cursor, PageLimit
from api.problems import UNKNOWN_PARAMETER, Fault, Refusal
from domain.tables.parameters import Parameter, ParameterBasis, ParameterRoom, all_parameters


class ParameterQuery(msgspec.Struct, frozen=True, kw_only=True):
    """The query of the list."""

    room: Annotated[ParameterRoom, msgspec.Meta(description="Room of the program that uses them.")] | None = None
    basis: Annotated[ParameterBasis, msgspec.Meta(description="What they rest on.")] | None = None
    page_limit: PageLimit = DEFAULT_PAGE_LIMIT
    cursor: Cursor | None = None


class ParameterPage(msgspec.Struct, frozen=True, kw_only=True):
    """A page of figures; `next` is the cursor of the page after it, null on the last."""

    versions: Versions
    items: tuple[Parameter, ...]
    next: str | None


class ParameterAnswer(Parameter, frozen=True, kw_only=True):
    """One figure."""

    versions: Versions


@get(
    "/parameters",
    operation_id="listParameters",
    summary="Figures of the trade",
    tags=["parameters"],
    sync_to_thread=True,
)
def list_parameters(request: Request[Any, Any, Any], advisor: NamedDependency[Advisor]) -> Response[ParameterPage]:
    """The figures that decide advice, by id: value, range where it is known, basis, sources and a note."""
    asked = queries.read(request, ParameterQuery)
    found = [one for one in all_parameters() if asked.room in {None, one.room} and asked.basis in {None, one.basis}]
    shown, next_cursor = pages.page(found, lambda one: one.id, asked.page_limit, asked.cursor)
    answer = ParameterPage(versions=advisor.versions, items=shown, next=next_cursor)
    return Response(answer, headers=pages.link(request, next_cursor))


@get(
    "/parameters/{parameter_id:str}",
    operation_id="getParameter",
    summary="One figure of the trade",
    tags=["parameters"],
    sync_to_thread=True,
)
def get_parameter(
    request: Request[Any, Any, Any],
    parameter_id: Annotated[str, PathParameter(description="Id of a figure: room, subject and name.")],
    advisor: NamedDependency[Advisor],
) -> ParameterAnswer:
    """One figure by its id."""
    queries.read(request, queries.NoQuery)
    for one in all_parameters():
        if one.id == parameter_id:
            return ParameterAnswer(**msgspec.structs.asdict(one), versions=advisor.versions)
    detail = f"No figure has the id “{parameter_id[:80]}”."
    raise Refusal(UNKNOWN_PARAMETER, detail, [Fault(detail=detail, parameter="parameter_id", location="path")])
