"""How many climates an order works out: never more than the bound, nobody joined without need, and who is, is told."""

import random
from typing import Any

import msgspec
import msgspec.inspect
import pytest

from domain.common.faults import ContentFaults
from domain.stock_orders.like_climates import FIGURES, MOST_SHARES, SHARES_OF_FIGURES, judged_by
from domain.stock_orders.order_request import MOST_SITES, OrderSite, StockOrderRequest
from domain.tables.words import LANGUAGES, texts
from domain.weather.climatology import place_climate

CHILL = {"winter_chill": {"measure": "hours_below_7_2c", "mean": 1150}}


def gardens(sites: list[dict[str, Any]]) -> list[OrderSite]:
    return [
        msgspec.convert({"id": str(n), "site": site, "weight": 1 + n % 5}, OrderSite) for n, site in enumerate(sites)
    ]


def of_a_region(count: int, seed: int = 1) -> list[dict[str, Any]]:
    """Places between the Danube and the Weser."""
    rng = random.Random(seed)
    return [{"latitude": rng.uniform(48, 51), "longitude": rng.uniform(8, 12)} for _ in range(count)]


def test_few_gardens_are_judged_by_their_own_climates() -> None:
    asked = gardens(of_a_region(MOST_SHARES))
    assert judged_by(asked).garden == tuple(range(MOST_SHARES))


@pytest.mark.parametrize("seed", range(4))
def test_the_gardens_of_a_region_are_judged_by_no_more_climates_than_the_most(seed: int) -> None:
    asked = gardens(of_a_region(MOST_SITES, seed))
    found = judged_by(asked)
    leaders = set(found.garden)
    assert MOST_SHARES / 2 < len(leaders) <= MOST_SHARES
    for n, by in enumerate(found.garden):
        assert found.garden[by] == by
        one, other = (place_climate(asked[k].site.latitude or 0.0, asked[k].site.longitude or 0.0) for k in (n, by))
        apart = abs(one.tmean_c - other.tmean_c).max()
        assert apart == pytest.approx(found.apart_c[n])
        assert apart <= FIGURES.most_apart_c
        assert asked[by].weight >= asked[n].weight
        told = found.told(asked, n)
        assert [said.values["other"] for said in told] == ([] if by == n else [asked[by].id])


def test_equal_sites_are_one_climate() -> None:
    asked = gardens([{"latitude": 48.2, "longitude": 9.1} | CHILL] * MOST_SITES)
    assert judged_by(asked).garden == tuple(range(MOST_SITES))


def test_ground_of_its_own_stays_with_a_garden_that_is_judged_by_another() -> None:
    sites = of_a_region(MOST_SITES)
    asked = gardens([one | {"ground": {"ph": 7.9}} for one in sites])
    assert all(one.ground is not None and one.ground.ph == 7.9 for one in judged_by(asked).sites(asked))


@pytest.mark.parametrize(
    "sites",
    [
        [{"latitude": 40 + n / 2, "longitude": 9.1} | CHILL for n in range(MOST_SHARES // SHARES_OF_FIGURES + 1)],
        [{"latitude": 30.0 + n, "longitude": 10.0 + n, "elevation_m": 300 * (n % 9)} for n in range(MOST_SITES)],
    ],
)
def test_more_climates_than_the_most_are_refused_at_the_sites(sites: list[dict[str, Any]]) -> None:
    with pytest.raises(ContentFaults) as refused:
        judged_by(gardens(sites))
    assert [fault.pointer for fault in refused.value.faults] == ["#/sites"]
    assert f"at most {MOST_SHARES}" in refused.value.faults[0].detail


def test_what_callers_are_told_of_the_bound_is_the_bound() -> None:
    fields = {one.name: one.type for one in msgspec.inspect.type_info(StockOrderRequest).fields}  # type: ignore[attr-defined]  # a struct's
    told = fields["sites"].extra_json_schema["description"]
    assert f"At most {MOST_SHARES} climates" in told
    assert {2: "counts as two"}[SHARES_OF_FIGURES] in told
    for language in LANGUAGES:
        assert f" {MOST_SHARES} " in texts(language)["judged_by_like_climate"].text
