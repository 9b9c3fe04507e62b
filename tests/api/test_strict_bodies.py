"""Strict reading by itself, with shapes that no resource has yet: tagged unions, whole numbers, nesting."""

from typing import Annotated, Any

import msgspec
import pytest
from litestar import Request
from litestar.testing import RequestFactory

from api.problems import Refusal
from api.queries import repeatable
from api.site_climates import SiteClimatesRequest
from api.strict_bodies import read


class Point(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag="Point", tag_field="type"):
    coordinates: tuple[float, float]


class Row(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag="Row", tag_field="type"):
    length_m: Annotated[float, msgspec.Meta(gt=0, lt=100)]
    names: dict[str, int] = {}


class Plan(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    shape: Point | Row
    count: int | None = None


def request(content_type: str = "application/json") -> Request[Any, Any, Any]:
    return RequestFactory().post("/", headers={"content-type": content_type})


def faults(body: bytes) -> dict[str | None, str]:
    with pytest.raises(Refusal) as refused:
        read(request(), body, Plan)
    assert refused.value.kind.status == 422
    return {fault.pointer: fault.detail for fault in refused.value.errors}


@pytest.mark.parametrize("content_type", ["application/json", "Application/JSON; charset=UTF-8"])
def test_a_good_body(content_type: str) -> None:
    plan = read(request(content_type), b'{"shape": {"type": "Point", "coordinates": [1, 2.5]}, "count": 3}', Plan)
    assert plan == Plan(shape=Point((1.0, 2.5)), count=3)


def test_one_point_zero_is_a_whole_number() -> None:
    plan = read(request(), b'{"shape": {"type": "Row", "length_m": 2.0, "names": {"a": 1.0}}, "count": 3e0}', Plan)
    assert plan == Plan(shape=Row(2.0, {"a": 1}), count=3)


def test_of_a_union_the_faults_of_the_branch_that_was_meant() -> None:
    assert faults(b'{"shape": {"type": "Row", "length_m": 100, "width_m": 1}}') == {
        "#/shape/length_m": "Expected less than 100; got 100.",
        "#/shape/width_m": "No such field is known here.",
    }
    assert faults(b'{"shape": {"type": "Point", "coordinates": [1, "2", 3]}}') == {
        "#/shape/coordinates": "Expected at most 2 items; got a list of 3.",
        "#/shape/coordinates/1": 'Expected a number; got "2".',
    }


def test_an_unknown_tag_is_the_fault() -> None:
    assert "#/shape/type" in faults(b'{"shape": {"type": "Circle"}}')


def test_null_where_none_is_allowed() -> None:
    assert faults(b'{"shape": null}') == {"#/shape": "Expected an object; got null."}


def test_names_of_members_are_escaped_in_pointers() -> None:
    told = faults(b'{"shape": {"type": "Row", "length_m": 1, "names": {"a/b~c": "x"}}}')
    assert told == {"#/shape/names/a~1b~0c": 'Expected a whole number; got "x".'}


def test_long_values_are_not_echoed() -> None:
    (detail,) = faults(b'{"shape": {"type": "Row", "length_m": "' + b"x" * 5000 + b'"}}').values()
    assert len(detail) < 120


def test_a_fault_far_along_a_list_is_told() -> None:
    tmin = [1.0] * 5000 + ["x"] + [1.0] * 100
    body = {"site": {"daily_records": {"first_day": "2012-07-01", "tmin_c": tmin, "tmax_c": tmin}}}
    with pytest.raises(Refusal) as refused:
        read(request(), msgspec.json.encode(body), SiteClimatesRequest)
    assert [fault.pointer for fault in refused.value.errors] == ["#/site/daily_records/tmin_c/5000"]
    assert "str" in refused.value.errors[0].detail


@pytest.mark.parametrize("depth", [300, 900, 5000])
def test_deep_nesting_is_refused(depth: int) -> None:
    body = b'{"shape": ' + b'{"a": [' * depth + b"]}" * depth + b"}"
    with pytest.raises(Refusal):
        read(request(), body, Plan)


def test_numbers_too_long_for_any_processor_are_refused() -> None:
    with pytest.raises(Refusal):
        read(request(), b'{"shape": {"type": "Row", "length_m": 1}, "count": ' + b"9" * 5000 + b"}", Plan)


def test_lists_of_parameters_are_told_from_single_ones() -> None:
    assert repeatable(tuple[str, ...])
    assert repeatable(Annotated[tuple[str, ...], msgspec.Meta(max_length=2)] | None)
    assert not repeatable(Annotated[str, msgspec.Meta(max_length=2)] | None)
