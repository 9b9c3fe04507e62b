"""The figures of the trade that decide advice, each with what it rests on."""

from typing import Annotated

import msgspec

from api import queries
from api.advisor import Advisor, Versions
from api.collections import Listing, Single, collection
from api.operations import Example
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


def list_parameters(_: Advisor, asked: ParameterQuery) -> list[Parameter]:
    """The figures that decide advice, by id: value, range where it is known, basis, sources and a note."""
    return [one for one in all_parameters() if asked.room in {None, one.room} and asked.basis in {None, one.basis}]


def tell_parameter(advisor: Advisor, parameter_id: str, _: queries.NoQuery) -> ParameterAnswer:
    """One figure by its id."""
    for one in all_parameters():
        if one.id == parameter_id:
            return ParameterAnswer(**msgspec.structs.asdict(one), versions=advisor.versions)
    detail = f"No figure has the id “{parameter_id[:80]}”."
    raise Refusal(UNKNOWN_PARAMETER, detail, [Fault(detail=detail, parameter="parameter_id", location="path")])


PARAMETERS = collection(
    "/v1/parameters",
    Listing(
        operation_id="listParameters",
        summary="Figures of the trade",
        query=ParameterQuery,
        page=ParameterPage,
        find=list_parameters,
        record=lambda one: one,
        example=Example("figures-of-pollination", "/v1/parameters?room=pollination&basis=own-judgement&page_limit=2"),
    ),
    Single(
        operation_id="getParameter",
        summary="One figure of the trade",
        query=queries.NoQuery,
        tell=tell_parameter,
        parameter="parameter_id",
        in_path="Id of a figure: room, subject and name.",
        unknown=UNKNOWN_PARAMETER,
        example=Example("heat-to-bloom", "/v1/parameters/tree_year.bloom.reference_heat_gdh"),
    ),
    title="The figures of the trade that decide advice, and what each rests on",
    tag="parameters",
)
