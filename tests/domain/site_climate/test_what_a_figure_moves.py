"""A figure moves what it speaks of: percentiles never the mean, frost dates their nights, a height untold the doubt."""

from typing import Any

import pytest

from domain.site_climate import climate_words
from domain.site_climate.climate_answer import site_climate
from domain.site_climate.site_years import HEIGHT_UNTOLD, SiteYears
from domain.suitability.assess import assess
from domain.suitability.worth_finding_out import worth_finding_out
from domain.weather.frost_dates import FrostDates, last_spring_frost
from tests import shared

MILD_COASTS = {
    "Casablanca": {"latitude": 33.5, "longitude": -7.6},
    "Perth": {"latitude": -31.95, "longitude": 115.86},
    "Seville": {"latitude": 37.4, "longitude": -6.0},
}
PLATEAU = {"latitude": -27.8, "longitude": -50.3, "elevation_m": 930}
VALLEYS = {"Sion": (46.23, 7.36, 490), "Chur": (46.85, 9.53, 590), "Meran": (46.67, 11.16, 320)}


def years(**members: Any) -> SiteYears:
    return shared.years(shared.site(**members))


def hours(made: SiteYears) -> float:
    window = ("05-01", "08-31") if made.south else ("11-01", "02-28")
    return float(made.seasons.chill_totals(*window)["hours_below_7_2c"].mean())


@pytest.mark.parametrize("place", MILD_COASTS)
@pytest.mark.parametrize("tails", [(180, 420), (240, 360), (270, 330)])
def test_percentiles_do_not_move_the_mean(place: str, tails: tuple[int, int]) -> None:
    told = {"measure": "hours_below_7_2c", "mean": 300}
    low, high = tails
    alone = years(**MILD_COASTS[place], winter_chill=told)
    surer = years(**MILD_COASTS[place], winter_chill={**told, "tenth_percentile": low, "ninetieth_percentile": high})
    assert hours(surer) == pytest.approx(hours(alone), rel=0.1)


def test_percentiles_that_no_years_show_are_told_and_dropped() -> None:
    told = {"measure": "hours_below_7_2c", "mean": 300, "tenth_percentile": 290, "ninetieth_percentile": 310}
    dropped = {warning.code for warning in years(**MILD_COASTS["Casablanca"], winter_chill=told).warnings}
    assert "percentile_dropped" in dropped
    assert "figure_disagrees" not in dropped


@pytest.mark.parametrize("median", ["08-10", "08-25", "09-10", "09-25"])
def test_a_frost_date_moves_spring_nights_and_not_the_winter(median: str) -> None:
    before, after = years(**PLATEAU), years(**PLATEAU, last_spring_frost={"median": median})
    assert after.seasons.winter_minimum_c.mean() == pytest.approx(before.seasons.winter_minimum_c.mean(), abs=1.2)
    assert min(after.normals.tmin_c) == pytest.approx(min(before.normals.tmin_c), abs=0.7)
    shown = last_spring_frost(after.seasons.weather).median
    usual = last_spring_frost(before.seasons.weather).median
    assert shown is not None
    assert usual is not None
    assert shown > usual


@pytest.mark.parametrize("valley", VALLEYS)
def test_a_bare_pin_in_hills_is_warned_of_and_its_height_asked_first(valley: str) -> None:
    latitude, longitude, height = VALLEYS[valley]
    bare = shared.site(latitude=latitude, longitude=longitude)
    assert HEIGHT_UNTOLD in {warning.code for warning in shared.years(bare).warnings}
    asked = worth_finding_out(bare, shared.conditions(bare), shared.catalogue().advised)
    assert asked[0].code == "find_out_elevation"
    told = shared.years(shared.site(latitude=latitude, longitude=longitude, elevation_m=height))
    assert HEIGHT_UNTOLD not in {warning.code for warning in told.warnings}
    assert told.spread.summer_mean_c < shared.years(bare).spread.summer_mean_c


def test_a_pin_on_flat_ground_is_not_asked_for_its_height() -> None:
    assert HEIGHT_UNTOLD not in {warning.code for warning in years(latitude=52.0, longitude=5.6).warnings}


def test_frost_is_told_as_a_chance_where_many_winters_have_none() -> None:
    told = shared.site(latitude=33.5, longitude=-7.6, winter_chill={"measure": "hours_below_7_2c", "mean": 400})
    codes = {sentence.code for sentence in site_climate(told, shared.years(told)).words}
    assert codes & {"climate_frost_some_winters", "climate_frost_few_winters"}
    assert "climate_frost_dates" not in codes


@pytest.mark.parametrize(("free", "dates"), [(0.0, True), (0.05, True), (0.28, False), (0.64, False), (0.95, False)])
def test_dates_of_frost_are_told_only_where_nearly_every_winter_has_one(free: float, dates: bool) -> None:
    frost = FrostDates(0.0, 150.0, 190.0, 230.0, free)
    said = climate_words.frost_words(frost, frost, 300.0, south=True)
    assert (said.code == "climate_frost_dates") is dates


def test_one_figure_of_chill_with_its_window_in_every_answer() -> None:
    belgrade = shared.site(latitude=44.8, longitude=20.5, elevation_m=110)
    answer = site_climate(belgrade, shared.years(belgrade))
    headline = answer.winter_chill.dormant_season
    said = next(sentence for sentence in answer.words if sentence.code.startswith("climate_chill"))
    factors = shared.catalogue().advised
    chill = next(f for f in assess(shared.conditions(belgrade), factors)[0].factors if f.factor == "winter_chill")
    assert said.values["portions"] == chill.values["site_portions"]
    assert said.values["portions"] == pytest.approx(headline.chill_portions.mean, abs=0.51)
    for words in (said.values, chill.values):
        assert (words["counted_from"], words["counted_to"]) == (headline.counted_from, headline.counted_to)


def test_who_told_hours_is_answered_in_hours() -> None:
    told = shared.site(latitude=37.4, longitude=-6.0, winter_chill={"measure": "hours_below_7_2c", "mean": 400})
    said = [one for one in site_climate(told, shared.years(told)).words if one.code == "climate_chill_as_told"]
    assert [one.values["unit"] for one in said] == ["hours_below_7_2c"]
    assert said[0].values["counted_from"] == "11-01"
