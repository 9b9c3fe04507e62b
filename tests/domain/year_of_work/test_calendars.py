"""Calendars: stages in order in every year and both hemispheres, work about its stages, health events of the site."""

import itertools
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from domain.common.season_days import season_day
from domain.fruit.reference import REFERENCE
from domain.site_climate.site import Site
from domain.suitability.site_fit import site_fit
from domain.tree_year.bloom import FIGURES as BLOOM
from domain.tree_year.stages import FIGURES as MIDDLING
from domain.year_of_work.calendar_answer import Day, Job, SeasonCalendars, SeasonCalendarsRequest
from domain.year_of_work.calendars import season_calendars
from domain.year_of_work.stages import stage_days
from tests import shared

PLACES = {
    "cold plain": Site(latitude=46.9, longitude=-96.8, elevation_m=275),
    "cool coast": Site(latitude=49.1, longitude=-122.3, elevation_m=20),
    "hot valley": Site(latitude=46.6, longitude=-120.5, elevation_m=325),
    "subtropics": Site(latitude=29.65, longitude=-82.35, elevation_m=50),
    "southern cape": Site(latitude=-33.9, longitude=18.9, elevation_m=120),
}
NAMES = ["Anna", "Gala", "Golden Delicious"]


@cache
def told(place: str) -> SeasonCalendars:
    site = PLACES[place]
    asked = SeasonCalendarsRequest(site=site, cultivars=NAMES, years=12)
    return season_calendars(asked, shared.catalogue(), shared.conditions(site))


def order(place: str, month_day: str, not_before: int = 150) -> int:
    """The season day of a date from midwinter on, so that dates of one year can be compared."""
    return season_day(month_day, (PLACES[place].latitude or 0.0) < 0, not_before)


@pytest.mark.parametrize("place", PLACES)
def test_stages_follow_each_other_in_every_year(place: str) -> None:
    for calendar in told(place).calendars:
        assert len(calendar.years) == 12
        for year in calendar.years:
            dates = [year.green_tip, year.first_bloom, year.full_bloom, year.petal_fall, year.first_ripe]
            days = [order(place, date) for date in dates if date is not None]
            assert len(days) >= 4
            assert all(a <= b for a, b in itertools.pairwise(days)), year
            assert 0.0 <= year.flowers_left <= 1.0
            assert 0.0 <= year.crop_chance <= 1.0


@pytest.mark.parametrize("place", PLACES)
def test_the_middle_year_lies_between_the_early_and_the_late_one(place: str) -> None:
    answer = told(place)
    days: list[Day] = [e.day for c in answer.calendars for e in c.events if e.day] + [e.day for e in answer.site_events]
    assert days
    for day in days:
        early = order(place, day.earlier_one_year_in_ten)
        middle = order(place, day.median, early)
        assert middle - early <= 120
        assert order(place, day.later_one_year_in_ten, middle) - middle <= 120


def test_low_chill_is_weeks_ahead_in_the_subtropics_only() -> None:
    def full_bloom(place: str, row: int) -> int:
        event = next(e for e in told(place).calendars[row].events if e.event == "full_bloom")
        assert event.day is not None
        return order(place, event.day.median)

    assert full_bloom("southern cape", 1) - full_bloom("southern cape", 0) > 20
    assert full_bloom("cold plain", 1) - full_bloom("cold plain", 0) < 9


def test_a_later_bloom_never_loses_more_where_frost_presses() -> None:
    for calendar in told("hot valley").calendars:
        assert calendar.frost.if_bloom_were_5_days_later > calendar.frost.years_in_ten
        assert calendar.frost.if_20_m_up_the_slope > calendar.frost.years_in_ten
        assert calendar.frost.flowers_left_one_year_in_ten <= calendar.frost.flowers_left_in_the_middle_year


