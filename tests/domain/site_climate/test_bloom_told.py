"""`bloom_here`: by the clock of all cultivars, and told ten days later it moves their bloom about as much."""

from dataclasses import replace
from typing import Any

import msgspec
import numpy as np
import pytest

from domain.common.season_days import month_day, season_day
from domain.orchard_site.conditions import site_conditions
from domain.site_climate import predicted_figures as predicted
from domain.site_climate.site import Site
from domain.site_climate.site_years import SiteYears, site_years
from domain.tables import loading as tables
from domain.tree_year.bloom import full_bloom
from tests import shared
from tests.domain.site_climate.test_records import daily, series

SITES: dict[str, dict[str, Any]] = {
    "place": {"latitude": 51.2, "longitude": 0.6},
    "southern place": {"latitude": -37.8, "longitude": 145.4},
    "figures with a place": {"latitude": 45.5, "longitude": 9.2, "coldest_month_mean_c": 1.5},
    "figures alone": {"latitude": 42.0, "winter_minimum": {"hardiness_zone": "6a"}, "warmest_month_mean_c": 23},
    "mild winter": {"latitude": 38.5, "longitude": -121.7},
}


def middle_bloom(years: SiteYears) -> float:
    """Median day of full bloom of a middling cultivar, as the suitabilities of the site see it."""
    need, offset = (
        np.array([predicted.FIGURES.middle_chill_need]),
        np.array([predicted.FIGURES.middle_bloom_offset_days]),
    )
    return float(np.median(full_bloom(site_conditions(years).clock, need, offset)[0]))


def at(site: dict[str, Any]) -> SiteYears:
    return shared.years(msgspec.convert(site, Site))


def test_the_middling_cultivar_is_that_of_the_tables() -> None:
    loaded = tables.load()
    advised = [cultivar for cultivar in loaded.cultivars if cultivar.status == "advised"]
    needs = [c.numbers["chill_portions"].value for c in advised if "chill_portions" in c.numbers]
    offsets = [c.numbers["bloom_offset_days"].value for c in advised if "bloom_offset_days" in c.numbers]
    assert np.median(needs) == pytest.approx(predicted.FIGURES.middle_chill_need, abs=3)
    assert np.median(offsets) == pytest.approx(predicted.FIGURES.middle_bloom_offset_days, abs=1.5)


def test_each_climate_of_some_blocks_has_its_own_bloom() -> None:
    years = at(SITES["place"]).seasons.weather
    few = replace(years, tmin_c=years.tmin_c[:40], tmax_c=years.tmax_c[:40], wet=None)
    warmer = replace(few, tmin_c=few.tmin_c + np.float32(3.0), tmax_c=few.tmax_c + np.float32(3.0))
    together = predicted.bloom(predicted.side_by_side([few, warmer]))
    alone = [predicted.bloom(predicted.side_by_side([weather]))[0] for weather in (few, warmer)]
    assert np.array_equal(together, np.stack(alone))
    assert together[1].mean() < together[0].mean() - 10


@pytest.mark.parametrize(
    ("name", "later"),
    [
        ("place", 10),
        ("place", -10),
        ("southern place", 10),
        ("figures with a place", -10),
        ("figures alone", 10),
        ("mild winter", 10),
    ],
)
def test_bloom_moves_about_as_told(name: str, later: int) -> None:
    site = SITES[name]
    before = at(site)
    expected = middle_bloom(before)
    told = {**site, "bloom_here": month_day(expected + later, before.south)}
    after = at(told)
    moved = middle_bloom(after) - expected
    assert 0.55 <= moved / later <= 1.0
    assert not any("bloom_here" in warning.words for warning in after.warnings)


def test_bloom_told_as_computed_moves_nothing() -> None:
    before = at(SITES["place"])
    after = at({**SITES["place"], "bloom_here": month_day(middle_bloom(before), before.south)})
    assert abs(middle_bloom(after) - middle_bloom(before)) < 1.5
    assert not any(assumption.field == "bloom_here" for assumption in after.assumptions)


def test_bloom_told_beside_a_record_moves_bloom_and_not_the_record() -> None:
    tmin, tmax = series(years=18)
    alone = site_years(Site(latitude=45.0, daily_records=daily(tmin, tmax)))
    expected = middle_bloom(alone)
    told = site_years(Site(latitude=45.0, daily_records=daily(tmin, tmax), bloom_here=month_day(expected + 10, False)))
    assert np.array_equal(told.seasons.weather.tmin_c, alone.seasons.weather.tmin_c)
    assert 4 < middle_bloom(told) - expected < 9
    assert any(assumption.field == "bloom_here" for assumption in told.assumptions)


def test_a_date_that_cannot_be_hardly_moves_anything() -> None:
    before = at(SITES["place"])
    after = at({**SITES["place"], "bloom_here": "07-20"})
    assert any("bloom_here" in warning.words for warning in after.warnings)
    assert abs(after.bloom_shift_days) < 8
    assert season_day("07-20", False) != middle_bloom(before)


def test_the_older_name_says_the_same_and_is_answered_under_itself() -> None:
    now, before = (at({**SITES["place"], name: "07-20"}) for name in ("bloom_here", "apples_bloom_here"))
    assert np.array_equal(now.seasons.weather.tmin_c, before.seasons.weather.tmin_c)
    assert now.bloom_shift_days == before.bloom_shift_days != 0.0
    assert [warning.words for warning in now.warnings] == [
        warning.words.replace("apples_bloom_here", "bloom_here") for warning in before.warnings
    ]
    assert any("apples_bloom_here" in warning.words for warning in before.warnings)
