"""Weak voices never decide alone; an order moves what is only known in order."""

import pytest

from domain.adoption import hardiness, ripening_positions, tolerances, voices
from domain.tables.cultivars import Estimate
from domain.tables.loading import load
from tests.domain.adoption.made_up import observed


def a_shop() -> str:
    return next(s.id for s in load().sources.values() if s.kind == "nursery")


def test_a_shop_alone_is_a_weak_voice_and_beside_a_service_is_not() -> None:
    assert voices.alone([a_shop()])
    assert not voices.alone([a_shop(), "a-text"])
    assert not voices.alone([])


def test_a_shop_s_rating_moves_the_mean_less_than_a_service_s() -> None:
    others = [observed(f"c{n}", "scab", "susceptible", source_id="a-text") for n in range(9)]
    told = {
        source: tolerances.adopt([*others, observed("x", "scab", "resistant", source_id=source)])[
            "x", "susceptibility_scab"
        ]
        for source in (a_shop(), "b-text")
    }
    shop, service = told[a_shop()], told["b-text"]
    assert isinstance(shop, Estimate)
    assert isinstance(service, Estimate)
    assert service.value < shop.value < 0.6


def test_a_shop_s_zone_leaves_hardiness_wider_than_a_service_s() -> None:
    zone = {"numbers": 4, "scheme": "USDA zone"}
    shop = hardiness.adopt([observed("x", "hardiness_zone", "4", source_id=a_shop(), **zone)], {"x": "temperate"})
    service = hardiness.adopt([observed("x", "hardiness_zone", "4", **zone)], {"x": "temperate"})
    key = ("x", "hardiness_c")
    assert service[key].value < shop[key].value - 0.5
    assert shop[key].deviation > service[key].deviation


def test_hardy_in_a_mild_country_is_an_upper_limit() -> None:
    """It cannot make a tree of the prairies tenderer, and one of no origin no hardier than such winters show."""
    hardy = observed("x", "hardiness", "very hardy", source_id="kob-a-leaflet", scheme="words")
    prairie = hardiness.adopt([hardy], {"x": "cold_continental"})["x", "hardiness_c"]
    unknown = hardiness.adopt([hardy], {"x": "unknown"})["x", "hardiness_c"]
    assert prairie.value == pytest.approx(-38.0, abs=0.3)
    assert -31.0 < unknown.value < -27.0
    assert unknown.deviation > 3.5


def at(value: float, deviation: float) -> Estimate:
    return Estimate(value=value, deviation=deviation, unit="d", basis="published", observations=1)


def test_what_ripens_after_another_moves_past_it_and_the_other_stays() -> None:
    """Equal errors and means: the difference rises by s sqrt(2 / pi), half of it is the own share."""
    trait = ripening_positions.TRAIT
    fitted = {("x", trait): at(0.0, 10.0), ("y", trait): at(0.0, 10.0)}
    after = observed("x", "days_from_reference", "0..", low=0.0, unit="days after y")
    before = observed("x", "days_from_reference", "..0", high=0.0, unit="days after y")
    later = ripening_positions.in_order(fitted, [after])
    assert later["x", trait].value == pytest.approx(5.64, abs=0.01)
    assert later["x", trait].deviation == pytest.approx(8.26, abs=0.01)
    assert later["y", trait] == fitted["y", trait]
    assert ripening_positions.in_order(fitted, [before])["x", trait].value == pytest.approx(-5.64, abs=0.01)
