"""What the grid writes is what the service answers: sixty sites of all depths, cultivar by cultivar."""

from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import pytest
from distributed import Client
from litestar.testing import TestClient

from domain.stock_orders.choice import best_stock
from tests.domain.grid.surveys import answer, rows_of
from tests.domain.many_sites.tables_of_sites import Body, marked, sixty_sites, write

SITES = marked(sixty_sites())
WARMER_C = 2.0
WORDS = ("words", "assumptions", "warnings")
BESIDE = ("worth_finding_out", "disease_weather", "codling_moth", "other_insects", "versions")
"""What the answer to `site-climates` adds to the climate."""


def site(row: Body) -> Body:
    return {name: value for name, value in row.items() if name != "id"}


@pytest.fixture(scope="module")
def folder(here: Client, tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("sixty")
    answer(write(made / "sites.parquet", SITES), made, here, cultivars=None, part_rows=20)
    return made


@pytest.fixture(scope="module")
def judged(folder: Path) -> dict[str, dict[str, Body]]:
    """Rows of `suitabilities` by site and cultivar."""
    found: dict[str, dict[str, Body]] = {}
    for row in rows_of(folder, "suitabilities"):
        found.setdefault(row["id"], {})[row["cultivar"]] = row
    return found


@pytest.fixture(scope="module")
def figures(folder: Path) -> dict[str, Body]:
    """Rows of `sites` by site."""
    return {row["id"]: row for row in rows_of(folder, "sites")}


def as_answered(one: Body) -> Body:
    """The columns of an answer's cultivar."""
    years = one["cropping_years_in_ten"] or {}
    return {
        "verdict": one["verdict"],
        "likely": years.get("likely"),
        "low": years.get("low"),
        "high": years.get("high"),
        "bloom_full": (one["bloom"] or {}).get("full"),
        "harvest_first": (one["harvest"] or {}).get("first"),
        "limiting": one["limiting"],
        "rank_value": one["rank_value"],
    }


def test_there_are_sixty_sites_of_every_depth() -> None:
    assert len(SITES) == 60
    told = {name for row in SITES for name in row}
    assert {"daily_records", "hourly_records", "monthly_normals", "winter_chill", "observed_dates"} <= told


@pytest.mark.parametrize("row", SITES, ids=[row["id"] for row in SITES])
def test_every_cultivar_is_judged_as_the_service_judges_it(
    client: TestClient[Any], judged: dict[str, dict[str, Body]], figures: dict[str, Body], row: Body
) -> None:
    answered = client.post("/v1/suitabilities", json={"site": site(row)})
    assert answered.status_code == 200, answered.text
    expected = {one["id"]: as_answered(one) for one in answered.json()["suitabilities"]}
    mine = judged[row["id"]]
    assert len(expected) > 500
    assert mine.keys() == expected.keys()
    for cultivar, columns in expected.items():
        assert {name: mine[cultivar][name] for name in columns} == columns, cultivar
    climate = client.post("/v1/site-climates", json={"site": site(row)}).json()
    for name in (*WORDS, *BESIDE):
        del climate[name]
    assert figures[row["id"]]["faults"] is None
    assert whole(figures[row["id"]]["climate"]) == whole(climate)


def whole(climate: Body) -> Any:
    """A climate with its nulls left out and its numbers as numbers, whichever way they were written."""

    def of(value: Any) -> Any:
        if isinstance(value, dict):
            return {name: of(member) for name, member in value.items() if member is not None}
        if isinstance(value, list):
            return [of(member) for member in value]
        return float(value) if isinstance(value, int | float) else value

    return of(msgspec.to_builtins(climate))


def test_a_warmer_climate_is_that_of_a_site_told_to_be_warmer(
    client: TestClient[Any], here: Client, tmp_path: Path
) -> None:
    few = [row for row in SITES if "observed_dates" in row or "winter_chill" in row][:5]
    cultivars = ["Fuji", "Anna", "Discovery"]
    answer(write(tmp_path / "few.parquet", few), tmp_path, here, cultivars=cultivars, warmer_by_c=(0.0, WARMER_C))
    rows = rows_of(tmp_path, "suitabilities")
    assert [row["warmer_by_c"] for row in rows[:6]] == [0.0] * 3 + [WARMER_C] * 3
    for told in few:
        warm = site(told) | {"warming_c": told.get("warming_c", 0.0) + WARMER_C}
        answered = client.post("/v1/suitabilities", json={"site": warm, "cultivars": cultivars}).json()
        expected = {one["id"]: as_answered(one) for one in answered["suitabilities"]}
        mine = [row for row in rows if row["id"] == told["id"] and row["warmer_by_c"] == WARMER_C]
        assert {row["cultivar"]: {name: row[name] for name in as_answered_names()} for row in mine} == expected


def as_answered_names() -> tuple[str, ...]:
    return ("verdict", "likely", "low", "high", "bloom_full", "harvest_first", "limiting", "rank_value")


def test_a_stock_chosen_from_the_table_is_that_of_a_stock_order(client: TestClient[Any], folder: Path) -> None:
    few = [row for row in SITES if row["id"] in {"site 0", "site 3", "site 14"}]
    order = {"sites": [{"id": row["id"], "site": site(row)} for row in few], "kinds_at_most": 4}
    answered = client.post("/v1/stock-orders", json=order).json()
    rows = [row for row in rows_of(folder, "suitabilities") if row["id"] in {one["id"] for one in few}]
    names = list(dict.fromkeys(row["cultivar"] for row in rows))
    worth = np.array([[row["worth"] for row in rows if row["id"] == one["id"]] for one in few])
    best = best_stock(worth.astype(np.float64), np.full(3, 1 / 3), 4, 3)
    assert {names[column] for column in best.chosen} == {one["id"] for one in answered["stock"]}
    assert best.value == pytest.approx(answered["value"], abs=1e-4), "worths and answer have four digits"
