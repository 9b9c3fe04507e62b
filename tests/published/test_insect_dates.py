"""Days on which insects and diseases are first seen, against dates that services print (data/insect_dates.csv)."""

from functools import cache

from domain.common.season_days import day_of_year
from domain.site_climate.site import Site
from domain.year_of_work.calendar_answer import SeasonCalendarsRequest
from domain.year_of_work.calendars import season_calendars
from tests import shared
from tests.published.cases import Case, parametrized


@cache
def days(latitude: float, longitude: float, elevation_m: float) -> dict[str, int]:
    """Day of the year of every event in the middle year."""
    site = Site(latitude=latitude, longitude=longitude, elevation_m=elevation_m)
    asked = SeasonCalendarsRequest(site=site, cultivars=["Golden Delicious", "McIntosh"])
    found = season_calendars(asked, shared.catalogue(), shared.conditions(site))
    return {one.event: day_of_year(one.day.median) for one in found.site_events}


@parametrized("insect_dates.csv", lambda case: f"{case['case']}-{case['event']}")
def test_an_event_falls_within_the_dates_printed(case: Case) -> None:
    ours = days(float(case["latitude"]), float(case["longitude"]), float(case["elevation_m"]))[case["event"]]
    allowed = int(case["tolerance_days"])
    low, high = day_of_year(case["truth_from"]) - allowed, day_of_year(case["truth_to"]) + allowed
    assert low <= ours <= high, (ours, low, high, case["why"])
