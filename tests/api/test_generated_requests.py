"""Requests generated from the contract: it keeps its promises for all of them, and a good share is answered.

A request that fits the schema may be refused for its content, never for its shape; one that does not fit is refused.
The schema cannot list the names of cultivars or the cursors of pages, nor say that a winter is no colder than its
coldest night. So what is generated is mixed, member by member, with the example of the operation, and nine names of ten
are known ones.
"""

import base64
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from schemathesis import Case, GenerationMode
from schemathesis.checks import load_all_checks
from schemathesis.core.result import Ok
from schemathesis.schemas import APIOperation
from schemathesis.specs.openapi.checks import positive_data_acceptance

from api.problems import (
    INVALID_CONTENT,
    KINDS,
    NOT_FOUND,
    UNKNOWN_CODE,
    UNKNOWN_CULTIVAR,
    UNKNOWN_PARAMETER,
    UNKNOWN_ROOTSTOCK,
    UNKNOWN_SOURCE,
    UNKNOWN_TREE_FORM,
)
from api.resources import OPERATIONS
from domain.tables import loading as tables
from domain.tables.parameters import all_parameters
from domain.tables.rootstocks import rootstocks
from domain.tables.tree_forms import tree_forms
from domain.tables.words import texts
from tests.api.requests import COMPUTATIONS, GROUNDS, SITES, TOLD_OF_GROUND, example

LEAST_CASES = 2000
LEAST_CASES_OF_THE_LONG_RUN = 15_000
MANY = 5
"""The long run (`-m long`) asks every planned request so many times over: 15,000 and more."""
FEW = 20
"""The default run asks one in so many of the planned requests."""
LEAST_OF_AN_OPERATION = 6
LEAST_SHARE_ANSWERED = 0.30
"""Of the requests that fit the contract."""
ENOUGH_FOR_A_SHARE = 50
"""Of fewer requests the share is a matter of chance: the long run tells it."""

FITTING = {
    "listCultivars": 150,
    "getCultivar": 150,
    "listSources": 100,
    "getSource": 60,
    "listRootstocks": 80,
    "getRootstock": 60,
    "listTreeForms": 60,
    "getTreeForm": 40,
    "listParameters": 60,
    "getParameter": 40,
    "listWords": 40,
    "getWord": 40,
    "getProblemKind": 40,
    "describeSiteClimate": 150,
    "rankSuitabilities": 300,
    "judgePollinationPairs": 450,
    "choosePlantingLists": 180,
    "tellSeasonCalendars": 150,
    "layOutPlot": 200,
    "chooseMultiCultivarTree": 120,
    "reviewPlantingList": 120,
    "chooseStock": 60,
    "resolveCultivarNames": 40,
}
"""Requests of each operation that fit its schema; those without parameters have one."""

UNFITTING = {
    "listCultivars": 80,
    "getCultivar": 50,
    "listSources": 40,
    "listRootstocks": 40,
    "getRootstock": 20,
    "listTreeForms": 40,
    "getTreeForm": 20,
    "listParameters": 20,
    "listWords": 20,
    "describeSiteClimate": 100,
    "rankSuitabilities": 100,
    "judgePollinationPairs": 120,
    "choosePlantingLists": 70,
    "tellSeasonCalendars": 60,
    "layOutPlot": 80,
    "chooseMultiCultivarTree": 50,
    "reviewPlantingList": 40,
    "chooseStock": 20,
    "resolveCultivarNames": 20,
}
"""Requests that do not; where nothing but text can be asked, none can be made."""

WITHOUT_PARAMETERS = {"getService", "getHealth", "getReadiness", "listProblemKinds"}

OF_CONTENT = {
    kind.uri
    for kind in (
        INVALID_CONTENT, NOT_FOUND, UNKNOWN_CODE, UNKNOWN_CULTIVAR, UNKNOWN_PARAMETER, UNKNOWN_SOURCE,
        UNKNOWN_ROOTSTOCK, UNKNOWN_TREE_FORM,
    )
}  # fmt: skip
KNOWN_SITES = {"/v1/site-climates": 3} | dict.fromkeys(COMPUTATIONS[1:], 8)
"""How many of ten requests ask of one of a few known sites, whose years are worked out once."""
KNOWN_GROUNDS = 6
"""How many of ten plots are ground that can be planted: generated rings seldom close."""

