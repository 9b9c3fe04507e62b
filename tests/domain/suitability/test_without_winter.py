"""Sites without a winter: what is said untold, what a told stripping gives, and where the mode does not apply."""

from collections import Counter

import msgspec
import numpy as np
import pytest

from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.planting_lists import planting_lists
from domain.site_climate.site import Site
from domain.suitability.suitabilities import SuitabilitiesAnswer, suitabilities
from domain.suitability.suitability_request import SuitabilityRequest
from domain.year_of_work.calendar_answer import SeasonCalendars, SeasonCalendarsRequest
from domain.year_of_work.calendars import season_calendars
from tests import shared

HIGHLANDS = {
    "Da Lat": {"latitude": 11.94, "longitude": 108.44, "elevation_m": 1500},
    "Kenya": {"latitude": -1.1, "longitude": 36.65, "elevation_m": 2200},
    "Batu": {"latitude": -7.87, "longitude": 112.53, "elevation_m": 1000},
}
STRIPPED_ON = ("05-15", "11-10")
CHILL_TOLD = {"winter_chill": {"measure": "hours_below_7_2c", "mean": 100.0}}


def judged(site: Site) -> SuitabilitiesAnswer:
    return suitabilities(SuitabilityRequest(site=site), shared.catalogue(), shared.conditions(site))


def calendars(site: Site, *names: str) -> SeasonCalendars:
    asked = SeasonCalendarsRequest(site=site, cultivars=list(names))
    return season_calendars(asked, shared.catalogue(), shared.conditions(site))


@pytest.mark.parametrize("place", HIGHLANDS)
def test_untold_nothing_is_advised_and_no_winter_is_told(place: str) -> None:
    site = shared.site(**HIGHLANDS[place])
    answer = judged(site)
    assert {one.verdict for one in answer.suitabilities} == {"not_here"}
    assert {one.bloom for one in answer.suitabilities} == {None}
    assert {one.harvest for one in answer.suitabilities} == {None}
    assert answer.suitabilities[0].code == "not_here_unless_stripped"
    assert "no_winter_no_calendar" in {warning.code for warning in answer.warnings}
    year = calendars(site, "Anna", "Gala")
    assert (year.calendars, year.site_events, year.work) == ((), (), ())
    assert {len(one.stripped.cycles) for one in year.stripped} == {0}
    assert "rest_breaking" in {caution.code for caution in year.cautions}


@pytest.mark.parametrize("place", HIGHLANDS)
def test_a_told_stripping_gives_cycles_and_a_verdict_with_its_sources(place: str) -> None:
    site = shared.site(**HIGHLANDS[place], leaf_stripping=list(STRIPPED_ON))
    answer = judged(site)
    by_id = {one.id: one for one in answer.suitabilities}
    assert by_id["rome-beauty"].verdict == by_id["anna"].verdict == "worth_trying"
    assert by_id["golden-delicious"].verdict == by_id["gala"].verdict == "not_here"
    assert by_id["mcintosh"].verdict == "not_known"
    tried = [one.stripped for one in answer.suitabilities if one.verdict == "worth_trying"]
    assert all(one is not None and one.sources for one in tried)
    assert "plant" not in Counter(one.verdict for one in answer.suitabilities)
    anna, gala = calendars(site, "Anna", "Gala").stripped
    assert [cycle.stripped_on for cycle in anna.stripped.cycles] == list(STRIPPED_ON)
    assert anna.stripped.crops_a_year == 2
    assert gala.stripped.cycles == ()


def test_no_list_is_made_without_a_winter() -> None:
    site = shared.site(**HIGHLANDS["Da Lat"])
    asked = msgspec.convert({"site": msgspec.to_builtins(site), "space": {"tree_count": 2}}, PlantingListsRequest)
    answer = planting_lists(asked, shared.catalogue(), shared.conditions(site))
    assert answer.planting_lists == ()
    assert answer.limits[0].code == "no_list_without_winter"


def test_a_warm_lowland_is_not_saved_by_stripping() -> None:
    site = shared.site(latitude=-6.2, longitude=106.8, elevation_m=10, leaf_stripping=["05-15"])
    assert {one.code for one in judged(site).suitabilities} == {"not_here_lowland"}


@pytest.mark.parametrize(
    ("place", "without"),
    [
        *((place, True) for place in HIGHLANDS.values()),
        ({"latitude": -0.7, "longitude": 36.6, "elevation_m": 2500, **CHILL_TOLD}, True),
        ({"latitude": -13.54, "longitude": -71.94, "elevation_m": 3399}, False),
        ({"latitude": -17.4, "longitude": -66.1, "elevation_m": 2570}, False),
        ({"latitude": 27.5, "longitude": -81.4, "elevation_m": 30}, False),
        ({"latitude": 51.2, "longitude": 0.6, "elevation_m": 60}, False),
    ],
)
def test_where_there_is_no_winter(place: dict[str, float], without: bool) -> None:
    """Tropical highlands, but neither Cusco and Cochabamba with their frosts nor the warm winter of Florida."""
    assert shared.years(shared.site(**place)).without_winter is without


def test_chill_told_makes_no_winter_and_the_contradiction_is_said() -> None:
    site = shared.site(**HIGHLANDS["Kenya"], **CHILL_TOLD)
    assert "chill_without_winter" in {warning.code for warning in judged(site).warnings}
    kent = shared.site(latitude=51.2, longitude=0.6, elevation_m=60, **CHILL_TOLD)
    assert "chill_without_winter" not in {warning.code for warning in shared.years(kent).warnings}


def test_where_frost_comes_every_year_it_is_not_said_that_none_does() -> None:
    """The high Andes at the equator: months alike, and frost in most years."""
    paramo = shared.years(shared.site(latitude=-0.5, longitude=-78.4, elevation_m=4000, **CHILL_TOLD))
    assert paramo.without_winter
    assert np.median(paramo.seasons.winter_minimum_c) < 0.0
    assert {"chill_without_season", "chill_without_winter"} & {one.code for one in paramo.warnings} == {
        "chill_without_season"
    }
    kenya = shared.years(shared.site(**HIGHLANDS["Kenya"], **CHILL_TOLD))
    assert np.median(kenya.seasons.winter_minimum_c) > 0.0
    assert "chill_without_season" not in {one.code for one in kenya.warnings}


def test_stripping_told_where_there_is_a_winter_is_said_and_left() -> None:
    plain = shared.site(latitude=51.2, longitude=0.6, elevation_m=60)
    told = msgspec.structs.replace(plain, leaf_stripping=("05-15",))
    answer = judged(told)
    assert "stripping_with_winter" in {warning.code for warning in answer.warnings}
    assert answer.suitabilities == judged(plain).suitabilities
