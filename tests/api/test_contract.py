"""The contract: valid, whole, equal to what is served, and every example in it true."""

import inspect
import json
import re
from typing import Any, get_args

import jsonschema_rs
import pytest
from litestar.testing import TestClient
from openapi_spec_validator import validate

from api.contract import COMMITTED
from api.enumerations import enumerations
from api.field_words import field_words, of_the_structs
from api.openapi import references, with_clean_descriptions
from api.plain_schemas import LEFT_OUT
from api.problems import KINDS, MEDIA_TYPE
from domain.fruit.complaints import PlainCause

Client = TestClient[Any]


@pytest.fixture(scope="module")
def contract(client: Client) -> dict[str, Any]:
    found: dict[str, Any] = client.get("/openapi.json").json()
    return found


def operations(contract: dict[str, Any]) -> list[tuple[str, str, dict[str, Any]]]:
    return [
        (path, method, operation)
        for path, methods in contract["paths"].items()
        for method, operation in methods.items()
    ]


def test_the_committed_contract_is_what_is_served(client: Client) -> None:
    assert client.get("/openapi.json").content == COMMITTED.read_bytes()


def test_it_is_valid_openapi(contract: dict[str, Any]) -> None:
    assert contract["openapi"].startswith("3.1")
    validate(contract)


def test_every_reference_leads_to_a_component_and_every_component_is_used(contract: dict[str, Any]) -> None:
    named = {reference.removeprefix("#/components/schemas/") for reference in references(contract)}
    assert named == set(contract["components"]["schemas"])


def test_every_operation_is_told_in_full(contract: dict[str, Any]) -> None:
    ids = [operation["operationId"] for _, _, operation in operations(contract)]
    assert len(ids) == len(set(ids)) >= 13
    known = {f"`{kind.uri}`" for kind in KINDS.values()}
    for path, method, operation in operations(contract):
        assert operation["summary"], path
        assert operation["description"], path
        assert len(operation["tags"]) == 1, path
        assert ("requestBody" in operation) == (method == "post"), path
        for status, response in operation["responses"].items():
            media_type, *forms = response["content"]
            assert media_type == ("application/json" if status == "200" else MEDIA_TYPE)
            assert status == "200" or not forms
            assert all(response["content"][form]["schema"]["description"] for form in forms)
            if status != "200":
                assert any(uri in response["description"] for uri in known), (path, status)
        least = {"200", "400", "406", "500"} | ({"413", "415", "422", "503"} if method == "post" else set())
        assert least <= operation["responses"].keys(), path


def descriptions(part: Any) -> list[str]:
    if isinstance(part, dict):
        own = [part["description"]] if isinstance(part.get("description"), str) else []
        return own + [text for value in part.values() for text in descriptions(value)]
    return [text for item in part for text in descriptions(item)] if isinstance(part, list) else []


def test_descriptions_do_not_hang_on_how_a_library_indents(contract: dict[str, Any]) -> None:
    told = descriptions({key: part for key, part in contract.items() if key != "paths"})
    assert sum("\n" in text for text in told) >= 5
    assert [text for text in told if text != inspect.cleandoc(text)] == []
    indented = {"description": "One.\n\n        Two.\n        ", "items": [{"description": ["kept"]}]}
    assert with_clean_descriptions(indented) == {"description": "One.\n\nTwo.", "items": [{"description": ["kept"]}]}


def test_tags_are_described(contract: dict[str, Any]) -> None:
    used = {tag for _, _, operation in operations(contract) for tag in operation["tags"]}
    assert used == {tag["name"] for tag in contract["tags"]}


def test_requests_are_closed_and_answers_open(contract: dict[str, Any]) -> None:
    schemas = contract["components"]["schemas"]
    asked = reached(
        schemas, [name for _, _, o in operations(contract) if "requestBody" in o for name in names_of(o["requestBody"])]
    )
    for name, schema in schemas.items():
        if schema.get("type") == "object" and "properties" in schema:
            assert (schema.get("additionalProperties") is False) == (name in asked), name