NAMES = [cultivar.name for cultivar in tables.load().cultivars if cultivar.status == "advised"]
SOURCES = sorted(tables.load().sources)
ROOTSTOCKS = sorted(stock.name for stock in rootstocks().values())
FORMS = sorted(tree_forms())
FIGURES = [one.id for one in all_parameters()]
CODES = sorted(texts())
NAME_LISTS = {"cultivars", "must_include", "must_stock", "available", "excluded"}

Operation = APIOperation[Any, Any, Any, Any]
AnyCase = Case[Any]


@pytest.fixture(scope="module")
def generated(app: Any) -> dict[str, Operation]:
    load_all_checks()
    schema = schemathesis.openapi.from_asgi("/openapi.json", app)
    found = [result.ok() for result in schema.get_all_operations() if isinstance(result, Ok)]
    for operation in found:  # forms: tests/api/test_record_files.py
        operation.body.items[:] = [body for body in operation.body.items if body.media_type == "application/json"]
    return {operation.definition.raw["operationId"]: operation for operation in found}


def test_the_plan_is_large_enough() -> None:
    planned = sum(FITTING.values()) + sum(UNFITTING.values())
    assert planned + len(WITHOUT_PARAMETERS) >= LEAST_CASES
    assert MANY * planned >= LEAST_CASES_OF_THE_LONG_RUN
    assert FITTING.keys() | WITHOUT_PARAMETERS == OPERATIONS.keys()


@pytest.mark.parametrize("operation_id", sorted(OPERATIONS))
def test_the_contract_holds_for_a_few_requests(generated: dict[str, Operation], operation_id: str) -> None:
    check_the_contract(generated[operation_id], few(FITTING.get(operation_id, 1)), few(UNFITTING.get(operation_id, 0)))


@pytest.mark.long
@pytest.mark.parametrize("operation_id", sorted(OPERATIONS))
def test_the_contract_holds_for_any_request(generated: dict[str, Operation], operation_id: str) -> None:
    fitting = 1 if operation_id in WITHOUT_PARAMETERS else MANY * FITTING[operation_id]
    check_the_contract(generated[operation_id], fitting, MANY * UNFITTING.get(operation_id, 0))


