"""A stock by its spellings: what each name means, and answers that take what is known and tell the rest."""

from typing import Any

import msgspec
import pytest
from litestar.testing import TestClient

from domain.common.asked_names import ENOUGH_FAULTS, MOST_WITH_NEAREST
from domain.common.faults import ContentFaults
from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.wishes import wishes
from tests.api.requests import changed, example
from tests.shared import catalogue

Client = TestClient[Any]
NAMES, SUITABILITIES, LISTS = "/v1/cultivar-names", "/v1/suitabilities", "/v1/planting-lists"


def meant(client: Client, *names: str) -> list[dict[str, Any]]:
    answer = client.post(NAMES, json={"names": names})
    assert answer.status_code == 200, answer.text
    found: list[dict[str, Any]] = answer.json()["names"]
    assert [one["asked"] for one in found] == list(names)
    return found


def test_each_name_is_told_by_its_kind(client: Client) -> None:
    found = meant(client, "Cripps Pink", "Pink Lady", "Jonathan Apple", "GRANNY  SMITH", "Zzyxqq", "M.26")
    assert [one["how"] for one in found[:4]] == ["denomination", "trade_designation", "spelling", "denomination"]
    assert found[1]["cultivar"] == "Cripps Pink"
    assert "Pink Lady" in found[1]["sold_as"]
    assert found[4]["id"] is None
    assert (found[5]["rootstock"], found[5]["cultivar"]) == ("M.26", None)


def test_a_name_like_one_that_is_known_is_not_taken_for_it(client: Client) -> None:
    (found,) = meant(client, "James Greave")
    assert (found["how"], found["cultivar"]) == ("nearest", None)
    assert found["nearest"][0]["cultivar"] == "James Grieve"


def test_what_is_asked_twice_is_answered_twice(client: Client) -> None:
    assert len({one["id"] for one in meant(client, "Cox's Orange Pippin", "coxs orange pippin")}) == 1


def test_names_that_no_letter_can_be_read_of_are_unknown(client: Client) -> None:
    (found,) = meant(client, "苹果")
    assert (found["how"], found["nearest"]) == ("unknown", [])


def test_suitabilities_take_what_is_known_and_tell_the_rest(client: Client) -> None:
    stock = ["Fuji", "Nosuchapple", "fuji", "Gala"]
    body = changed(example(SUITABILITIES), "/cultivars", stock)
    assert client.post(SUITABILITIES, json=body).status_code == 422
    answer = client.post(SUITABILITIES, json=body | {"unknown_names": "report"}).json()
    assert sorted(one["asked"] for one in answer["suitabilities"]) == ["Fuji", "Gala"]
    told = {warning["code"]: warning["values"] for warning in answer["warnings"]}
    assert told["name_unknown"]["name"] == "Nosuchapple"
    assert told["named_again"]["name"] == "fuji"


def test_only_the_best_are_told_where_a_limit_is_set(client: Client) -> None:
    body = {key: value for key, value in example(SUITABILITIES).items() if key != "cultivars"}
    whole = client.post(SUITABILITIES, json=body).json()["suitabilities"]
    few = client.post(SUITABILITIES, json=body | {"limit": 7}).json()["suitabilities"]
    beside = {sport["id"] for one in few for sport in one["sports_beside"]}
    best = [one for one in whole if one["id"] not in beside][:7]
    assert [one | {"sports_beside": []} for one in few] == best


def test_lists_take_what_is_known_and_tell_the_rest(client: Client) -> None:
    body = example(LISTS) | {
        "available": ["Discovery", "Nosuchapple", "James Grieve", "M.26", "Egremont Russet", "Bramley's Seedling"],
        "established": [{"cultivar": "Grandfather's Best Of All"}],
        "unknown_names": "report",
    }
    answer = client.post(LISTS, json=body)
    assert answer.status_code == 200, answer.text
    told = [one["values"]["name"] for one in answer.json()["warnings"] if one["code"] == "name_unknown"]
    assert told == ["Nosuchapple", "Grandfather's Best Of All"]
    (stands,) = answer.json()["planting_lists"][0]["established"]
    assert stands["cultivar"] is None
    assert client.post(LISTS, json=body | {"unknown_names": "refuse"}).status_code == 422


