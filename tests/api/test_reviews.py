"""Plantings made wrong in one way each: the answer finds it and names the cure; sound ones are left as they are."""

from typing import Any

import pytest
from litestar.testing import TestClient

Client = TestClient[Any]
REVIEWS = "/v1/planting-list-reviews"
YORKSHIRE = {"latitude": 53.9, "longitude": -1.1, "elevation_m": 40}
OHIO = {"latitude": 40.4, "longitude": -82.5, "elevation_m": 300}
GULF = {"latitude": 29.8, "longitude": -95.4, "elevation_m": 20}


def review(client: Client, site: dict[str, Any], *trees: dict[str, Any], **more: Any) -> dict[str, Any]:
    answer = client.post(REVIEWS, json={"site": site, "trees": list(trees), "as_of": "2026-11-29", **more})
    assert answer.status_code == 200, answer.text
    body: dict[str, Any] = answer.json()
    assert body["changes"]
    return body


def kinds(body: dict[str, Any]) -> list[str]:
    return [one["change"] for one in body["changes"]]


def test_a_lone_triploid_wants_two_and_gets_one_that_serves_it(client: Client) -> None:
    body = review(client, YORKSHIRE, {"cultivar": "Bramley's Seedling", "label": "alone"}, neighbourhood="isolated")
    assert body["whole"]["unpollinated"] == ["alone"]
    assert body["trees"][0]["judgement"] == "change"
    assert kinds(body)[:2] == ["bring_blossom", "add_scion"]
    scion = body["changes"][1]
    assert scion["to"]["onto"] == "alone"
    assert scion["gains"]["pollinated"] == ["alone"]
    assert scion["gains"]["crops_a_year"] > 0.5


def test_a_pair_that_shares_its_pollen_is_found_out(client: Client) -> None:
    trees = [{"cultivar": name, "complaints": ["bloom_but_no_fruit"]} for name in ("Gala", "Royal Gala")]
    body = review(client, OHIO, *trees, neighbourhood="isolated")
    assert body["trees"][0]["likely_causes"][0]["cause"] == "sterile_or_same_pollen"
    assert "add_scion" in kinds(body)


def test_a_young_tree_is_told_to_wait(client: Client) -> None:
    tree = {"cultivar": "Northern Spy", "year_planted": 2024, "complaints": ["no_bloom"], "pruning": "light"}
    body = review(client, OHIO, tree | {"sun_hours": 9}, {"cultivar": "Golden Delicious"})
    assert body["trees"][0]["likely_causes"][0]["cause"] == "too_young"
    assert kinds(body)[0] == "wait"


def test_a_cultivar_that_the_site_refuses_is_grafted_over_or_replaced(client: Client) -> None:
    body = review(client, GULF, {"cultivar": "McIntosh", "label": "big one"}, {"cultivar": "Anna"})
    assert body["trees"][0]["verdict"] == "not_here"
    change = next(one for one in body["changes"] if one["change"] in ("regraft", "replace"))
    assert change["of"] == "big one"
    assert change["gains"]["crops_a_year"] > 0
    planned = review(client, GULF, {"cultivar": "McIntosh", "state": "planned"}, {"cultivar": "Anna"})
    assert "replace" in kinds(planned)


def test_a_sound_pair_is_left_as_it_is(client: Client) -> None:
    body = review(client, YORKSHIRE, {"cultivar": "Discovery"}, {"cultivar": "Charles Ross"})
    assert body["verdict"] == "sound"
    assert kinds(body) == ["leave_as_it_is"]


def test_a_label_that_cannot_be_right_is_doubted(client: Client) -> None:
    seen = [{"event": "first_ripe", "date": "2026-07-28"}]
    body = review(client, OHIO, {"cultivar": "Granny Smith", "seen": seen}, {"cultivar": "Golden Delicious"})
    (doubt,) = body["trees"][0]["label_doubted"]
    assert doubt["days_apart"] < -40
    assert all(one["id"] for one in doubt["would_fit"])


def test_a_tree_without_a_name_is_judged_with_the_rest(client: Client) -> None:
    body = review(client, YORKSHIRE, {"cultivar": None, "label": "old"}, {"cultivar": "Discovery"})
    old = body["trees"][0]
    assert (old["cultivar"], old["verdict"], old["judgement"]) == (None, None, "watch")
    assert body["trees"][1]["pollination"]["pollinated"] > 0.5


def test_a_cause_below_its_probability_is_asked_about_and_not_prescribed(client: Client) -> None:
    tree = {"cultivar": "Golden Delicious", "complaints": ["no_bloom"]}
    body = review(client, OHIO, tree, {"cultivar": "Jonathan"})
    causes = body["trees"][0]["likely_causes"]
    assert causes[0]["probability"] < 0.5
    assert all(one["find_out"]["words"] for one in causes)
    assert not {"wait", "thin", "prune"} & set(kinds(body))


@pytest.mark.parametrize(
    ("trees", "pointer"),
    [
        ([{"cultivar": "Nosuchapple"}], "#/trees/0/cultivar"),
        ([{"cultivar": "Gala", "rootstock": "Nosuchstock"}], "#/trees/0/rootstock"),
        ([{"cultivar": "Gala", "year_planted": 2030}], "#/trees/0/year_planted"),
        ([{"cultivar": "Gala", "state": "planned", "year_planted": 2020}], "#/trees/0/year_planted"),
        ([{"cultivar": "Gala", "seen": [{"event": "full_bloom", "date": "2026-02-30"}]}], "#/trees/0/seen/0/date"),
        ([{"cultivar": "Gala", "seen": [{"event": "full_bloom", "date": "2027-04-30"}]}], "#/trees/0/seen/0/date"),
    ],
)
def test_faults_are_told_where_they_are(client: Client, trees: list[dict[str, Any]], pointer: str) -> None:
    answer = client.post(REVIEWS, json={"site": OHIO, "trees": trees, "as_of": "2026-11-29"})
    assert answer.status_code == 422
    assert pointer in [fault["pointer"] for fault in answer.json()["errors"]]


def test_ages_need_the_day_of_today(client: Client) -> None:
    body = {"site": OHIO, "trees": [{"cultivar": "Gala", "year_planted": 2020}]}
    answer = client.post(REVIEWS, json=body)
    assert answer.status_code == 422
    assert "as_of" in answer.json()["errors"][0]["detail"]


def test_trees_planned_in_the_shade_that_is_told_of_the_site_want_another_place(client: Client) -> None:
    """They bear nothing there for want of sun alone, so no other cultivar helps, and nothing is called well."""
    trees = [{"cultivar": name, "state": "planned"} for name in ("Discovery", "Katy")]
    body = review(client, YORKSHIRE | {"ground": {"sun_hours": 3}}, *trees)
    assert body["verdict"] == "will_not_crop"
    assert [(one["change"], one["of"]) for one in body["changes"]] == [("move", "Discovery"), ("move", "Katja")]


def test_a_tree_without_a_name_is_called_by_its_kind(client: Client) -> None:
    crab = {"cultivar": None, "kind": "crab_apple", "state": "planned", "rootstock": "MM.106"}
    body = review(client, YORKSHIRE | {"ground": {"drainage": "poor"}}, crab, {"cultivar": "Katy"})
    (change,) = [one for one in body["changes"] if one["change"] == "other_stock"]
    assert change["words"].startswith("Order crab apple on another rootstock")