def test_fields_of_answers_are_never_left_out(contract: dict[str, Any]) -> None:
    schemas = contract["components"]["schemas"]
    asked = reached(
        schemas, [name for _, _, o in operations(contract) if "requestBody" in o for name in names_of(o["requestBody"])]
    )
    answers = [name for _, _, o in operations(contract) for name in names_of(o["responses"]["200"])]
    for name in reached(schemas, answers) - asked:
        if schemas[name].get("type") == "string":  # a closed set
            continue
        assert set(schemas[name]["required"]) == set(schemas[name]["properties"]), name


def names_of(part: dict[str, Any]) -> list[str]:
    return [name.rsplit("/", 1)[1] for name in references(part["content"]["application/json"]["schema"])]


def bodies_of(contract: dict[str, Any]) -> list[str]:
    return [name for _, _, o in operations(contract) if "requestBody" in o for name in names_of(o["requestBody"])]


def reached(schemas: dict[str, Any], names: list[str]) -> set[str]:
    found: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += [reference.rsplit("/", 1)[1] for reference in references(schemas[name])]
    return found


def test_unions_of_objects_have_a_discriminator(contract: dict[str, Any]) -> None:
    for name, schema in contract["components"]["schemas"].items():
        for union in unions(schema):
            told = [branch["$ref"].rsplit("/", 1)[1] for branch in union["anyOf"] if "$ref" in branch]
            branches = [one for one in told if "enum" not in contract["components"]["schemas"][one]]
            assert len(branches) < 2 or "discriminator" in union, name


def unions(part: Any) -> list[dict[str, Any]]:
    if isinstance(part, dict):
        return [part] * ("anyOf" in part) + [union for value in part.values() for union in unions(value)]
    if isinstance(part, list):
        return [union for value in part for union in unions(value)]
    return []


def test_examples_fit_their_schemas(contract: dict[str, Any]) -> None:
    count = 0
    for path, _, operation in operations(contract):
        for part in [operation.get("requestBody"), operation["responses"]["200"]]:
            content = part["content"]["application/json"] if part else {}
            for name, example in content.get("examples", {}).items():
                schema = content["schema"] | {"components": contract["components"]}
                faults = list(jsonschema_rs.Draft202012Validator(schema).iter_errors(example["value"]))
                assert faults == [], (path, name, faults)
                count += 1
    assert count >= 8


def test_every_computation_has_an_example(contract: dict[str, Any]) -> None:
    for path, method, operation in operations(contract):
        if method == "post":
            assert operation["requestBody"]["content"]["application/json"]["examples"], path
            assert operation["responses"]["200"]["content"]["application/json"]["examples"], path


def test_answers_fit_the_contract(client: Client, contract: dict[str, Any]) -> None:
    """Every operation without a body, asked as simply as can be."""
    figure = "tree_year.bloom.reference_heat_gdh"
    parameters = {"source_id": "from-memory", "slug": "not-json", "parameter_id": figure, "code": "chill_enough"}
    names = {"/v1/cultivars/{name}": "fuji", "/v1/rootstocks/{name}": "M.9", "/v1/tree-forms/{name}": "fan"}
    for path, method, operation in operations(contract):
        if method == "get":
            answer = client.get(path.format(**parameters, name=names.get(path, "")))
            assert answer.status_code == 200, path
            schema = operation["responses"]["200"]["content"]["application/json"]["schema"]
            validator = jsonschema_rs.Draft202012Validator(schema | {"components": contract["components"]})
            assert list(validator.iter_errors(json.loads(answer.content))) == [], path


def fields(contract: dict[str, Any]) -> list[tuple[str, str, dict[str, Any]]]:
    schemas = contract["components"]["schemas"]
    return [(name, field, told) for name, one in schemas.items() for field, told in one.get("properties", {}).items()]


