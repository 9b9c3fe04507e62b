"""The year's work against calendars that services print month by month, at 43 places (data/month_calendars.csv).

A job of theirs is found where one of ours that stands for it falls due within three weeks of their months; one for
which we have none (`ours` blank), or which ours was taken from (`fitted_on`), counts as missing. All jobs on apples
that could be read stand in the table, but no sprays, which are never told here.

What could not be read: of Kansas City all after May, of England all after August (Blackmoor: after March), of Maine all
after August, of New Zealand all after February, of Alaska all after the middle of June, of Kashmir all
after February, of the Basque Country all but March to May; of those entered last what their sources say
(case_sources.csv). The short texts of Petersfield and of Andresen were not read a second time.

The ten of `SEEN` were searched for to find what was missing: 39 of 53 at the first asking. They brought compost in
winter, ground made ready, trunks brushed, water shoots torn out, mummies wherever trees bear, suckers pulled three
weeks sooner, and planting and pruning through the winter down to -15 C; `ours` of those rows was completed then. The
eleven that were missing before stand as `fitted_on` since, and so does brittany-15, of which a job was made though
another of ours met it: 41 could be found at most.

The misses of the first 21 were then mended by cause, each from other texts (the sources of fruits/apple/jobs.csv):
windows of planting, pruning, grafting, feeding, liming, mulching, weeding, watering and ties, and seven new jobs. They
noticed what was wrong, so they are no check of it: the four of `LATER` went from 38 to 47 of 51 with it.

The 22 of `LAST` were entered after that and before they were asked, and asked once: **131 of 148** (the tables before
would have found 108). Of months turned by half a year 30 would be found. What they told since, from other texts: nest
boxes, trunks painted where winters are frosty, handwork of Japan; what is found by that is no check, and stands as
`fitted_on` (six rows), or misses still: trunks are painted before hard frost, not in January (salzburg-01).
"""

import re
from collections import Counter
from functools import cache

import pytest

from domain.common.season_days import day_of_year
from domain.site_climate.site import Site
from domain.year_of_work.calendar_answer import SeasonCalendars, SeasonCalendarsRequest
from domain.year_of_work.calendars import season_calendars
from tests import shared
from tests.published.cases import Case, cases, parametrized

