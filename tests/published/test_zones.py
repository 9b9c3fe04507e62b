"""Hardiness zones against the table of the USDA Plant Hardiness Zone Map, 2023 (half zones 1a to 13b, F and C)."""

import pytest

from domain.weather.hardiness_zones import zone_of, zone_range

# Lower limit of each half zone in F; the map prints the limits in C to a tenth beside them.
LOWER_F = {f"{zone}{half}": -60 + 10 * (zone - 1) + 5 * (half == "b") for zone in range(1, 14) for half in "ab"}
LOWER_C = {
    "1a": -51.1, "1b": -48.3, "2a": -45.6, "2b": -42.8, "3a": -40.0, "3b": -37.2, "4a": -34.4, "4b": -31.7, "5a": -28.9,
    "5b": -26.1, "6a": -23.3, "6b": -20.6, "7a": -17.8, "7b": -15.0, "8a": -12.2, "8b": -9.4, "9a": -6.7, "9b": -3.9,
    "10a": -1.1, "10b": 1.7, "11a": 4.4, "11b": 7.2, "12a": 10.0, "12b": 12.8, "13a": 15.6, "13b": 18.3,
}  # fmt: skip


@pytest.mark.parametrize(("zone", "lower_c"), LOWER_C.items())
def test_limits_of_the_table(zone: str, lower_c: float) -> None:
    limits = zone_range(zone)
    assert limits.lower_c == pytest.approx(lower_c, abs=0.06)
    assert limits.lower_c == pytest.approx((LOWER_F[zone] - 32) / 1.8)
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
