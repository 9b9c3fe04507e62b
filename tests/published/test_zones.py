"""Hardiness zones against the table of the USDA Plant Hardiness Zone Map, 2023 (half zones 1a to 13b, F and C)."""

import pytest

from domain.weather.hardiness_zones import zone_of, zone_range
from tests.published.cases import Case, parametrized


@parametrized("hardiness_zones.csv", lambda case: case["zone"])
def test_limits_of_the_table(case: Case) -> None:
    zone, lower_c = case["zone"], float(case["truth_lower_c"])
    limits = zone_range(zone)
    assert limits.lower_c == pytest.approx(lower_c, abs=float(case["tolerance_c"]))
    assert limits.lower_c == pytest.approx((float(case["lower_f"]) - 32) / 1.8)
    assert zone_of(lower_c) == zone
    assert zone_of(limits.middle_c) == zone
    assert zone_of(limits.upper_c - 0.2) == zone


def test_whole_zones_hold_their_halves() -> None:
    assert zone_range("7").lower_c == zone_range("7a").lower_c
    assert zone_range("7").upper_c == zone_range("7b").upper_c
    assert zone_range("7").spread_c > zone_range("7a").spread_c


@pytest.mark.parametrize(("zone", "scheme"), [("0a", "usda"), ("14", "usda"), ("7c", "usda"), ("", "usda")])
def test_no_such_zone(zone: str, scheme: str) -> None:
    with pytest.raises(ValueError, match="hardiness zone"):
        zone_range(zone)


def test_canadian_zones_are_milder_in_number_and_less_certain() -> None:
    assert zone_range("5b", "canada").lower_c == zone_range("4b").lower_c
    assert zone_range("5b", "canada").spread_c > 4
    with pytest.raises(ValueError, match="canada"):
        zone_range("10a", "canada")