def test_generators_of_clients_find_what_they_can_read(contract: dict[str, Any]) -> None:
    """The rules that keep `python -m tests.clients` green, without its tools; what it tripped over before."""
    text = json.dumps(contract["components"])
    assert '"prefixItems"' not in text
    assert '"items": false' not in text
    for name, field, told in fields(contract):
        assert "default" not in told, f"{name}.{field}: a default makes it a required field of a TypeScript type"
        own = re.sub(r"(?<=[a-z0-9])(?=[A-Z])", "_", name).lower()
        assert field != own, f"{name}.{field}: two variables of one name in a Python function"
    for name, schema in contract["components"]["schemas"].items():
        assert re.fullmatch(r"[A-Z][A-Za-z0-9]+", name), name
        assert "enum" not in schema or schema["type"] == "string", name
    last = [name.lower() for name in contract["components"]["schemas"]]
    assert len(last) == len(set(last))
    assert contract["security"] == []


def test_sets_of_words_are_named_once(contract: dict[str, Any]) -> None:
    """One type for one set; only a tag, which has one word, stands where it is used."""
    for name, field, told in fields(contract):
        inline = [words for words in enumerations(told) if len(words) > 1]
        assert inline == [], f"{name}.{field}: give it a name in api/enumerations.py"


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ("TreeHabit.fruiting_habit", {"spur", "tip", "partial_tip"}),
        ("PlantedTree.tree_form_id", {"espalier", "standard", "oblique-cordon"}),
        ("Sentence.code", {"chill_enough", "passage_between_rows"}),
        ("LikelyCause.cause", {"no_partner", "disease:scab"}),
        ("FactorTold.factor", {"winter_chill", "sunlight"}),
        ("DiseaseStanding.disease", {"scab", "fire_blight"}),
        ("Suitability.uses", {"dessert", "cider"}),
    ],
)
def test_closed_sets_are_listed(contract: dict[str, Any], place: str, words: set[str]) -> None:
    schemas = contract["components"]["schemas"]
    name, field = place.split(".")
    (reference,) = references(schemas[name]["properties"][field])
    assert words <= set(schemas[reference.rsplit("/", 1)[1]]["enum"])


def said(told: dict[str, Any]) -> str:
    """What is said of a field beside its default, which is the last of it."""
    return str(told.get("description", "")).partition(LEFT_OUT)[0].strip()


def test_every_field_is_described(contract: dict[str, Any]) -> None:
    missing = [f"{name}.{field}" for name, field, told in fields(contract) if not said(told)]
    assert missing == [], "say it in the struct, or in api/field_words.csv"
    for path, _, operation in operations(contract):
        assert all(one["description"].strip() for one in operation.get("parameters", ())), path


def test_every_row_of_the_table_of_fields_is_used(contract: dict[str, Any]) -> None:
    used = {(field, said(told)) for _, field, told in fields(contract)}
    unused = [key for key, words in field_words().items() if (key[0], words) not in used]
    assert unused == []


def test_what_a_struct_says_of_its_field_stands_in_the_contract(contract: dict[str, Any]) -> None:
    said = of_the_structs()
    compared = 0
    for name, field, told in fields(contract):
        words = said.get((field, name), said.get((field, name.removesuffix("Told"))))
        if words is not None and "description" in told:
            assert " ".join(told["description"].split()) == words, f"{name}.{field}: python -m api.field_words"
            compared += 1
    assert compared > 10


def test_every_cause_that_may_be_told_is_in_its_set(client: Client, contract: dict[str, Any]) -> None:
    """Beside its own name and a triploid: what ails its partners is told apart by the trees about."""
    listed = set(contract["components"]["schemas"]["CauseCode"]["enum"])
    tree = {"cultivar": "Alkmene", "complaints": ["bloom_but_no_fruit"], "year_planted": 1998}
    others = [{"cultivar": "Alkmene"}, {"cultivar": "Court Royal"}]
    asked = {"site": {"latitude": -37.8, "longitude": 145.4, "elevation_m": 400}, "as_of": "2026-11-29"}
    found = client.post("/v1/planting-list-reviews", json=asked | {"trees": [tree, *others]}).json()
    told = {cause["cause"] for one in found["trees"] for cause in one["likely_causes"]}
    assert "sterile_or_same_pollen" in told
    assert told <= listed
    assert set(get_args(PlainCause)) <= listed
