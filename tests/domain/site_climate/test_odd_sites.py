"""Figures at the ends of their ranges, alone and in pairs, are answered or refused by name, and never fail.

The years simulated are few, which leaves the way of the fit as it is and costs a tenth.
"""

import functools
import itertools
import math
import random
from collections.abc import Mapping

import msgspec
import pytest

from domain.common.faults import ContentFaults
from domain.site_climate import figures, site_years
from domain.site_climate.site import Site

YEARS = 16
PAIRS = 14

EXTREMES: Mapping[str, list[object]] = {
    "latitude": [-90, 0, 90],
    "elevation_m": [-430, 6000],
    "winter_chill": [
        {"measure": "hours_below_7_2c", "mean": 0},
        {"measure": "hours_below_7_2c", "mean": 8760},
        {"measure": "hours_0_to_7_2c", "mean": 6000},
        {"measure": "utah_units", "mean": -5000},
        {"measure": "utah_units", "mean": 6000},
        {"measure": "chill_portions", "mean": 250},
    ],
    "last_spring_frost": [{"median": "01-01"}, {"median": "07-31", "threshold_c": -5}, {"frost_free": True}],
    "first_autumn_frost": [{"median": "08-01"}, {"median": "12-31", "threshold_c": 3}, {"frost_free": True}],
    "winter_minimum": [{"hardiness_zone": "1a"}, {"mean_annual_minimum_c": -70}, {"mean_annual_minimum_c": 30}],
    "coldest_month_mean_c": [-60, 40],
    "warmest_month_mean_c": [-30, 50],
    "rain_days_in_growing_season": [0, 215],
    "apples_bloom_here": ["01-01", "07-01"],
    "warming_c": [5],
    "monthly_normals": [{"tmin_c": [t] * 12, "tmax_c": [t + 35] * 12} for t in (-60, 10)],
}
ALONE = [{name: value} for name, values in EXTREMES.items() for value in values]
FOUND = [
    {"warmest_month_mean_c": 48},
    {"coldest_month_mean_c": -55},
    {"winter_minimum": {"mean_annual_minimum_c": -40}, "apples_bloom_here": "01-01"},
    {"winter_minimum": {"hardiness_zone": "1a"}, "winter_chill": {"measure": "hours_below_7_2c", "mean": 0}},
    {"latitude": -56, "longitude": -180, "apples_bloom_here": "01-01"},
]
"""Sites that once failed."""


@pytest.fixture(autouse=True)
def few_years(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(site_years, "fit", functools.partial(figures.fit, years=YEARS))
    monkeypatch.setattr(figures, "JACOBIAN_YEARS", 8)


def answered(told: dict[str, object]) -> site_years.SiteYears | None:
    """The years of a site, None where it is refused with a pointer into it."""
    refused: ContentFaults | None = None
    try:
        years = site_years.site_years(msgspec.convert(told, Site))
    except ContentFaults as found:
        refused = found
    if refused is not None:
        assert all(fault.pointer.startswith("#/site") for fault in refused.faults)
        return None
    weather = years.seasons.weather
    assert math.isfinite(float(weather.tmin_c.min()))
    assert math.isfinite(float(years.seasons.chill_portions_by_day.max()))
    assert all(math.isfinite(value) for value in vars(years.spread).values())
    return years


@pytest.mark.parametrize("told", FOUND, ids=str)
def test_sites_that_once_failed_are_answered_with_a_warning(told: dict[str, object]) -> None:
    years = answered(told)
    assert years is not None
    assert years.warnings


def test_every_extreme_is_answered_or_refused_by_name() -> None:
    told = [answered(site) for site in ALONE]
    assert sum(one is not None for one in told) >= len(told) / 2


def test_pairs_of_extremes_are_answered_or_refused_by_name() -> None:
    pairs = [one | other for one, other in itertools.combinations(ALONE, 2) if not one.keys() & other.keys()]
    some = random.Random(7).sample(pairs, PAIRS)
    assert sum(answered(site) is not None for site in some) >= PAIRS / 2