LEAST_SHARE = 0.8
LATER = ("texas_coast", "ohio", "kashmir", "basque")
"""Entered later, before they were asked: 38 of 51 at the first asking. Snow, traps and summer pruning moved ours."""
SEEN = (
    "brittany",
    "sacramento",
    "worcestershire",
    "adelaide_hills",
    "kullu",
    "calgary",
    "eastern_ontario",
    "vermont",
    "yuma",
    "auckland",
)
YEAR = 365
TURNED_DAYS = 182
MOST_BY_CHANCE = 0.25
CULTIVARS = {
    "alaska": ["Norland", "Parkland"],
    "maine": ["McIntosh", "Cortland"],
    "kansas_city": ["Liberty", "Enterprise"],
    "england": ["Discovery", "Cox's Orange Pippin", "Bramley's Seedling"],
    "puget_sound": ["Liberty", "Jonagold"],
    "new_zealand": ["Gala", "Braeburn"],
    "holstein": ["Discovery", "Boskoop"],
    "texas_coast": ["Anna", "Dorsett Golden"],
    "ohio": ["Liberty", "Golden Delicious"],
    "kashmir": ["Red Delicious", "Golden Delicious"],
    "basque": ["Reinette du Canada", "Golden Delicious"],
    "brittany": ["King of the Pippins", "Golden Delicious"],
    "sacramento": ["Gala", "Fuji"],
    "worcestershire": ["Discovery", "Cox's Orange Pippin", "Bramley's Seedling"],
    "adelaide_hills": ["Gala", "Cripps Pink"],
    "kullu": ["Red Delicious", "Golden Delicious"],
    "calgary": ["Norland", "Parkland"],
    "eastern_ontario": ["McIntosh", "Cortland"],
    "vermont": ["McIntosh", "Liberty"],
    "yuma": ["Anna", "Dorsett Golden"],
    "auckland": ["Gala", "Braeburn"],
    "aomori": ["Fuji", "Tsugaru"],
    "iizuna": ["Fuji", "Tsugaru"],
    "tacoma": ["Liberty", "Jonagold"],
    "swabia": ["Boskoop", "Golden Delicious"],
    "saarland": ["Boskoop", "Golden Delicious"],
    "salzburg": ["Boskoop", "Golden Delicious"],
    "frankfurt": ["Boskoop", "Golden Delicious"],
    "laives": ["Golden Delicious", "Gala"],
    "utah": ["Red Delicious", "Gala"],
    "horowhenua": ["Cox's Orange Pippin", "Gala"],
    "dunedin": ["Cox's Orange Pippin", "Gala"],
    "manawatu": ["Gala", "Braeburn"],
    "melbourne": ["Gala", "Granny Smith"],
    "canberra": ["Gala", "Granny Smith"],
    "herefordshire": ["Dabinett", "Michelin"],
    "east_tennessee": ["Red Delicious", "Golden Delicious"],
    "new_mexico": ["Red Delicious", "Golden Delicious"],
    "enghien": ["Boskoop", "Jonagold"],
    "connecticut": ["McIntosh", "Macoun"],
    "asturias": ["Reinette du Canada", "Golden Delicious"],
    "grisons": ["Boskoop", "Golden Delicious"],
    "france_north": ["Reinette du Canada", "Golden Delicious"],
}
"""Cultivars that are usual there; the calendars name none."""
FIRST = ("maine", "alaska", "kansas_city", "england", "puget_sound", "new_zealand", "holstein")
LAST = tuple(place for place in CULTIVARS if place not in (*FIRST, *LATER, *SEEN))


@cache
def told(place: str, latitude: float, longitude: float, elevation_m: float) -> SeasonCalendars:
    site = Site(latitude=latitude, longitude=longitude, elevation_m=elevation_m)
    asked = SeasonCalendarsRequest(site=site, cultivars=CULTIVARS[place])
    return season_calendars(asked, shared.catalogue(), shared.conditions(site))


def of_places(places: tuple[str, ...]) -> list[Case]:
    return [one for one in cases("month_calendars.csv") if one["place"] in places]


def windows(case: Case) -> list[tuple[int, int]]:
    """Ours for a job of theirs: days of the year, from and to."""
    where = float(case["latitude"]), float(case["longitude"]), float(case["elevation_m"])
    answer = told(case["place"], *where)
    found = []
    for code in filter(None, case["ours"].split(";")):
        kind, _, event = code.partition(":")
        if kind == "event":
            days = (one.day.median for one in answer.site_events if one.event == event)
            found += [(day_of_year(day), day_of_year(day)) for day in days]
        else:
            found += [(day_of_year(job.from_day), day_of_year(job.to_day)) for job in answer.work if job.job == code]
    return found


def apart(ours: tuple[int, int], theirs: tuple[int, int]) -> int:
    """Days between two windows that may lie over the new year; 0 where they meet."""
    (a, b), (c, d) = ours, theirs
    if (c - a) % YEAR <= (b - a) % YEAR or (a - c) % YEAR <= (d - c) % YEAR:
        return 0
    return min((c - b) % YEAR, (a - d) % YEAR)


def missed(case: Case, turned_days: int = 0) -> bool:
    """Whether none of ours falls due near the months of a job of theirs, or near those months turned by some days."""
    begin, end = ((day_of_year(case[of]) - 1 + turned_days) % YEAR + 1 for of in ("truth_from", "truth_to"))
    ours = windows(case)
    return not ours or min(apart(one, (begin, end)) for one in ours) > int(case["tolerance_days"])