def few(planned: int) -> int:
    return min(planned, max(LEAST_OF_AN_OPERATION, planned // FEW))


def check_the_contract(operation: Operation, fitting: int, unfitting: int) -> None:
    """Ask so many requests that fit the schema and so many that do not, and hold the answers against the contract."""
    statuses: Counter[int] = Counter()

    def does_not_fit(case: AnyCase) -> None:
        answer = case.call(timeout=None)
        case.validate_response(answer, excluded_checks=[positive_data_acceptance])
        statuses[answer.status_code] += 1

    def fits(case: AnyCase) -> None:
        answer = case.call(timeout=None)
        case.validate_response(answer, excluded_checks=[positive_data_acceptance])
        statuses[answer.status_code] += 1
        assert answer.status_code == 200 or answer.json()["type"] in OF_CONTENT, answer.text

    run(operation.as_strategy(GenerationMode.POSITIVE).flatmap(plausible), fitting, fits)
    if unfitting:
        run(operation.as_strategy(GenerationMode.NEGATIVE), unfitting, does_not_fit)

    asked = sum(statuses.values())
    assert asked >= fitting + unfitting
    assert statuses[200], statuses
    if fitting >= ENOUGH_FOR_A_SHARE:
        assert statuses[200] / fitting >= LEAST_SHARE_ANSWERED, statuses


def run(cases: st.SearchStrategy[AnyCase], count: int, check: Any) -> None:
    """Check this many generated cases, the same ones every time."""

    @seed(20)
    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
    )
    @given(case=cases)
    def checked(case: AnyCase) -> None:
        check(case)

    checked()


@st.composite
def plausible(draw: st.DrawFn, case: AnyCase) -> AnyCase:
    """The case with most of its names known, and its body mixed with the example."""
    names = nine_of_ten(draw, st.sampled_from(NAMES))
    if case.path in OF_PATH:
        parameter, known = OF_PATH[case.path]
        case.path_parameters = {parameter: nine_of_ten(draw, known)(case.path_parameters[parameter])}
    if "cursor" in (case.query or {}):
        case.query = {
            **case.query,
            "cursor": base64.urlsafe_b64encode(draw(st.sampled_from(NAMES)).encode()).decode().rstrip("="),
        }
    if case.path in COMPUTATIONS and isinstance(case.body, dict):
        body = with_known_names(mixed(draw, case.body, example(case.path)), names)
        if "site" in body and draw(st.integers(0, 9)) < KNOWN_SITES[case.path]:
            body["site"] = draw(st.sampled_from(list(SITES.values())))
        for one in body.get("sites", ()) if isinstance(body.get("sites"), list) else ():
            if isinstance(one, dict) and "site" in one and draw(st.integers(0, 9)):
                one["site"] = draw(st.sampled_from(list(SITES.values())))
        if case.path in GROUNDS and draw(st.integers(0, 9)) < KNOWN_GROUNDS:
            kept = {name: value for name, value in body.items() if name not in TOLD_OF_GROUND}
            body = kept | draw(st.sampled_from(GROUNDS[case.path]))
        case.body = body
    return case


OF_PATH = {
    "/v1/cultivars/{name}": ("name", st.sampled_from(NAMES)),
    "/v1/rootstocks/{name}": ("name", st.sampled_from(ROOTSTOCKS)),
    "/v1/tree-forms/{name}": ("name", st.sampled_from(FORMS)),
    "/v1/sources/{source_id}": ("source_id", st.sampled_from(SOURCES)),
    "/v1/parameters/{parameter_id}": ("parameter_id", st.sampled_from(FIGURES)),
    "/v1/words/{code}": ("code", st.sampled_from(CODES)),
    "/problems/{slug}": ("slug", st.sampled_from(sorted(KINDS))),
}


def nine_of_ten(draw: st.DrawFn, known: st.SearchStrategy[str]) -> Callable[[str], str]:
    """A function that puts a known text for nine of ten generated ones."""
    return lambda text: draw(known) if draw(st.integers(0, 9)) else text


def mixed(draw: st.DrawFn, generated: dict[str, Any], told: dict[str, Any]) -> dict[str, Any]:
    """Each member from the generated body or from the example, with equal chances where both have it."""
    made: dict[str, Any] = {}
    for name in sorted(generated.keys() | told.keys()):
        ours, theirs = told.get(name), generated.get(name)
        if isinstance(ours, dict) and isinstance(theirs, dict) and "type" not in ours:  # GeoJSON stays whole
            made[name] = mixed(draw, theirs, ours)
        elif name in told and (name not in generated or draw(st.booleans())):
            made[name] = ours
        elif name in told or draw(st.booleans()):
            made[name] = theirs
    return made


def with_known_names(part: Any, known: Callable[[str], str]) -> Any:
    """The same body with its names of cultivars made known, each once in its list."""
    if isinstance(part, list):
        return [with_known_names(value, known) for value in part]
    if not isinstance(part, dict):
        return part
    made: dict[str, Any] = {}
    for key, value in part.items():
        if key == "cultivar" and isinstance(value, str):
            made[key] = known(value)
        elif key == "rootstock" and isinstance(value, str):
            made[key] = ROOTSTOCKS[len(value) % len(ROOTSTOCKS)]
        elif key in NAME_LISTS and isinstance(value, list):
            made[key] = list(dict.fromkeys(known(name) for name in value))
        else:
            made[key] = with_known_names(value, known)
    return made
