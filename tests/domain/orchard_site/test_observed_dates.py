"""Dates seen by the caller move the windows with shrinkage; odd ones raise a question and move nothing."""

import datetime as dt
from dataclasses import replace

import msgspec
import numpy as np
import pytest

from domain.orchard_site.conditions import SiteConditions
from domain.orchard_site.observed_dates import with_observed_dates
from domain.site_climate.site import ObservedDate, Site
from domain.suitability.site_fit import site_fit
from tests.shared import catalogue
from tests.shared import conditions as plain

DOWNS = Site(latitude=51.2, longitude=0.6, elevation_m=60)
CAPE = Site(latitude=-33.9, longitude=18.9, elevation_m=120)


def observed(site: Site, *seen: tuple[str, str, str]) -> SiteConditions:
    dates = tuple(ObservedDate(cultivar=name, event=event, date=date) for name, event, date in seen)  # type: ignore[arg-type]  # known events
    return with_observed_dates(plain(site), msgspec.structs.replace(site, observed_dates=dates), catalogue())


def bloom_and_harvest(conditions: SiteConditions, name: str) -> tuple[float, float]:
    cultivar = catalogue().tables.by_id[catalogue().tables.names.resolve(name) or ""]
    fit = site_fit(conditions, catalogue().choose([cultivar]))
    return float(np.median(fit.bloom.full)), float(fit.harvest_first[0])


def after(site: Site, name: str, days: int, year: int) -> str:
    """The date so many days after the computed middle of full bloom, in a year."""
    start = dt.date(year - 1, 7, 1) if site.latitude and site.latitude > 0 else dt.date(year, 1, 1)
    return (start + dt.timedelta(days=round(bloom_and_harvest(plain(site), name)[0]) + days)).isoformat()


@pytest.mark.parametrize("site", [DOWNS, CAPE], ids=["north", "south"])
def test_one_date_moves_bloom_a_little_and_five_a_lot(site: Site) -> None:
    before = bloom_and_harvest(plain(site), "Gala")[0]
    one = bloom_and_harvest(observed(site, ("Gala", "full_bloom", after(site, "Gala", 12, 2020))), "Gala")[0]
    five = observed(site, *(("Gala", "full_bloom", after(site, "Gala", 12, year)) for year in range(2016, 2021)))
    assert before + 1.0 < one < before + 6.0
    assert one + 1.0 < bloom_and_harvest(five, "Gala")[0] < before + 12.0


def test_other_cultivars_move_with_the_site_and_harvest_follows_bloom() -> None:
    seen = [("Gala", "full_bloom", after(DOWNS, "Gala", 12, year)) for year in range(2014, 2021)]
    conditions = observed(DOWNS, *seen)
    moved, unmoved = bloom_and_harvest(conditions, "Discovery"), bloom_and_harvest(plain(DOWNS), "Discovery")
    assert 3.0 < moved[0] - unmoved[0] < 12.0
    assert moved[1] > unmoved[1]
    assert any(assumption.field == "observed_dates" for assumption in conditions.years.assumptions)


def test_ripe_fruit_moves_harvest_and_not_bloom() -> None:
    conditions = observed(DOWNS, *(("Gala", "first_ripe", f"{year}-09-12") for year in range(2015, 2021)))
    moved, unmoved = bloom_and_harvest(conditions, "Gala"), bloom_and_harvest(plain(DOWNS), "Gala")
    assert moved[0] == unmoved[0]
    assert 4.0 < moved[1] - unmoved[1] < 17.0


@pytest.mark.parametrize(
    ("seen", "question"),
    [
        ([("Gala", "full_bloom", "2020-01-05")], "days earlier than this site lets expect"),
        ([("Gala", "full_bloom", "2019-05-02"), ("Gala", "full_bloom", "2019-04-12")], "which is right?"),
        ([("Gala", "full_bloom", "2019-05-02"), ("Gala", "first_ripe", "2019-06-01")], "from bloom to ripe fruit"),
        ([("Discovery", "first_ripe", "2019-06-02")], "days earlier than this site lets expect"),
    ],
    ids=["bloom in midwinter", "two blooms in a spring", "ripe after a month", "ripe in early June"],
)
def test_odd_dates_raise_a_question_and_move_nothing(seen: list[tuple[str, str, str]], question: str) -> None:
    conditions = observed(DOWNS, *seen)
    assert any(question in warning.words for warning in conditions.years.warnings)
    for name in ("Gala", "Discovery"):
        assert bloom_and_harvest(conditions, name) == bloom_and_harvest(plain(DOWNS), name)


def test_a_date_is_compared_with_the_spring_of_its_own_year() -> None:
    """A late bloom in a spring that the record shows to be late is no news; without the record it is."""
    undated = plain(DOWNS)
    seasons = undated.years.seasons
    first_years = tuple(range(1800, 1800 + len(seasons.weather.tmin_c)))
    dated_seasons = replace(seasons, weather=replace(seasons.weather, first_years=first_years))
    dated = replace(undated, years=replace(undated.years, seasons=dated_seasons))
    traits = catalogue().choose([catalogue().tables.by_id["gala"]])
    full = site_fit(undated, traits).bloom.full[0]
    latest = int(np.argmax(full))
    date = dt.date(first_years[latest], 7, 1) + dt.timedelta(days=round(float(full[latest])))
    seen = ObservedDate(cultivar="Gala", event="full_bloom", date=date.isoformat())
    site = msgspec.structs.replace(DOWNS, observed_dates=(seen,))
    usual = bloom_and_harvest(undated, "Gala")[0]
    assert float(full[latest]) - usual > 10.0
    assert abs(bloom_and_harvest(with_observed_dates(dated, site, catalogue()), "Gala")[0] - usual) < 1.5
    assert bloom_and_harvest(with_observed_dates(undated, site, catalogue()), "Gala")[0] - usual > 3.0
