"""Strict reading by itself, with shapes that no resource has yet: tagged unions, whole numbers, nesting."""

from typing import Annotated, Any

import msgspec
import pytest
from litestar import Request
from litestar.testing import RequestFactory

from api import body_faults
from api.problems import MOST_FAULTS, Fault, Refusal
from api.queries import repeatable
from api.site_climates import SiteClimatesRequest
from api.strict_bodies import read
from domain.reviews.review_request import PlantingListReviewRequest


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
        "#/shape/width_m": "No such field is known here; “length_m” is.",
    }
    assert faults(b'{"shape": {"type": "Point", "coordinates": [1, "2", 3]}}') == {
        "#/shape/coordinates": "Expected at most 2 items; got a list of 3.",
        "#/shape/coordinates/1": 'Expected a number; got "2".',
    }


def test_of_an_unknown_field_the_likest_is_told_or_all() -> None:
    told = faults(b'{"shape": {"type": "Point", "coordinates": [1, 2]}, "cuont": 3, "xyz": 1}')
    assert told["#/cuont"] == "No such field is known here; “count” is."
    assert told["#/xyz"] == "No such field is known here; known are shape, count."


@pytest.mark.parametrize("others", [b"", b', "corners": [[1, "x"]], "length_m": "y"'])
def test_an_unknown_tag_is_the_only_fault(others: bytes) -> None:
    assert faults(b'{"shape": {"type": "Circle"' + others + b"}}") == {
        "#/shape/type": 'Expected one of "Point", "Row"; got "Circle".'
    }


@pytest.mark.parametrize(
    ("body", "why"),
    [
        (b"", "is empty"),
        (b" \r\n\t ", "is empty"),
        (b'{"shape": "\\ud83c"}', "half of a surrogate pair"),
        (b'{"shape": {"type": "Row"', "truncated."),
    ],
)
def test_what_is_no_json_is_told_as_what_it_is(body: bytes, why: str) -> None:
    with pytest.raises(Refusal) as refused:
        read(request(), body, Plan)
    assert refused.value.kind.slug == "not-json"
    assert why in refused.value.detail


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
    assert "got text" in refused.value.errors[0].detail


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


class Order(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    items: Annotated[str, msgspec.Meta(max_length=3)]
    names: tuple[str, ...] = ()


def test_a_member_called_items_is_looked_at_in_a_long_body_too() -> None:
    """A schema calls that of a list's items so; the name of a member is no word of it."""
    long = ["x" * 60] * 300
    with pytest.raises(Refusal) as refused:
        read(request(), msgspec.json.encode({"items": "four", "names": [*long, 3], "other": 1}), Order)
    assert {fault.pointer: fault.detail for fault in refused.value.errors} == {
        "#/items": 'Expected at most 3 characters; got "four".',
        "#/names/300": "Expected text; got 3.",
        "#/other": "No such field is known here; known are items, names.",
    }


TREE: dict[str, Any] = {"cultivar": "Fuji", "label": "by the gate", "count": 1}
LONG: dict[str, Any] = {"site": {"latitude": 44.8, "longitude": 20.5}, "as_of": "2026-11-29"}


def trees(count: int, **wrong: Any) -> dict[str, Any]:
    """A review of so many trees, of which some are wrong: ``t299={...}`` makes the last of 300 so."""
    made = [{**TREE, "label": f"tree {number} " + "x" * 40} for number in range(count)]
    for name, members in wrong.items():
        made[int(name[1:])] |= members
    return {**LONG, "trees": made}


@pytest.mark.parametrize(
    "body",
    [
        trees(300, t0={"count": "one"}, t25={"at_m": [1, "two"]}, t299={"year_planted": None, "z": 1, "count": 0}),
        trees(300, t40={"complaints": ["spotted", "none such"]}) | {"site": {"latitude": "north"}, "zz": 1},
        trees(301) | {"wanted": {"uses": "cider"}, "excluded": [*["Fuji"] * 40, 3]},
        trees(280, t279={"at": [20.5]}) | {"as_of": 3, "nearby_pollen": [{"kind": "crab_apple"}, 4]},
    ],
)
def test_a_long_body_is_explained_part_by_part_to_the_same_faults(body: dict[str, Any]) -> None:
    def explained(at_once: bool) -> list[Fault]:
        found = body_faults.all_faults(body, PlantingListReviewRequest, at_once=at_once)
        return sorted(set(found), key=lambda fault: (fault.pointer or "", fault.detail))

    assert 1 <= len(explained(True)) <= MOST_FAULTS
    assert explained(True) == explained(False)
    with pytest.raises(Refusal) as refused:
        read(request(), msgspec.json.encode(body), PlantingListReviewRequest)
    assert list(refused.value.errors) == explained(True)


def test_of_very_many_members_those_are_explained_that_are_known_or_come_first() -> None:
    body: dict[str, Any] = {f"m{number:05}": 1 for number in range(20_000)} | trees(3) | {"as_of": 3}
    with pytest.raises(Refusal) as refused:
        read(request(), msgspec.json.encode(body), PlantingListReviewRequest)
    told = {fault.pointer: fault.detail for fault in refused.value.errors}
    unknown = {f"#/m{number:05}" for number in range(MOST_FAULTS)}
    assert unknown <= told.keys()
    assert told["#/as_of"] == "Expected text; got 3."
    assert not any("missing" in detail for detail in told.values())


def test_explaining_what_is_wrong_all_through_holds_the_interpreter_only_for_a_moment(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The validator lets no other thread go on while it looks: it is given a part of a long list at a time."""
    longest = [0]
    validator = body_faults._validator

    class Watched:
        def __init__(self, model: Any) -> None:
            self.model = model

        def iter_errors(self, raw: Any) -> Any:
            longest.append(max((len(value) for value in raw.values() if isinstance(value, list)), default=0))
            return validator(self.model).iter_errors(raw)

    monkeypatch.setattr(body_faults, "_validator", Watched)
    wrong: dict[str, Any] = {"cultivar": 1, "label": 2, "count": "x", "at_m": [[1]], "complaints": [1] * 20, "zz": 1}
    body = {**LONG, "trees": [wrong] * 1500}
    with pytest.raises(Refusal) as refused:
        read(request(), msgspec.json.encode(body), PlantingListReviewRequest)
    assert len(refused.value.errors) > MOST_FAULTS
    assert "#/trees" in {fault.pointer for fault in refused.value.errors}
    assert 0 < max(longest) <= body_faults._ITEMS_AT_A_TIME
