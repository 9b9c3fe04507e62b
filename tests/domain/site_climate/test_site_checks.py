"""What no site can be is refused, each fault by its pointer; what merely disagrees is not."""

import math
from typing import Any

import msgspec
import pytest

from domain.site_climate.site import Site
from domain.site_climate.site_checks import check_site

MONTHS = [1.0, 2.0, 6.0, 11.0, 16.0, 21.0, 23.0, 22.0, 18.0, 12.0, 7.0, 3.0]


def faults(body: dict[str, Any]) -> dict[str, str]:
    return {fault.pointer: fault.detail for fault in check_site(msgspec.convert(body, Site))}


@pytest.mark.parametrize(
    ("body", "at", "word"),
    [
        ({"winter_chill": {"measure": "hours_below_7_2c", "mean": 60_000}}, "winter_chill/mean", "8,760"),
        ({"winter_chill": {"measure": "chill_portions", "mean": -1}}, "winter_chill/mean", "chill_portions"),
        (
            {"winter_chill": {"measure": "utah_units", "mean": 800, "tenth_percentile": 900}},
            "winter_chill/mean",
            "between",
        ),
        (
            {
                "winter_chill": {
                    "measure": "utah_units",
                    "mean": 800,
                    "tenth_percentile": 900,
                    "ninetieth_percentile": 700,
                }
            },
            "winter_chill/tenth_percentile",
            "above",
        ),
        (
            {"winter_chill": {"measure": "utah_units", "mean": 800, "counted_from": "11-31", "counted_to": "02-28"}},
            "winter_chill/counted_from",
            "11-31",
        ),
        (
            {"winter_chill": {"measure": "utah_units", "mean": 800, "counted_from": "11-01"}},
            "winter_chill/counted_to",
            "both",
        ),
        ({"last_spring_frost": {"median": "02-30"}}, "last_spring_frost/median", "02-30"),
        (
            {"last_spring_frost": {"median": "04-20", "later_one_year_in_ten": "04-01"}},
            "last_spring_frost/later_one_year_in_ten",
            "later",
        ),
        (
            {"first_autumn_frost": {"median": "10-20", "earlier_one_year_in_ten": "11-01"}},
            "first_autumn_frost/earlier_one_year_in_ten",
            "earlier",
        ),
        ({"last_spring_frost": {}}, "last_spring_frost/median", "frost_free"),
        ({"last_spring_frost": {"median": "04-20", "frost_free": True}}, "last_spring_frost", "not both"),
        ({"winter_minimum": {"hardiness_zone": "14c"}}, "winter_minimum/hardiness_zone", "13b"),
        (
            {"winter_minimum": {"hardiness_zone": "10a", "scheme": "canada"}},
            "winter_minimum/hardiness_zone",
            "Canadian",
        ),
        ({"winter_minimum": {"hardiness_zone": "7a", "mean_annual_minimum_c": -16}}, "winter_minimum", "either"),
        ({"coldest_month_mean_c": 20, "warmest_month_mean_c": 10}, "coldest_month_mean_c", "warmer"),
        (
            {"latitude": 40, "monthly_normals": {"tmin_c": [t + 10 for t in MONTHS], "tmax_c": MONTHS}},
            "monthly_normals/tmin_c/0",
            "above",
        ),
        (
            {"latitude": -40, "monthly_normals": {"tmin_c": MONTHS, "tmax_c": [t + 10 for t in MONTHS]}},
            "monthly_normals",
            "hemisphere",
        ),
        (
            {"monthly_normals": {"tmin_c": MONTHS, "tmax_c": [t + 10 for t in MONTHS]}},
            "latitude",
            "latitude",
        ),
        (
            {"latitude": 40, "daily_records": {"first_day": "2011-02-29", "tmin_c": [], "tmax_c": []}},
            "daily_records/first_day",
            "2011-02-29",
        ),
        (
            {"latitude": 40, "daily_records": {"first_day": "2011-02-28", "tmin_c": [0] * 400, "tmax_c": [9] * 399}},
            "daily_records/tmax_c",
            "400",
        ),
        ({}, "", "latitude and longitude"),
        ({"latitude": 40}, "", "latitude and longitude"),
        ({"longitude": 40}, "latitude", "latitude"),
        ({"ground": {"ph": 6.5}}, "", "winter_chill"),
        ({"bloom_here": "02-30"}, "bloom_here", "No year has"),
        ({"apples_bloom_here": "02-30"}, "apples_bloom_here", "No year has"),
        ({"bloom_here": "04-24", "apples_bloom_here": "04-24"}, "apples_bloom_here", "give bloom_here alone"),
    ],
)
def test_an_impossible_site_is_refused(body: dict[str, Any], at: str, word: str) -> None:
    found = faults(body)
    pointer = "#/site" + (f"/{at}" if at else "")
    assert pointer in found
    assert word in found[pointer]


def test_all_faults_at_once() -> None:
    body = {
        "winter_chill": {"measure": "hours_below_7_2c", "mean": 60_000},
        "last_spring_frost": {"median": "02-30"},
        "winter_minimum": {"hardiness_zone": "14c"},
    }
    assert len(faults(body)) == 3


def test_numbers_that_are_none() -> None:
    site = Site(latitude=math.nan, longitude=10.0, coldest_month_mean_c=math.inf)
    assert {fault.pointer for fault in check_site(site)} >= {"#/site/latitude", "#/site/coldest_month_mean_c"}


@pytest.mark.parametrize(
    "body",
    [
        {"winter_chill": {"measure": "hours_below_7_2c", "mean": 0}},
        {"last_spring_frost": {"median": "12-28", "later_one_year_in_ten": "01-20"}},
        {"last_spring_frost": {"frost_free": True}},
        {"winter_minimum": {"hardiness_zone": "2"}},
        {"winter_minimum": {"hardiness_zone": "0a", "scheme": "canada"}},
        {"coldest_month_mean_c": 26, "winter_minimum": {"hardiness_zone": "2b"}},
        {"latitude": 40.0, "longitude": -100.0},
        {"bloom_here": "04-24"},
        {"apples_bloom_here": "04-24"},
    ],
)
def test_what_is_possible_or_only_disagrees_passes(body: dict[str, Any]) -> None:
    assert not faults(body)


@pytest.mark.parametrize(
    "body",
    [
        {"latitude": 120.0},
        {"latitude": "9"},
        {"altitude_m": 9},
        {"last_spring_frost": {"median": "4-20"}},
        {"latitude": 40, "monthly_normals": {"tmin_c": [1.0] * 11, "tmax_c": [1.0] * 12}},
    ],
)
def test_shape_is_strict(body: dict[str, Any]) -> None:
    with pytest.raises(msgspec.ValidationError):
        msgspec.convert(body, Site)
