"""A stock for a region: what each garden is offered suits it, one more kind never costs, faults have their place."""

from typing import Any

from litestar.testing import TestClient

from tests.api.requests import changed, example

Client = TestClient[Any]
ORDERS = "/v1/stock-orders"


def order(client: Client, body: dict[str, Any]) -> dict[str, Any]:
    answer = client.post(ORDERS, json=body)
    assert answer.status_code == 200, answer.text
    made: dict[str, Any] = answer.json()
    return made


def test_the_offer_of_each_garden_comes_from_the_stock(client: Client) -> None:
    made = order(client, example(ORDERS))
    stocked = {one["id"] for one in made["stock"]}
    assert len(stocked) <= 5
    for site in made["sites"]:
        assert {one["id"] for one in site["offered"]} <= stocked
        assert "rain_of_the_climatology" in {one["code"] for one in site["assumptions"]}
        assert all(one["verdict"] in ("plant", "worth_trying") for one in site["offered"])
    assert made["value"] <= made["best_possible_value"] + 1e-4
    assert made["value_with_one_more"] >= made["value"]
    assert all(one["value_lost_without"] >= 0 for one in made["stock"])


def test_one_more_kind_is_worth_what_was_said_or_more(client: Client) -> None:
    few = order(client, changed(example(ORDERS), "/kinds_at_most", 3))
    more = order(client, changed(example(ORDERS), "/kinds_at_most", 4))
    assert more["value"] >= few["value_with_one_more"] - 1e-4


def test_what_must_be_stocked_is(client: Client) -> None:
    body = changed(changed(example(ORDERS), "/must_stock", ["Braeburn"]), "/kinds_at_most", 2)
    assert "Braeburn" in [one["cultivar"] for one in order(client, body)["stock"]]


def test_faults_are_told_where_they_are(client: Client) -> None:
    body = changed(example(ORDERS), "/sites/1/id", "coast")
    body = changed(body, "/sites/2/site/latitude", 53.1)
    answer = client.post(ORDERS, json=changed(body, "/kinds_at_most", 1) | {"must_stock": ["Gala", "Fuji", "Nosuch"]})
    assert answer.status_code == 422
    pointers = [fault["pointer"] for fault in answer.json()["errors"]]
    assert "#/must_stock/2" in pointers
    assert "#/sites/2/id" in pointers


def test_a_bad_site_is_named_by_its_place_in_the_list(client: Client) -> None:
    body = changed(example(ORDERS), "/sites/1/site/last_spring_frost", {"median": "02-30"})
    answer = client.post(ORDERS, json=body)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "#/sites/1/site/last_spring_frost/median"


def test_of_more_gardens_than_climates_each_has_its_offer_and_says_by_whom_it_is_judged(client: Client) -> None:
    gardens = [
        {"id": str(n), "site": {"latitude": 48.0 + n % 6 * 0.4, "longitude": 8.5 + n // 6 * 0.5}} for n in range(18)
    ]
    made = order(client, {"sites": gardens, "kinds_at_most": 4})
    assert [one["id"] for one in made["sites"]] == [one["id"] for one in gardens]
    joined = {
        said["values"]["other"]: one["offered"]
        for one in made["sites"]
        for said in one["assumptions"]
        if said["code"] == "judged_by_like_climate"
    }
    assert joined
    for other, offered in joined.items():
        assert offered == made["sites"][int(other)]["offered"]