def test_windows_apart() -> None:
    assert apart((350, 20), (10, 40)) == 0
    assert apart((350, 20), (41, 60)) == 21
    assert apart((100, 120), (340, 20)) == 80
    assert apart((100, 120), (110, 112)) == 0


def counted(told_there: list[Case]) -> tuple[Counter[str], Counter[str], list[str]]:
    """By place: jobs of theirs that are ours within three weeks, jobs of theirs; and those missing."""
    asked, found, missing = Counter[str](), Counter[str](), list[str]()
    for case in told_there:
        asked[case["place"]] += 1
        if case["fitted_on"] == "yes" or missed(case):
            missing.append(f"{case['case']} {case['work']}: {windows(case)}")
        else:
            found[case["place"]] += 1
    print({place: f"{found[place]} of {asked[place]}" for place in asked}, missing)
    return found, asked, missing


@pytest.mark.fitted_on
def test_most_of_their_jobs_are_among_ours_within_three_weeks() -> None:
    found, asked, missing = counted(of_places(FIRST))
    assert len(asked) >= 6
    assert sum(found.values()) >= LEAST_SHARE * sum(asked.values()), missing
    for place, many in asked.items():
        assert found[place] >= 0.6 * many, place


@pytest.mark.fitted_on
def test_of_the_calendars_entered_later() -> None:
    found, asked, missing = counted(of_places(LATER))
    assert sum(found.values()) >= LEAST_SHARE * sum(asked.values()), missing


@pytest.mark.xfail(strict=True, reason="40 of 53, 41 at most: from twelve of the rows a job was taken or moved")
def test_of_the_calendars_searched_for_what_was_missing() -> None:
    found, asked, missing = counted(of_places(SEEN))
    assert sum(found.values()) >= LEAST_SHARE * sum(asked.values()), missing


def test_of_the_calendars_entered_last() -> None:
    found, asked, missing = counted(of_places(LAST))
    assert sum(found.values()) >= LEAST_SHARE * sum(asked.values()), missing


def test_windows_are_not_so_wide_that_they_meet_any_month() -> None:
    """Their months turned by half a year: what is found then is found by width alone."""
    asked = of_places(LAST)
    found = sum(not missed(case, TURNED_DAYS) for case in asked)
    print(f"turned by half a year: {found} of {len(asked)}")
    assert found <= MOST_BY_CHANCE * len(asked)


@pytest.mark.fitted_on
def test_the_jobs_taken_from_these_calendars_fall_due_when_they_say() -> None:
    taken = [case for case in cases("month_calendars.csv") if case["fitted_on"] == "yes"]
    assert taken
    assert [case["case"] for case in taken if missed(case)] == []


INCH_CM = 2.54


def thinned_to() -> tuple[float, float]:
    """Centimetres between fruits as the job says them."""
    (job,) = (one for one in told("england", 51.1, -0.9, 100.0).work if one.job == "thin_fruit")
    found = re.search(r"(\d+) to (\d+) cm", job.words)
    assert found, job.words
    return float(found[1]), float(found[2])


def published_distance(case: Case) -> tuple[float, float]:
    """The same of a published text."""
    unit = INCH_CM if case["unit"] == "inch" else 1.0
    return float(case["truth_low"]) * unit, float(case["truth_high"]) * unit


@parametrized("thinning_distances.csv", lambda case: case["case"])
def test_published_thinning_distances_meet_ours(case: Case) -> None:
    (low, high), (least, most) = published_distance(case), thinned_to()
    assert low <= most
    assert high >= least


def test_thinning_distances_are_no_wider_than_the_published_ones() -> None:
    """Within half a centimetre; so that no wide span meets them all."""
    told_there = [published_distance(case) for case in cases("thinning_distances.csv")]
    least, most = thinned_to()
    assert least >= min(low for low, _ in told_there) - 0.5
    assert most <= max(high for _, high in told_there) + 0.5