@pytest.mark.parametrize("place", PLACES)
def test_work_falls_due_about_its_stage(place: str) -> None:
    answer = told(place)
    jobs: dict[str, Job] = {job.job: job for job in answer.work}
    assert {"cut_scions", "winter_pruning", "graft", "thin_fruit", "summer_pruning", "bud", "pick"} <= set(jobs)
    begin = order(place, jobs["cut_scions"].from_day, 100)
    for earlier, later in itertools.pairwise(["cut_scions", "winter_pruning", "graft", "thin_fruit"]):
        first = order(place, jobs[earlier].from_day, begin)
        assert first <= order(place, jobs[later].from_day, first), (earlier, later)
    assert {"plant_health", "grafting_knives", "windfalls", "ladders"} <= {caution.code for caution in answer.cautions}
    assert not any("spray" in job.words.lower() for job in answer.work if "nothing is sprayed" not in job.words)


def test_the_cautions_that_apply_are_quoted() -> None:
    in_cold = {caution.code for caution in told("cold plain").cautions}
    in_warm = {caution.code for caution in told("subtropics").cautions}
    assert "allergy" in in_cold & in_warm
    assert "rest_breaking" in in_warm - in_cold


def test_one_green_tip_for_the_calendar_and_for_disease() -> None:
    """The middling tree that disease weather follows, asked of the calendar's clock, opens on the same days."""
    conditions = shared.conditions(PLACES["cool coast"])
    middling = conditions.health.orchard.stages
    traits = shared.catalogue().choose([shared.tables().by_id[REFERENCE.cultivar]])
    need = np.array([MIDDLING.middling_chill_portions], dtype=np.float32)
    length = np.array([BLOOM.reference_length_days], dtype=np.float32)
    value = {
        **traits.value, "chill_portions": need, "bloom_offset_days": 0.0 * need, "bloom_length_days": length
    }  # fmt: skip
    same = replace(traits, value=value)
    days = stage_days(conditions, same, site_fit(conditions, same)).by_event
    assert middling.green_tip == pytest.approx(days["green_tip"][0])
    assert middling.petal_fall == pytest.approx(days["petal_fall"][0])


def test_disease_watch_starts_with_the_earliest_tree_asked_for() -> None:
    """Gala alone: scab is watched for from its green tip; with Anna beside it, from hers."""
    site = Site(latitude=36.75, longitude=3.05)
    conditions, catalogue = shared.conditions(site), shared.catalogue()

    def days(*cultivars: str) -> tuple[list[Day | None], Day]:
        asked = SeasonCalendarsRequest(site=site, cultivars=list(cultivars))
        answer = season_calendars(asked, catalogue, conditions)
        tips = [one.day for calendar in answer.calendars for one in calendar.events if one.event == "green_tip"]
        return tips, next(event.day for event in answer.site_events if event.event == "scab_season_starts")

    tips, watch = days("Gala")
    assert tips == [watch]
    (anna, gala), earlier = days("Anna", "Gala")
    assert gala == watch
    assert anna is not None
    assert abs(order("cool coast", earlier.median) - order("cool coast", anna.median)) <= 1


def test_moths_and_last_frost_are_told_and_a_frost_free_place_has_no_end_of_season() -> None:
    events = {event.event for event in told("cold plain").site_events}
    assert {"last_frost", "season_ends", "codling_moth_first_flight", "codling_moth_first_strikes"} <= events
    assert "season_ends" not in {event.event for event in told("southern cape").site_events}


def test_simulated_years_are_numbered_from_one() -> None:
    assert told("cold plain").years_are == "simulated"
    assert [year.year for year in told("cold plain").calendars[0].years] == list(range(1, 13))


@pytest.mark.parametrize("place", PLACES)
def test_trees_that_rest_are_cut_once_their_leaves_are_down(place: str) -> None:
    """Where leaves hang into the new year nobody prunes in November."""
    jobs: dict[str, Job] = {job.job: job for job in told(place).work}
    down = jobs["pull_mulch_back"].from_day if "pull_mulch_back" in jobs else jobs["guard_trunks"].from_day
    fall = order(place, down, 0) + 14
    for job in ("winter_pruning", "cut_scions", "formative_pruning"):
        assert order(place, jobs[job].from_day, fall - 100) >= fall - 1, job