def test_a_stock_of_which_nothing_is_known_is_answered_and_told(client: Client) -> None:
    body = changed(example(SUITABILITIES), "/cultivars", ["Nosuchapple", "Nor This"]) | {"unknown_names": "report"}
    answer = client.post(SUITABILITIES, json=body)
    assert answer.status_code == 200, answer.text
    assert answer.json()["suitabilities"] == []
    assert sum(one["code"] == "name_unknown" for one in answer.json()["warnings"]) == 2
    orders = changed(example("/v1/stock-orders"), "/available", ["Nosuchapple"]) | {"unknown_names": "report"}
    refused = client.post("/v1/stock-orders", json=orders)
    assert refused.status_code == 422
    lists = example(LISTS) | {"available": ["Nosuchapple"], "unknown_names": "report"}
    assert client.post(LISTS, json=lists).status_code == 200


STOCK = [
    {"cultivar": "Discovery", "rootstock": "M.26", "count": 3},
    {"cultivar": "James Grieve", "rootstock": "M27", "tree_form": "bush"},
    {"cultivar": "Egremont Russet"},
    {"cultivar": "Katy", "rootstock": "MM 106", "count": 0},
]


def test_a_list_plants_only_what_a_told_stock_holds(client: Client) -> None:
    body = {key: value for key, value in example(LISTS).items() if key != "available"} | {"stock": STOCK}
    body |= {"space": {"tree_count": 8}, "wanted": {}}
    answer = client.post(LISTS, json=body)
    assert answer.status_code == 200, answer.text
    told = answer.json()
    trees = {one["cultivar"]: one for one in told["planting_lists"][0]["trees"]}
    assert trees["Discovery"]["rootstock"] == "M.26"
    assert trees["Discovery"]["in_stock"] == 3
    assert set(trees) <= {"Discovery", "James Grieve", "Egremont Russet"}
    assert "available_leaves_out_more" in {one["code"] for one in told["limits"]}
    less = client.post(LISTS, json=body | {"without": ["not_in_stock"]}).json()
    assert not [one for one in less["limits"] if one["code"].startswith("available_leaves_out")]
    assert less["planting_lists"] == told["planting_lists"]


def test_faults_of_a_told_stock_are_named(client: Client) -> None:
    body = {key: value for key, value in example(LISTS).items() if key != "available"}
    odd = [
        {"cultivar": "Nosuchapple"},
        {"cultivar": "Discovery", "rootstock": "M.99"},
        {"cultivar": "Discovery", "tree_form": "no such form"},
    ]
    refused = client.post(LISTS, json=body | {"stock": odd, "available": []})
    assert refused.status_code == 422
    assert {one["pointer"] for one in refused.json()["errors"]} == {
        "#/stock",
        "#/stock/0/cultivar",
        "#/stock/1/rootstock",
        "#/stock/2/tree_form",
    }
    assert client.post(LISTS, json=body | {"stock": [{"cultivar": "Discovery", "count": -1}]}).status_code == 422
    told = client.post(LISTS, json=body | {"stock": odd, "unknown_names": "report"}).json()
    names = [one["values"]["name"] for one in told["warnings"] if one["code"] == "stock_name_unknown"]
    assert names == ["Nosuchapple", "M.99", "no such form"]
    said = [one["words"] for one in told["warnings"] if one["code"] == "stock_name_unknown"]
    assert [kind in one for kind, one in zip(("cultivar", "rootstock", "tree form"), said, strict=True)] == [True] * 3
    near = client.post(LISTS, json=body | {"stock": [{"cultivar": "Discovry"}], "unknown_names": "report"}).json()
    (like,) = [one["values"]["nearest"] for one in near["warnings"] if one["code"] == "stock_name_unknown"]
    assert "Discovery" in like


@pytest.mark.parametrize("where", ["stock", "available"])
def test_of_many_unknown_names_no_more_are_looked_at_than_are_told(client: Client, where: str) -> None:
    body = {key: value for key, value in example(LISTS).items() if key != "available"}
    odd = [f"Nosuchapple {n}" for n in range(120)]
    told = [{"cultivar": name, "rootstock": f"{name} roots"} for name in odd] if where == "stock" else odd
    with pytest.raises(ContentFaults) as found:
        wishes(msgspec.convert(body | {where: told}, PlantingListsRequest), catalogue().tables)
    near = [bool(fault.nearest) for fault in found.value.faults]
    assert ENOUGH_FAULTS < len(near) <= ENOUGH_FAULTS + 2  # both names of an item of a stock
    assert near == [n < MOST_WITH_NEAREST for n in range(len(near))]
